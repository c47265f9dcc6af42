"""Every opening of a solved railing, on its true outline, with the greatest circle in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence, Set
from dataclasses import dataclass, replace
from enum import Enum
from functools import cache, partial
from itertools import chain, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import get_parts, union_all
from shapely.geometry import Polygon, box

from railsheet.checks.limit import Place, Quantity, Situation
from railsheet.checks.measured import Measured
from railsheet.checks.opening import Circle
from railsheet.checks.opening_bounds import (
    bottom_floor_z,
    plate_box,
    rail_edge,
    step_below,
    underside,
)
from railsheet.checks.stair_opening import (
    Void,
    between_plumbs,
    fitted_all,
    flat_void,
    step_void,
)
from railsheet.job.site import FlightSite
from railsheet.layout.railing import Bay, Railing
from railsheet.survey.stair import Nose
from railsheet.tolerance import SAME_MM

# An outline smaller than this lets nothing through; it is what clipping leaves along an edge.
_NOTHING_MM2 = 1e-3


class Beside(Enum):
    """What walk an opening stands beside."""

    STAIR = "the stair"
    DECK = "the deck"
    BOTTOM = "the bottom walking surface"


class Sort(Enum):
    """Which sort of opening it is."""

    INFILL = "between balusters"
    END = "between a post and a baluster"
    STEP = "under the bottom rail, beside a step"
    FLAT = "under the bottom rail, on the flat"


@dataclass(frozen=True)
class Opening:
    """One opening.

    Attributes:
        where: its place in words; openings are numbered uphill from the bay's downhill post.
        quantity: which limits are limits on it.
        beside: what walks it stands beside; one that stands over a nose at an end of the flight
            is beside two.
        circle: the greatest circle in it, in the run frame.
    """

    where: str
    sort: Sort
    quantity: Quantity
    beside: tuple[Beside, ...]
    circle: Circle


@dataclass(frozen=True)
class _Unfitted:
    """An opening whose circle is still to be found.

    Attributes:
        of: the opening, for its circle.
        void: where the circle is sought.
        wider: where it is sought when it leans on a line that is not there in the world.
    """

    of: Callable[[Circle], Opening]
    void: Void
    wider: Callable[[], Void]


def _circles(unfitted: Sequence[_Unfitted]) -> list[Circle]:
    found = fitted_all([each.void for each in unfitted])
    leaning = [number for number, opening in enumerate(found) if not opening.whole]
    wider = fitted_all([unfitted[number].wider() for number in leaning])
    for number, opening in zip(leaning, wider, strict=True):
        found[number] = opening
    return [opening.circle for opening in found]


def openings_of(railing: Railing, among: Set[str] | None = None) -> tuple[Opening, ...]:
    """Every opening, bay by bay: through the infill, then under the bottom rail, going uphill.

    Between plumb members an opening is bounded by the punched faces of the two rails and the
    faces of the balusters or posts; what brackets fill is left open, which only makes it larger.
    Under the bottom rail it is bounded by the walk, the risers and the posts; of a post's foot
    only the base plate is taken as solid, not its cover.

    Args:
        among: the places that are wanted, the circles of the others not sought; all when None.
    """
    plates = [box(*plate_box(railing, post)) for post in railing.posts]
    found = [each for bay in railing.bays for each in _of_bay(railing, bay, plates, among)]
    circles = iter(_circles([each for each in found if isinstance(each, _Unfitted)]))
    return tuple(each if isinstance(each, Opening) else each.of(next(circles)) for each in found)


def _of_bay(
    railing: Railing, bay: Bay, plates: Sequence[Polygon], among: Set[str] | None
) -> Iterator[Opening | _Unfitted]:
    yield from _infill(railing, bay, among)
    yield from _spread(railing, bay, among)
    yield from _under(railing, bay, plates, among)


def opening_figures(
    openings: Sequence[Opening], site: FlightSite, on_stair: Situation
) -> Iterator[Measured]:
    """Each opening's diameter, once for each walk that it stands beside.

    Args:
        on_stair: the situation on the stair; of a level run, on its one walk.
    """
    if on_stair.place is Place.FLAT:
        for opening in openings:
            yield Measured(opening.quantity, opening.where, on_stair, opening.circle.diameter_mm)
        return
    drops = {Beside.DECK: site.drop_mm, Beside.BOTTOM: site.bottom_drop_mm}
    for opening in openings:
        for beside in opening.beside:
            situation, where = on_stair, opening.where
            if beside is not Beside.STAIR:
                situation = replace(on_stair, place=Place.FLAT, drop_mm=drops[beside])
                where = f"{opening.where}, beside {beside.value}"
            yield Measured(opening.quantity, where, situation, opening.circle.diameter_mm)


def _wanted(where: str, among: Set[str] | None) -> bool:
    return among is None or where in among


def _infill(railing: Railing, bay: Bay, among: Set[str] | None) -> Iterator[_Unfitted]:
    named = f"bay {bay.number}, opening "
    if among is not None and not any(place.startswith(named) for place in among):
        return
    upper, lower = (rail_edge(bay, rail) for rail in bay.rails)
    whole = between_plumbs(bay.downhill_face_mm, bay.uphill_face_mm, lower, upper)
    parts = _left_open(whole, bay)
    for number, part in enumerate(parts, start=1):
        left, _, right, _ = part.bounds
        at_post = left < bay.downhill_face_mm + SAME_MM or right > bay.uphill_face_mm - SAME_MM
        words = " at the post" if at_post and bay.infill.row is not None else ""
        where = f"{named}{number}{words}"
        if not _wanted(where, among):
            continue
        sort, beside = Sort.END if at_post else Sort.INFILL, _beside(railing, left, right)
        of = partial(Opening, where, sort, Quantity.GUARD_OPENING, beside)
        void = Void(part, ())
        yield _Unfitted(of, void, partial(void.joined, ()))


def _spread(railing: Railing, bay: Bay, among: Set[str] | None) -> Iterator[Opening]:
    for fact in bay.infill.facts:
        where = f"bay {bay.number}, between two cables spread by a pressed sphere"
        if fact.name != "spread" or not _wanted(where, among):
            continue
        middle = (bay.downhill_face_mm + bay.uphill_face_mm) / 2
        yield Opening(
            where=where,
            sort=Sort.INFILL,
            quantity=Quantity.GUARD_OPENING,
            beside=_beside(railing, bay.downhill_face_mm, bay.uphill_face_mm),
            circle=Circle(
                middle, bay.line.z_at(middle) - bay.section.height_plumb_mm / 2, fact.value
            ),
        )


def _left_open(whole: Polygon, bay: Bay) -> list[Polygon]:
    """What the infill, as it is drawn, leaves open between rails and posts, going uphill."""
    # Grown by a hair, so that where members meet the rails no sliver joins two openings.
    hair = SAME_MM / 10
    solid = _polygons([member.outline for member in bay.infill.members])
    members = union_all(shapely.buffer(solid, hair, join_style="mitre"))
    left = get_parts(whole.difference(members))
    found = [part for part in left if isinstance(part, Polygon) and part.area > _NOTHING_MM2]
    return sorted(found, key=lambda part: (part.bounds[0], part.bounds[1]))


def _polygons(outlines: Sequence[Sequence[tuple[float, float]]]) -> NDArray[np.object_]:
    if not outlines:
        return np.array([], dtype=object)
    of = np.repeat(np.arange(len(outlines)), [len(outline) for outline in outlines])
    rings = shapely.linearrings(list(chain.from_iterable(outlines)), indices=of)
    return np.asarray(shapely.polygons(rings))


def _beside(railing: Railing, left: float, right: float) -> tuple[Beside, ...]:
    if not railing.stair.noses:
        return (Beside.DECK,)
    first, last = railing.stair.noses[0].s_mm, railing.stair.noses[-1].s_mm
    found = []
    if left < first - SAME_MM:
        found.append(Beside.BOTTOM)
    if right > first + SAME_MM and left < last - SAME_MM:
        found.append(Beside.STAIR)
    if right > last + SAME_MM:
        found.append(Beside.DECK)
    return tuple(found)


def _under(
    railing: Railing, bay: Bay, plates: Sequence[Polygon], among: Set[str] | None
) -> Iterator[_Unfitted]:
    found = list(_voids(railing, bay))

    @cache
    def left_of(index: int) -> Void:
        return found[index][3]().clipped(bay.downhill_face_mm, bay.uphill_face_mm, plates)

    def is_open(index: int) -> bool:
        return left_of(index).outline.area > _NOTHING_MM2

    def wider(index: int) -> Void:
        below = next(filter(is_open, range(index - 1, -1, -1)), index)
        above = next(filter(is_open, range(index + 1, len(found))), index)
        return left_of(index).joined([left_of(n) for n in sorted({below, index, above})])

    for index, (where, sort, beside, _) in enumerate(found):
        if not _wanted(where, among) or not is_open(index):
            continue
        quantity = Quantity.TRIANGLE_OPENING if sort is Sort.STEP else Quantity.GUARD_OPENING
        of = partial(Opening, where, sort, quantity, (beside,))
        yield _Unfitted(of, left_of(index), partial(wider, index))


def _holds(bay: Bay, nose: Nose, ahead: Nose) -> bool:
    """Whether any of the step between two noses lies within a bay."""
    return ahead.s_mm > bay.downhill_face_mm and nose.s_mm < bay.uphill_face_mm


def _voids(railing: Railing, bay: Bay) -> Iterator[tuple[str, Sort, Beside, Callable[[], Void]]]:
    """Under the bottom rail, going uphill: the bottom flat, each step, the deck; each undrawn."""
    stair, rail = railing.stair, underside(bay)
    if not stair.noses:
        void = partial(flat_void, bay.downhill_face_mm, bay.uphill_face_mm, 0.0, rail)
        yield f"bay {bay.number}, under the rail", Sort.FLAT, Beside.DECK, void
        return
    first, last = stair.noses[0], stair.noses[-1]
    runs = stair.runs_mm
    floor = bottom_floor_z(railing)
    if bay.downhill_face_mm < first.s_mm - SAME_MM:
        # The last run of the floor before the first riser makes the lowest triangle with it.
        start = first.s_mm - runs[0]
        if bay.downhill_face_mm < start - SAME_MM:
            yield (
                f"bay {bay.number}, under the rail at the bottom",
                Sort.FLAT,
                Beside.BOTTOM,
                partial(flat_void, bay.downhill_face_mm, start, floor, rail),
            )
        step = step_below(stair, (start, floor), 1)
        yield "under the rail, step 0", Sort.STEP, Beside.STAIR, partial(step_void, step, rail)
    for number, (nose, ahead) in enumerate(pairwise(stair.noses), start=1):
        if _holds(bay, nose, ahead):
            step = step_below(stair, (nose.s_mm, nose.z_mm), number + 1)
            where = f"under the rail, step {number}"
            # A line post parts a step: what it leaves in either bay is an opening of its own.
            if sum(_holds(each, nose, ahead) for each in railing.bays) > 1:
                where += f", bay {bay.number}"
            yield where, Sort.STEP, Beside.STAIR, partial(step_void, step, rail)
    if bay.uphill_face_mm > last.s_mm + SAME_MM:
        starts_at_nose = bay.downhill_face_mm < last.s_mm
        yield (
            f"bay {bay.number}, under the rail on the deck",
            Sort.FLAT,
            Beside.DECK,
            partial(
                flat_void,
                last.s_mm if starts_at_nose else bay.downhill_face_mm,
                bay.uphill_face_mm,
                last.z_mm,
                rail,
                nose_s_mm=last.s_mm if starts_at_nose else None,
                run_mm=runs[-1],
            ),
        )
