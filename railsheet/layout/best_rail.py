"""The rail's line by the job's rule, and what to do where no straight rail keeps its band."""

from __future__ import annotations

from typing import TYPE_CHECKING

from railsheet.job.kit import Kit
from railsheet.job.model import FlightSpec
from railsheet.job.rail_rule import Rule
from railsheet.layout.notice import Notice, stop
from railsheet.layout.rail_line import RailLine, least_squares_line
from railsheet.survey.stair import Stair

if TYPE_CHECKING:
    from railsheet.layout.straight import NoStraightRail


def rail_over(stair: Stair, spec: FlightSpec, kit: Kit) -> tuple[RailLine, tuple[Notice, ...]]:
    """The line of the rail, by the flight's rule and within its band.

    Where no straight rail keeps the band within the kit's rake, the nearest one, and a notice with
    by how much it fails, at which noses, and the cures, the easiest first.
    """
    wanted = spec.rail_height_mm
    if spec.rail_rule is Rule.LEAST_SQUARES and spec.band_mm is None:
        return least_squares_line(stair.noses, wanted), ()
    # Loaded only for a flight with a band, or another rule than least squares.
    from railsheet.layout.straight import NoStraightRail, best_line

    noses = [(nose.s_mm, nose.z_mm) for nose in stair.noses]
    # Without a band any rake would do, and a flatter rail would only hide that the stair is too
    # steep for the kit.
    limit = None if spec.band_mm is None else kit.greatest_rake_rad
    found = best_line(noses, wanted, spec.band_mm, limit, spec.rail_rule)
    if isinstance(found, NoStraightRail):
        nearest = found.nearest
        return RailLine(nearest.slope, nearest.intercept_mm), (_no_rail(found, spec),)
    return RailLine(found.slope, found.intercept_mm), ()


def _no_rail(found: NoStraightRail, spec: FlightSpec) -> Notice:
    assert spec.band_mm is not None, "without a band there is always a rail"
    low, high = spec.band_mm
    lengths = {"low": low, "high": high, "excess": found.excess_mm}
    lengths["deviation"] = found.least_greatest_deviation_mm
    noses = _list_words([f"{number}" for number in found.noses])
    words = (
        f"no straight rail keeps {{low}} to {{high}} over every nose: noses {noses} would need the "
        "band {excess} wider. Drawn is the nearest line; the least any straight rail must leave "
        "the middle of its heights by is {deviation}"
    )
    if found.rake_limited:
        words += ". A rail steeper than the kit takes would keep it"
    cures = []
    if found.wanted_mm is not None:
        lengths["from"], lengths["to"] = found.wanted_mm
        cures.append("another wanted height, {from} to {to}")
    if found.breaks:
        cures.append(f"a break in the rail at a post by nose {found.breaks[0].nose}")
    if found.rebuilds:
        rebuild = found.rebuilds[0]
        lengths["move"] = abs(rebuild.by_mm)
        way = "higher" if rebuild.by_mm > 0 else "lower"
        cures.append(f"nose {rebuild.nose} rebuilt {{move}} {way}")
    if cures:
        words += ". Cures, the easiest first: " + "; ".join(cures)
    else:
        words += ". No other height, no single break and no single step rebuilt would cure it"
    return stop("band", words, **lengths)


def _list_words(names: list[str]) -> str:
    if len(names) < 2:
        return "".join(names)
    return ", ".join(names[:-1]) + " and " + names[-1]
