"""A drawing as a DXF file: audited, and the same bytes for the same drawing."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter
from io import StringIO
from pathlib import Path

from ezdxf._options import options
from ezdxf.audit import AuditError, Auditor
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
    auditor = _Audit(doc)
    auditor.run()
    faults = [*auditor.errors, *auditor.fixes]
    if faults:
        raise DrawingError("; ".join(f"{f.entity}: {f.message}" for f in faults))
    _order_classes(doc)
    doc.ezdxf_metadata()["CREATED_BY_EZDXF"] = "railsheet"
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    # Put together first: the stream of a file takes longer over so many short pieces.
    text = StringIO()
    try:
        doc.write(text)
    finally:
        options.write_fixed_meta_data_for_testing = before
    path.write_bytes(doc.encode(text.getvalue()))


class _Audit(Auditor):
    """ezdxf's audit, without the query language that it asks every block in for its insertions."""

    def check_block_reference_cycles(self) -> None:
        """Note a block that holds itself."""
        held = {
            block.name.casefold(): [
                part.dxf.name.casefold() for part in block if part.dxftype() == "INSERT"
            ]
            for block in self.doc.blocks
        }
        try:
            TopologicalSorter(held).prepare()
        except CycleError as cycle:
            message = f"blocks that hold each other: {', '.join(cycle.args[1])}"
            self.add_error(AuditError.INVALID_BLOCK_REFERENCE_CYCLE, message)


def _order_classes(doc: Drawing) -> None:
    """Put the file's list of classes in order: ezdxf takes it from a set, by the hash seed."""
    doc.classes.add_required_classes(doc.dxfversion)
    doc.classes.classes = dict(sorted(doc.classes.classes.items()))
