"""A level run in full panels: as many whole ones as fit, and what is left made up at one end.

A full bay is the longest that one panel (or bar) fills within the kit's span. On punched rail it
holds the most balusters that such a bay can, and its clear distance may be anywhere in their band;
all full bays of a run are equally long, so that they are one piece. What they leave is one made-up
bay, never shorter than the kit's least: where it would be, it is shared over the last two bays.

Every clear distance is linear in the full bay's, and a gap's ease is the least of linear pieces: so
the easiest full bay is where two pieces meet, and is found by looking at those places alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from railsheet.job.kit import Kit, RailPlace
from railsheet.layout.ends.door import rail_end
from railsheet.layout.ends.kind import EndPlace
from railsheet.layout.infill.door import rake_section
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.long_run import Interval, Placed, ease_mm
from railsheet.layout.rail_ends import End
from railsheet.layout.rail_line import RailLine
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class FullBay:
    """What one whole panel fills. Lengths in mm, clear between post faces.

    Attributes:
        count: the balusters in it.
        low_mm, high_mm: its least and greatest clear distance.
    """

    count: int
    low_mm: float
    high_mm: float


def full_bay(kit: Kit, rule: RowRule) -> FullBay | None:
    """The longest bay that one piece of the kit's stock fills within its span; None if none."""
    longest = min(_stock_clear_mm(kit, place) for place in RailPlace)
    most = min(longest, kit.greatest_span_mm)
    if rule.anywhere:
        return FullBay(rule.best_count(most), most, most)
    fits = [(n, low, high) for n, low, high in rule.bands_within(0.0, most) if low <= most]
    if not fits:
        return None
    count, low, high = fits[-1]
    return FullBay(count, low, min(high, most))


def _stock_clear_mm(kit: Kit, place: RailPlace) -> float:
    """Between the faces of two line posts, with the longest bar whole between its two ends."""
    line, section = RailLine(0.0, 0.0), rake_section(kit, 0.0)
    at = EndPlace(kit, place, End.DOWNHILL, line, section, 0.0, through=True)
    return max(kit.rail(place).stock_mm) + 2 * rail_end(at).u_axis_mm


def place_full_panels(
    faces_mm: Interval, full: FullBay, rule: RowRule, kit: Kit, made_up_first: bool
) -> Placed | None:
    """Place line posts so that as many bays as can be are full.

    Among placings with as many full bays: one made-up bay before two; then the greatest ease of
    the tightest gap; then the more balusters.

    Args:
        faces_mm: the end posts' faces.
        full: what one whole panel fills.
        made_up_first: the made-up bay stands at the run's start, not at its end.

    Returns:
        None where no number of full panels leaves a bay, or two, that can be filled.
    """
    clear = faces_mm[1] - faces_mm[0]
    post = kit.post.width_mm
    for fulls in range(int((clear + post) / (full.low_mm + post) + SAME_MM), -1, -1):
        for made_up in (0, 1, 2):
            # Two made-up bays share what one full bay and a sliver would have been.
            options = list(_options(clear, fulls, made_up, full, rule, kit))
            if options:
                _, counts, clears = max(options, key=lambda o: (round(o[0] / SAME_MM), o[1]))
                return _placed(faces_mm, counts, clears, rule, post, made_up_first)
    return None


def _options(
    clear: float, fulls: int, made_up: int, full: FullBay, rule: RowRule, kit: Kit
) -> Iterator[tuple[float, tuple[int, ...], tuple[float, ...]]]:
    """Ease, balusters and clear distances of each way to fill so many bays."""
    post = kit.post.width_mm
    bays = fulls + made_up
    if bays == 0:
        return
    left = clear - (bays - 1) * post
    if made_up == 0:
        each = left / bays
        if full.low_mm - SAME_MM <= each <= full.high_mm + SAME_MM:
            yield ease_mm(rule, each, full.count), (full.count,) * bays, (each,) * bays
        return
    span = kit.greatest_span_mm
    most = min(full.high_mm, span) if fulls else span
    for count, low, high in rule.bands_within(kit.least_bay_mm, most):
        made = max(low, kit.least_bay_mm), min(high, most)
        if made[1] - made[0] < -SAME_MM:
            continue
        bands = rule.band_mm(full.count), (low, high)
        for each in _candidates(left, fulls, made_up, full, made, bands):
            rest = (left - fulls * each) / made_up
            inside = made[0] - SAME_MM <= rest <= made[1] + SAME_MM
            # A made-up bay is no longer than a full one, or that one were not full.
            if not inside or (fulls and rest > each + SAME_MM):
                continue
            ease = ease_mm(rule, rest, count)
            if fulls:
                ease = min(ease, ease_mm(rule, each, full.count))
            if ease < -SAME_MM:
                continue
            counts = (full.count,) * fulls + (count,) * made_up
            yield ease, counts, (each,) * fulls + (rest,) * made_up


def _candidates(
    left: float,
    fulls: int,
    made_up: int,
    full: FullBay,
    made: Interval,
    bands: tuple[Interval, Interval],
) -> list[float]:
    """The full bay's clear distances among which the easiest is.

    Each of the four distances to a band's edge is a line in the full bay's length x; the greatest
    of their least is at an end of what is allowed or where two of them cross.
    """
    if not fulls:
        return [0.0]
    share = fulls / made_up
    whole, part = bands
    # (slope, at 0): x - low, high - x, rest - low, high - rest.
    lines = [
        (1.0, -whole[0]),
        (-1.0, whole[1]),
        (-share, left / made_up - part[0]),
        (share, part[1] - left / made_up),
    ]
    ends = [full.low_mm, full.high_mm]
    ends += [(left - made_up * edge) / fulls for edge in made]
    ends.append(left / (fulls + made_up))
    ends += [(b - d) / (c - a) for (a, b), (c, d) in combinations(lines, 2) if a != c]
    return [x for x in ends if full.low_mm - SAME_MM <= x <= full.high_mm + SAME_MM]


def _placed(
    faces_mm: Interval,
    counts: tuple[int, ...],
    clears: tuple[float, ...],
    rule: RowRule,
    post: float,
    made_up_first: bool,
) -> Placed:
    if made_up_first:
        counts, clears = counts[::-1], clears[::-1]
    middles, at = [], faces_mm[0]
    for clear in clears[:-1]:
        middles.append(at + clear + post / 2)
        at += clear + post
    eases = [ease_mm(rule, c, n) for c, n in zip(clears, counts, strict=True)]
    return Placed(*faces_mm, tuple(middles), (0,) * len(middles), counts, min(eases))
