"""How the scatter of a level run's length runs on to its figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from railsheet.errors import BadInput
from railsheet.figures.doubt import STEP_MM, Doubt


def level_doubts(
    run: str,
    length_mm: float,
    sigma_mm: float,
    read_sigma_mm: float,
    figures: Callable[[float], Mapping[str, float]],
) -> tuple[Doubt, ...]:
    """Every figure's standard deviation from that of the run's length, counts held.

    Args:
        run: its mark.
        length_mm: its length as all readings have it.
        sigma_mm: that length's standard deviation.
        read_sigma_mm: of the length read once more.
        figures: the run's figures by key, mm or rad, for a length.

    Returns:
        One for each figure that rests on the length; none where every small change of it would
        change what is chosen by count.
    """
    here = figures(length_mm)
    sides = []
    for by in (STEP_MM, -STEP_MM):
        try:
            there = figures(length_mm + by)
        except BadInput:
            # On the very edge of what can be laid out at all; the other side has the slope.
            continue
        if there.keys() == here.keys():
            sides.append({key: (there[key] - here[key]) / by for key in here})
    if not sides:
        return ()
    variance = sigma_mm**2
    # A reading more, as good as the last: the update of sequential least squares (Ghilani,
    # *Adjustment Computations*; from memory).
    then = (variance * read_sigma_mm**2 / (variance + read_sigma_mm**2)) ** 0.5
    doubts = []
    for key in here:
        slope = abs(sum(side[key] for side in sides) / len(sides))
        if slope > 0.0:
            take = f"length of run {run} again"
            doubts.append(Doubt(key, slope * sigma_mm, take, slope * then))
    return tuple(doubts)
