"""Where a flight's posts stand: the given ones, the free one, and any between."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from railsheet.job.kit import Kit
from railsheet.job.model import FlightSpec, Ground, Place, PostSpec
from railsheet.layout.freedom import Freedom
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.long_run import (
    Placed,
    RunEnds,
    Stretch,
    place_equal_spans,
    place_line_posts,
)
from railsheet.layout.post_place import (
    choose_place,
    face_from_nose,
    find_windows,
    nearest_place,
    plate_bounds,
)
from railsheet.layout.rail_ends import End
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class Placing:
    """How the posts between a long run's ends are placed.

    Attributes:
        surfaces: the treads that they may stand on; any when None.
        place: ``place_line_posts``, or what remembers what it gave.
    """

    surfaces: frozenset[int] | None = None
    place: Callable[[RunEnds, tuple[Stretch, ...], RowRule, float, float], Placed | None] = (
        place_line_posts
    )


ANYHOW = Placing()


@dataclass(frozen=True)
class LinePlace:
    """One line post's place. Lengths in mm: its middle on the run; and what it stands on."""

    middle_mm: float
    surface: int


@dataclass(frozen=True)
class Faces:
    """The end posts' faces on the run, what stands between them, and how it came about.

    Attributes:
        line: the line posts, uphill.
        balusters: how many stand in each bay, uphill; one more entry than line posts.
    """

    downhill_mm: float
    uphill_mm: float
    line: tuple[LinePlace, ...]
    balusters: tuple[int, ...]
    freedom: Freedom | None

    def bays(self, post_mm: float) -> tuple[tuple[float, float], ...]:
        """Each bay's downhill and uphill face, for line posts of this width."""
        half = post_mm / 2
        starts = (self.downhill_mm, *(p.middle_mm + half for p in self.line))
        stops = (*(p.middle_mm - half for p in self.line), self.uphill_mm)
        return tuple(zip(starts, stops, strict=True))


def line_spec(surface: int) -> PostSpec:
    """What a job would say of a line post that the layout itself puts on a tread."""
    return PostSpec(Ground.TREAD, surface, Place.FREE, None, None, 0.0, None)


def spec_of(spec: FlightSpec, end: End) -> PostSpec:
    """What the job says of the post at one end of a flight's rails."""
    return spec.bottom_post if end is End.DOWNHILL else spec.top_post


def _given_face(stair: Stair, spec: PostSpec) -> float:
    assert spec.from_nose_mm is not None, "the job room lets only a free post go without E"
    return face_from_nose(stair, spec, spec.from_nose_mm)


def find_faces(
    stair: Stair, spec: FlightSpec, kit: Kit, rule: RowRule, placing: Placing = ANYHOW
) -> Faces:
    """Both end posts' places; and, where they stand too far apart for one bay, those between.

    Args:
        stair, spec, kit: as of ``solve_flight``.
        rule: how balusters are spaced.
        placing: how the posts between are placed.
    """
    single = _single_bay(stair, spec, kit, rule)
    if single is not None and single.uphill_mm - single.downhill_mm <= (
        kit.greatest_span_mm + SAME_MM
    ):
        return _windows_within_span(single, kit, rule)
    long = _long(stair, spec, kit, rule, placing)
    return long or single or _unplaced(stair, spec, kit, rule)


def _single_bay(stair: Stair, spec: FlightSpec, kit: Kit, rule: RowRule) -> Faces | None:
    """One bay; None where the free post cannot stand within the kit's span of the other."""
    free = _free_end(spec)
    if free is None:
        downhill = _given_face(stair, spec.bottom_post)
        uphill = _given_face(stair, spec.top_post)
        return Faces(downhill, uphill, (), (rule.best_count(uphill - downhill),), None)
    fixed = _given_face(stair, spec_of(spec, _other(free)))
    room = _room(stair, spec_of(spec, free), kit, rule, free)
    if abs(fixed - (room[1] if free is End.DOWNHILL else room[0])) > kit.greatest_span_mm:
        return None
    freedom, place = _free_place(stair, spec_of(spec, free), kit, rule, free, fixed)
    downhill, uphill = (place, fixed) if free is End.DOWNHILL else (fixed, place)
    chosen = freedom.chosen
    balusters = chosen.balusters if chosen else rule.best_count(uphill - downhill)
    return Faces(downhill, uphill, (), (balusters,), freedom)


