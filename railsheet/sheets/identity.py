"""Whose drawing a DXF file is: the job's name, revision and unit, among the file's own facts."""

from __future__ import annotations

from ezdxf.document import Drawing

from railsheet.job.model import Job

JOB, REVISION, DATE = "RAILSHEET_JOB", "RAILSHEET_REVISION", "RAILSHEET_DATE"


def sign(doc: Drawing, job: Job) -> None:
    """State the job, its date and its revision in a document's custom properties."""
    facts = doc.header.custom_vars
    facts.append(JOB, " ".join(job.name.split()))
    facts.append(DATE, job.date.isoformat())
    if job.revision is not None:
        facts.append(REVISION, job.revision.mark)
