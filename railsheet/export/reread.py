"""A DXF of this program read again: whose it is, and every figure that its dimensions measure."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from ezdxf.document import Drawing
from ezdxf.entities.dimension import Dimension
from ezdxf.entities.mtext import MText
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.const import DXFError

from railsheet.errors import BadInput
from railsheet.sheets.dimensions import measured
from railsheet.sheets.drawing import document_unit, figure_key
from railsheet.sheets.identity import DATE, JOB, REVISION

_ANGULAR = (2, 5)


def read_drawing(path: Path) -> dict[str, Any]:
    """The job, the revision and the measured figures of a drawing.

    Returns:
        ``job`` (name, date, revision where it has one, unit) and ``figures``: by key, the value as
        the dimension's own points measure it, unsigned, its unit, and the text shown.

    Raises:
        BadInput: no such file, no DXF, or a drawing that this program did not make.
    """
    try:
        doc = readfile(path)
    except OSError as error:
        raise BadInput(str(path), "the file", "", f"cannot be read: {error.strerror}") from None
    except (DXFError, UnicodeDecodeError, ValueError) as error:
        raise BadInput(str(path), "the file", "", f"is no DXF drawing: {error}") from None
    facts = doc.header.custom_vars
    name = facts.get(JOB)
    figures = _figures(doc)
    if name is None or not figures:
        raise BadInput(str(path), "the file", "", "a drawing of a run that railsheet made")
    job = {"name": name, "date": facts.get(DATE), "units": document_unit(doc)}
    if facts.has_tag(REVISION):
        job["revision"] = facts.get(REVISION)
    return {"job": job, "figures": figures}


def _figures(doc: Drawing) -> dict[str, dict[str, Any]]:
    unit = document_unit(doc)
    found: dict[str, dict[str, Any]] = {}
    for dimension in doc.modelspace():
        key = figure_key(dimension)
        if key is None or not isinstance(dimension, Dimension):
            continue
        value = measured(dimension)
        angle = dimension.dimtype in _ANGULAR
        block = dimension.get_geometry_block()
        texts = [t.plain_text() for t in block or () if isinstance(t, MText)]
        found[key] = {
            "value": math.degrees(value) if angle else value,
            "unit": "deg" if angle else unit,
            "shown": texts[0] if texts else "",
        }
    return found
