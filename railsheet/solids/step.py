"""Solids as STEP (ISO 10303-21, AP214): named, coloured, in mm, the same bytes each time."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from pathlib import Path

import cadquery as cq
from cadquery.occ_impl.assembly import toCAF
from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs
from OCP.TCollection import TCollection_HAsciiString
from OCP.XSControl import XSControl_WorkSession

from railsheet.solids.given import without_infill
from railsheet.solids.part import COLOURS, Part, PartKind
from railsheet.solids.pieces import bench_pieces
from railsheet.solids.raised import RaisedJob
from railsheet.solids.step_order import in_order


def run_assembly(job: RaisedJob, run: str) -> cq.Assembly:
    """One run in its own frame, with all its posts; what it stands on is left out."""
    whole = cq.Assembly(name=_name(job, run))
    _add(whole, job.runs[run].parts.values())
    return whole


def site_assembly(job: RaisedJob, name: str) -> cq.Assembly:
    """Every run where it stands, a shared post once; ground and walls in branches of their own."""
    whole = cq.Assembly(name=name)
    for run in job.runs:
        branch = cq.Assembly(name=_name(job, run), loc=job.location(run))
        _add(branch, job.parts(run))
        whole.add(branch, name=_name(job, run))
    for run in job.runs:
        branch = cq.Assembly(name=f"beside {run}", loc=job.location(run))
        for part in job.parts(run):
            if part.kind is PartKind.GROUND:
                _add_part(branch, part)
        whole.add(branch, name=f"beside {run}")
    return whole


def piece_assemblies(job: RaisedJob) -> dict[str, cq.Assembly]:
    """Each distinct piece by itself as it lies on a bench, by its file's name."""
    found = {}
    for piece in bench_pieces(job):
        alone = cq.Assembly(name=f"piece {piece.title}")
        alone.add(piece.solid, name=piece.mark, color=cq.Color(*COLOURS[piece.kind]))
        found[f"{piece.mark}.step"] = alone
    return found


def _name(job: RaisedJob, run: str) -> str:
    """A run's name in a file, which says where infill is missing to whoever opens it alone."""
    bays = ", ".join(str(number) for number in without_infill(job.runs[run].out))
    return f"run {run}, infill missing in bay {bays}" if bays else f"run {run}"


def _add(branch: cq.Assembly, parts: Iterable[Part]) -> None:
    for part in parts:
        if part.kind is not PartKind.GROUND:
            _add_part(branch, part)


def _add_part(branch: cq.Assembly, part: Part) -> None:
    """Like solids moved about stand in the file once, each with its place and its mark."""
    own = part.solid.located(cq.Location())
    branch.add(own, name=part.mark, loc=part.solid.location(), color=_colour(part))


def _colour(part: Part) -> cq.Color:
    return cq.Color(*COLOURS[part.kind])


def write_step(assembly: cq.Assembly, path: Path, day: datetime.date) -> None:
    """Write an assembly.

    Args:
        assembly: what to write, in mm.
        path: the file.
        day: the date in its header: the job's, so that the same job gives the same bytes.

    Raises:
        OSError: the file cannot be written.
    """
    _, document = toCAF(assembly, coloredSTEP=True)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    writer = STEPCAFControl_Writer(XSControl_WorkSession(), False)
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    writer.Transfer(document, STEPControl_AsIs)
    header = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    header.SetTimeStamp(TCollection_HAsciiString(f"{day.isoformat()}T00:00:00"))
    header.SetName(TCollection_HAsciiString(path.name))
    header.SetOriginatingSystem(TCollection_HAsciiString("railsheet"))
    if writer.Write(str(path)) != IFSelect_RetDone:
        raise OSError(f"{path.name} could not be written")
    path.write_text(in_order(path.read_text(encoding="ascii")), encoding="ascii")
