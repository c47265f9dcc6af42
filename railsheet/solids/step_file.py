"""Solids as a STEP file: the same bytes for the same solids."""

from __future__ import annotations

import datetime
import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import cadquery

# ISO 10303-21, 8.2.2: FILE_NAME(name, time_stamp, ...; the time as ISO 8601 has it (clause from
# memory).
_STAMP = re.compile(r"(FILE_NAME\('[^']*',')[^']*(')")


def save_step(solids: cadquery.Assembly, dated: datetime.date, path: Path) -> None:
    """Write an assembly as STEP (ISO 10303-21, AP214).

    Args:
        solids: the assembly.
        dated: the day the file's header states, in place of the clock's.
        path: the file.

    Raises:
        ValueError: the STEP writer's header is not as it was.
    """
    solids.export(str(path), exportType="STEP")
    text = path.read_text(encoding="utf-8")
    text, stamps = _STAMP.subn(rf"\g<1>{dated.isoformat()}T00:00:00\2", text, count=1)
    if not stamps:
        raise ValueError(f"{path.name}: the STEP writer left no FILE_NAME with its time")
    path.write_text(text, encoding="utf-8", newline="\n")