def _windows_within_span(faces: Faces, kit: Kit, rule: RowRule) -> Faces:
    """One bay whose free post may slide no farther off than the kit's span, tread or no tread."""
    freedom = faces.freedom
    if freedom is None:
        return faces
    fixed = faces.uphill_mm if freedom.end is End.DOWNHILL else faces.downhill_mm
    room = _within_span(kit, freedom.end, fixed, (freedom.plate_low_s_mm, freedom.plate_high_s_mm))
    windows = find_windows(rule, fixed, freedom.end, *room)
    chosen = freedom.chosen and next(w for w in windows if w.balusters == freedom.chosen.balusters)
    low, high = room
    freedom = replace(
        freedom, plate_low_s_mm=low, plate_high_s_mm=high, windows=windows, chosen=chosen
    )
    return replace(faces, freedom=freedom)


def _within_span(
    kit: Kit, free: End, other_mm: float, room_mm: tuple[float, float]
) -> tuple[float, float]:
    """What of the free post's room lies within the kit's span of the bay's other post."""
    low, high = room_mm
    farthest = other_mm - free.inward * kit.greatest_span_mm
    return (max(low, farthest), high) if free is End.DOWNHILL else (low, min(high, farthest))


def _unplaced(stair: Stair, spec: FlightSpec, kit: Kit, rule: RowRule) -> Faces:
    """Nothing keeps even the spans: the end posts alone, for the notices to say so."""
    free = _free_end(spec)
    assert free is not None, "with both posts given one bay can always be drawn"
    room = _room(stair, spec_of(spec, free), kit, rule, free)
    fixed = _given_face(stair, spec_of(spec, _other(free)))
    downhill, uphill = (room[1], fixed) if free is End.DOWNHILL else (fixed, room[0])
    windows = find_windows(rule, fixed, free, *room)
    freedom = Freedom(free, *room, windows, None, None)
    return Faces(downhill, uphill, (), (rule.best_count(uphill - downhill),), freedom)


def _free_end(spec: FlightSpec) -> End | None:
    return next((end for end in End if spec_of(spec, end).place is Place.FREE), None)


def _other(end: End) -> End:
    return End.UPHILL if end is End.DOWNHILL else End.DOWNHILL


def _room(stair: Stair, spec: PostSpec, kit: Kit, rule: RowRule, end: End) -> tuple[float, float]:
    """Where the free post's face of a long run may stand.

    A landing or a deck goes on past what was read; within one spacing of the steps every phase of
    the holes comes round, so no post need stand farther off than that.
    """
    bounds = plate_bounds(stair, spec, kit, end)
    assert bounds.low_mm is not None or bounds.high_mm is not None, "a surface has a nose"
    low = bounds.high_mm - rule.spacing_mm if bounds.low_mm is None else bounds.low_mm  # type: ignore[operator]
    high = bounds.low_mm + rule.spacing_mm if bounds.high_mm is None else bounds.high_mm  # type: ignore[operator]
    return low, high


def _long(
    stair: Stair, spec: FlightSpec, kit: Kit, rule: RowRule, placing: Placing
) -> Faces | None:
    """Posts between, on the treads between those the end posts stand on."""
    stretches = _stretches(stair, spec, kit, placing.surfaces)
    free = _free_end(spec)
    for ends in _end_choices(stair, spec, kit, rule, free):
        given = ends, stretches, rule, kit.post.width_mm, kit.greatest_span_mm
        placed = placing.place(*given)
        if placed is None and free is None:
            placed = place_equal_spans(*given)
        if placed is not None:
            return _with_freedom(stair, spec, kit, rule, placed)
    return None


def _stretches(
    stair: Stair, spec: FlightSpec, kit: Kit, among: frozenset[int] | None
) -> tuple[Stretch, ...]:
    found = []
    for surface in range(spec.bottom_post.surface + 1, spec.top_post.surface):
        if among is not None and surface not in among:
            continue
        bounds = plate_bounds(stair, line_spec(surface), kit, End.UPHILL)
        assert bounds.low_mm is not None
        assert bounds.high_mm is not None
        half = kit.post.width_mm / 2
        if bounds.low_mm <= bounds.high_mm:
            found.append(Stretch(surface, bounds.low_mm + half, bounds.high_mm + half))
    return tuple(found)


