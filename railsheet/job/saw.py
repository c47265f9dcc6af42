"""The saw that a job is cut on, as the job file states it."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.job.source import Table

_KERF_MM = (0.5, 10.0)
_TRIM_MM = (0.0, 300.0)
_KEEP_MM = (1.0, 13000.0)


@dataclass(frozen=True)
class SawSpec:
    """Blade, end trim and the shortest drop worth keeping. Lengths in mm.

    The defaults are common practice, no source; the saw sheet says where a job left them be.

    Attributes:
        kerf_mm: the blade's width, square to the cut.
        end_trim_mm: the least that comes off each end of a bar or a drop.
        keep_mm: a remainder this long or longer is kept.
        assumed: which of the three the job does not state, in words.
    """

    kerf_mm: float = 3.175
    end_trim_mm: float = 3.175
    keep_mm: float = 609.6
    assumed: tuple[str, ...] = ("kerf", "end trim", "shortest drop kept")


def read_saw(root: Table) -> SawSpec:
    """The job's [saw], or the usual one."""
    usual = SawSpec()
    if not root.has("saw"):
        return usual
    table = root.table("saw")
    saw = SawSpec(
        kerf_mm=table.length("kerf", *_KERF_MM, usual.kerf_mm),
        end_trim_mm=table.length("end_trim", *_TRIM_MM, usual.end_trim_mm),
        keep_mm=table.length("keep", *_KEEP_MM, usual.keep_mm),
        assumed=tuple(
            words
            for key, words in zip(("kerf", "end_trim", "keep"), usual.assumed, strict=True)
            if not table.has(key)
        ),
    )
    table.done()
    return saw
