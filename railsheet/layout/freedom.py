"""Where a free post may stand, and where it was put."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.layout.rail_ends import End


@dataclass(frozen=True)
class Window:
    """Where the free post's face may stand so that one number of balusters fits. Lengths in mm.

    Attributes:
        balusters: how many go in.
        low_s_mm, high_s_mm: the face's places on the run at which both gaps are in range.
        clipped: that stretch where the base plate also lies as the kit asks; None where there is
            no such place.
    """

    balusters: int
    low_s_mm: float
    high_s_mm: float
    clipped: tuple[float, float] | None


@dataclass(frozen=True)
class Freedom:
    """What the free post's place could be, and where it was put. Lengths in mm, on the run.

    Attributes:
        end: the rail end whose post is free.
        plate_low_s_mm, plate_high_s_mm: the face's places that keep the plate on its surface;
            None where nothing bounds it but the kit's greatest span.
        windows: those that touch the surface, and one more on either side, going uphill.
        chosen: the window used; None where no place is right.
        wanted_s_mm: where the job asks for it; None where it does not.
    """

    end: End
    plate_low_s_mm: float
    plate_high_s_mm: float
    windows: tuple[Window, ...]
    chosen: Window | None
    wanted_s_mm: float | None

    @property
    def near_windows(self) -> tuple[Window, ...]:
        """The chosen window and the next on either side; all of them where none is chosen."""
        if self.chosen is None:
            return self.windows
        at = self.windows.index(self.chosen)
        return self.windows[max(at - 1, 0) : at + 2]