def _end_choices(
    stair: Stair, spec: FlightSpec, kit: Kit, rule: RowRule, free: End | None
) -> Iterator[RunEnds]:
    """Where the ends may stand: a wanted place before the rest of the free post's surface."""
    if free is None:
        downhill = _given_face(stair, spec.bottom_post)
        uphill = _given_face(stair, spec.top_post)
        yield RunEnds((downhill, downhill), (uphill, uphill))
        return
    post = spec_of(spec, free)
    fixed = _given_face(stair, spec_of(spec, _other(free)))
    choices = [_room(stair, post, kit, rule, free)]
    if post.from_nose_mm is not None:
        wanted = face_from_nose(stair, post, post.from_nose_mm)
        choices.insert(0, (wanted, wanted))
    for room in choices:
        if room[0] <= room[1]:
            held = (fixed, fixed)
            yield RunEnds(room, held) if free is End.DOWNHILL else RunEnds(held, room)


def _with_freedom(stair: Stair, spec: FlightSpec, kit: Kit, rule: RowRule, placed: Placed) -> Faces:
    """The placing, and the free post's windows with its neighbour standing as placed."""
    line = tuple(
        LinePlace(middle, surface)
        for middle, surface in zip(placed.middles_mm, placed.surfaces, strict=True)
    )
    faces = Faces(placed.downhill_face_mm, placed.uphill_face_mm, line, placed.balusters, None)
    free = _free_end(spec)
    if free is None:
        return faces
    post = spec_of(spec, free)
    bays = faces.bays(kit.post.width_mm)
    neighbour = bays[0][1] if free is End.DOWNHILL else bays[-1][0]
    low, high = _within_span(kit, free, neighbour, _room(stair, post, kit, rule, free))
    windows = find_windows(rule, neighbour, free, low, high)
    count = placed.balusters[0 if free is End.DOWNHILL else -1]
    chosen = next(w for w in windows if w.balusters == count)
    wanted = None if post.from_nose_mm is None else face_from_nose(stair, post, post.from_nose_mm)
    return replace(faces, freedom=Freedom(free, low, high, windows, chosen, wanted))


def _free_place(
    stair: Stair, spec: PostSpec, kit: Kit, rule: RowRule, end: End, fixed_mm: float
) -> tuple[Freedom, float]:
    bounds = plate_bounds(stair, spec, kit, end)
    farthest = fixed_mm - end.inward * kit.greatest_span_mm
    # A landing or a deck goes on past what was read: there the kit's span is the bound.
    low = farthest if bounds.low_mm is None else bounds.low_mm
    high = farthest if bounds.high_mm is None else bounds.high_mm
    if bounds.low_mm is None:
        preferred = high
    elif bounds.high_mm is None:
        preferred = low
    else:
        preferred = (low + high) / 2
    windows = find_windows(rule, fixed_mm, end, low, high)
    wanted = None if spec.from_nose_mm is None else face_from_nose(stair, spec, spec.from_nose_mm)
    if rule.anywhere:
        # Every place works: only the plate has a say, and the count follows.
        aim = preferred if wanted is None else wanted
        found = nearest_place(windows, aim, kit.fit_tolerance_mm)
    elif wanted is None:
        found = choose_place(windows, preferred)
    else:
        found = nearest_place(windows, wanted, kit.fit_tolerance_mm)
    if found is None:
        # Nothing is right. Stay on the surface, as near to a window as it lets the post stand.
        place = _least_wrong(rule, end, fixed_mm, low, high, preferred)
        return Freedom(end, low, high, windows, None, wanted), place
    return Freedom(end, low, high, windows, found[0], wanted), found[1]


def _least_wrong(
    rule: RowRule, end: End, fixed_mm: float, low_mm: float, high_mm: float, preferred: float
) -> float:
    if low_mm > high_mm:
        return preferred
    candidates = (preferred, low_mm, high_mm)

    def outside(place: float) -> float:
        clear = end.inward * (fixed_mm - place)
        return rule.outside_mm(clear, rule.best_count(clear))

    return min(candidates, key=outside)
