"""A drawing as a DXF file: audited, and the same bytes for the same drawing."""

from __future__ import annotations

from pathlib import Path

from ezdxf._options import options
from ezdxf.document import Drawing

from railsheet.export.extents import fit_views
from railsheet.export.sight import Sight


class DrawingError(Exception):
    """The drawing breaks the DXF format: a fault of this program, never of the user's input."""


def save_dxf(doc: Drawing, path: Path, sight: Sight | None = None) -> None:
    """Audit the drawing and write it, so that it opens on the whole of each sheet.

    No date, time or random identifier goes into the file.

    Args:
        doc: the drawing.
        path: the file.
        sight: what is known already of what its model space shows.

    Raises:
        DrawingError: the audit found something wrong, or something it had to mend.
    """
    fit_views(doc, sight or Sight())
    auditor = doc.audit()
    faults = [*auditor.errors, *auditor.fixes]
    if faults:
        raise DrawingError("; ".join(f"{f.entity}: {f.message}" for f in faults))
    _order_classes(doc)
    doc.ezdxf_metadata()["CREATED_BY_EZDXF"] = "railsheet"
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        doc.saveas(path)
    finally:
        options.write_fixed_meta_data_for_testing = before


def _order_classes(doc: Drawing) -> None:
    """Put the file's list of classes in order: ezdxf takes it from a set, by the hash seed."""
    doc.classes.add_required_classes(doc.dxfversion)
    doc.classes.classes = dict(sorted(doc.classes.classes.items()))
