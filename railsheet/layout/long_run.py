"""Posts between the ends of a long run: fewest, then most equal bays, then the best gaps.

A line post's middle may stand anywhere on the stretches its plate allows (one for each tread, or
the whole deck of a level run). Of two neighbouring middles only their distance matters to the bay
between: with N balusters it must lie within the punched rail's band and the kit's greatest span.
So the middles that can be reached with so many posts are unions of intervals, carried along the
run post by post: exact, and in proportion to the number of posts.

Bays count as equal by their balusters, for on a punched rail equal counts are what makes two bays
the same piece; clear distances then differ by less than the gaps' own play.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise

from railsheet.layout.infill.row_rule import RowRule
from railsheet.tolerance import SAME_MM

Interval = tuple[float, float]

# Halving the gaps' play so often leaves less of it than float64 can tell on a site.
_HALVINGS = 52
# Choices of surfaces that are made easier one after the other before all are sought among.
_CHOICES = 6


@dataclass(frozen=True)
class Stretch:
    """Where a line post's middle may stand on one surface. Lengths in mm, on the run.

    Attributes:
        surface: the walking surface's number.
        low_mm, high_mm: the least and greatest place of its middle.
    """

    surface: int
    low_mm: float
    high_mm: float


@dataclass(frozen=True)
class RunEnds:
    """What a long run lies between. Lengths in mm, on the run.

    Attributes:
        downhill_mm: where the downhill post's face may stand, least and greatest; equal if given.
        uphill_mm: the same of the uphill post's face.
    """

    downhill_mm: Interval
    uphill_mm: Interval


@dataclass(frozen=True)
class Placed:
    """A long run's posts placed. Lengths in mm, on the run.

    Attributes:
        downhill_face_mm, uphill_face_mm: the end posts' faces.
        middles_mm: each line post's middle, uphill.
        surfaces: the surface each line post stands on.
        balusters: how many stand in each bay, uphill.
        ease_mm: the least distance of any gap to the end of its allowed range; below 0 where no
            placing keeps every gap and the bays were only made equal.
    """

    downhill_face_mm: float
    uphill_face_mm: float
    middles_mm: tuple[float, ...]
    surfaces: tuple[int, ...]
    balusters: tuple[int, ...]
    ease_mm: float


def ease_mm(rule: RowRule, clear_mm: float, count: int) -> float:
    """How far a clear distance stands inside its count's band, for each of the two gaps.

    On a punched rail it is what the equal gaps lie inside their allowed range by; negative
    outside it.
    """
    least, most = rule.band_mm(count)
    return min(clear_mm - least, most - clear_mm) / 2


@dataclass(frozen=True)
class _Task:
    """The question, with end faces turned into the middles of posts that would stand there."""

    start: Interval
    stop: Interval
    stretches: tuple[Stretch, ...]
    rule: RowRule
    post_mm: float
    span_mm: float

    def reach(self, balusters: int, ease_mm: float) -> Interval | None:
        """How far apart two middles may stand with so many balusters between, gaps so easy."""
        least, most = self.rule.band_mm(balusters)
        low, high = least + 2 * ease_mm, min(most - 2 * ease_mm, self.span_mm)
        if low > high + SAME_MM:
            return None
        return low + self.post_mm, max(low, high) + self.post_mm


@dataclass(frozen=True)
class _Path:
    """Everything reachable with so many posts: intervals of middles, post by post."""

    layers: tuple[tuple[tuple[int, Interval], ...], ...]


def place_line_posts(
    ends: RunEnds,
    stretches: Sequence[Stretch],
    rule: RowRule,
    post_mm: float,
    greatest_span_mm: float,
) -> Placed | None:
    """Place the posts between a long run's ends.

    Among all placings that keep every clear distance within the kit's span and every gap within
    its range: fewest posts; then the least difference between the greatest and the least number
    of balusters in a bay; then the greatest ease of the tightest gap (to a millionth of a
    millimetre); then the greater numbers of balusters.

    Args:
        ends: the end posts' faces.
        stretches: where line posts may stand, in any order.
        rule: spacing, baluster width and allowed gap.
        post_mm: a post's width along the run.
        greatest_span_mm: the kit's greatest clear distance.

    Returns:
        The placing; or None where there is none.
    """
    half = post_mm / 2
    task = _Task(
        start=(ends.downhill_mm[0] - half, ends.downhill_mm[1] - half),
        stop=(ends.uphill_mm[0] + half, ends.uphill_mm[1] + half),
        stretches=tuple(sorted(stretches, key=lambda s: s.low_mm)),
        rule=rule,
        post_mm=post_mm,
        span_mm=greatest_span_mm,
    )
    counts = _counts(task)
    if not counts:
        return None
    length = task.stop[1] - task.start[0]
    least_apart = task.rule.band_mm(counts[0])[0] + post_mm
    # Fewer than these leave a bay past the span wherever they stand.
    shortest = task.stop[0] - task.start[1]
    fewest = max(math.ceil((shortest - SAME_MM) / (greatest_span_mm + post_mm)) - 1, 0)
    for posts in range(fewest, int(length / least_apart) + 1):
        if _paths(task, posts, counts, 0.0) is None:
            continue
        found = _with_posts(task, posts, counts)
        if found is not None:
            return found
    return None


def _counts(task: _Task) -> range:
    """Numbers of balusters that a bay within the span can hold."""
    # Where any distance can be filled one band takes over from the last: the one that only begins
    # where the span ends has nothing to fill.
    end = task.span_mm + (-SAME_MM if task.rule.anywhere else SAME_MM)
    most = 0
    while task.rule.band_mm(most + 1)[0] <= end:
        most += 1
    return range(1, most + 1)


def _with_posts(task: _Task, posts: int, counts: range) -> Placed | None:
    for spread in range(len(counts)):
        feasible = [
            range(low, low + spread + 1)
            for low in range(counts.start, counts.stop - spread)
            if _paths(task, posts, range(low, low + spread + 1), 0.0) is not None
        ]
        if not feasible:
            continue
        eased = [(_greatest_ease(task, posts, held), held.start) for held in feasible]
        best = max(eased, key=lambda pair: (round(pair[0] / SAME_MM), pair[1]))
        held = range(best[1], best[1] + spread + 1)
        path = _paths(task, posts, held, best[0])
        assert path is not None, "the ease was found by finding this path"
        return _walk_back(task, path, held, best[0])
    return None


def _greatest_ease(task: _Task, posts: int, held: range) -> float:
    """The greatest ease at which there still is a path, by halving; feasible at what it gives.

    Halved on the surfaces of one path alone, which is quick; then all surfaces are asked for a
    path with the least more ease. Where there is none that was the greatest; else that path's
    surfaces are the next.
    """
    bands = [task.rule.band_mm(count) for count in held]
    most = max(most - least for least, most in bands) / 4
    if _paths(task, posts, held, most) is not None:
        return most
    path = _paths(task, posts, held, 0.0)
    past = 0.0
    for _ in range(_CHOICES):
        assert path is not None, "whoever asks has found a path"
        surfaces = _walk_back(task, path, held, past).surfaces
        here = _on_surfaces(task, surfaces)
        low, past = _halved(lambda ease: _paths(task, posts, held, ease, here), most)  # noqa: B023
        path = _paths(task, posts, held, past)
        if path is None:
            return low
    return _halved(lambda ease: _paths(task, posts, held, ease), most)[0]


def _halved(paths: Callable[[float], _Path | None], most_mm: float) -> Interval:
    """The greatest ease with a path and the least without one, as near as float64 tells them."""
    low, high = 0.0, most_mm
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if paths(middle) is None:
            high = middle
        else:
            low = middle
    return low, high


def _on_surfaces(task: _Task, surfaces: Sequence[int]) -> tuple[tuple[Stretch, ...], ...]:
    return tuple(
        tuple(stretch for stretch in task.stretches if stretch.surface == surface)
        for surface in surfaces
    )


def _paths(
    task: _Task,
    posts: int,
    held: range,
    ease_mm: float,
    on: Sequence[Sequence[Stretch]] | None = None,
) -> _Path | None:
    """What can be reached with so many posts, on any surface or each on its own stretches."""
    reaches = [r for n in held if (r := task.reach(n, ease_mm)) is not None]
    if not reaches:
        return None
    least, most = min(r[0] for r in reaches), max(r[1] for r in reaches)
    # Each bay may be a tolerance out on both its sides, here and in walking back.
    slack = 4 * SAME_MM * (posts + 1)
    near, far = task.stop[0] - slack, task.stop[1] + slack
    bays = posts + 1
    if bays * least > far - task.start[0] or bays * most < near - task.start[1]:
        return None
    stop = (Stretch(-1, task.stop[0], task.stop[1]),)
    layers: list[tuple[tuple[int, Interval], ...]] = [((-1, task.start),)]
    for number in range(posts + 1):
        left = posts - number
        stretches = stop if left == 0 else task.stretches if on is None else on[number]
        # From elsewhere the bays that are left do not come to the end.
        within = near - left * most, far - left * least
        layer = _onto(layers[-1], reaches, stretches, within)
        if not layer:
            return None
        layers.append(layer)
    return _Path(tuple(layers))


def _onto(
    layer: Sequence[tuple[int, Interval]],
    reaches: Sequence[Interval],
    stretches: Sequence[Stretch],
    within: Interval,
) -> tuple[tuple[int, Interval], ...]:
    """Where the next post's middle can stand, on the stretches that are partly within."""
    cast = _merged(
        (low + least, high + most) for _, (low, high) in layer for least, most in reaches
    )
    found = []
    first = 0
    # Both are in order, and what is skipped lies two tolerances off: the sum below decides.
    ahead = min(within[1], cast[-1][1] + 2 * SAME_MM)
    behind = max(within[0], cast[0][0] - 2 * SAME_MM)
    for stretch in stretches:
        if stretch.low_mm > ahead:
            break
        if stretch.high_mm < behind:
            continue
        while first < len(cast) and cast[first][1] < stretch.low_mm - 2 * SAME_MM:
            first += 1
        for low, high in islice(cast, first, None):
            if low > stretch.high_mm + 2 * SAME_MM:
                break
            kept = max(low, stretch.low_mm), min(high, stretch.high_mm)
            if kept[1] - kept[0] >= -SAME_MM:
                found.append((stretch.surface, (kept[0], max(kept))))
    return tuple(found)


def _merged(intervals: Iterable[Interval]) -> list[Interval]:
    merged: list[Interval] = []
    for low, high in sorted(intervals):
        if merged and low <= merged[-1][1] + SAME_MM:
            merged[-1] = merged[-1][0], max(merged[-1][1], high)
        else:
            merged.append((low, high))
    return merged


def _walk_back(task: _Task, path: _Path, held: range, least_ease_mm: float) -> Placed:
    """Choose one place from each layer, uphill end first, each bay's gaps as easy as they come."""
    _, last = path.layers[-1][-1]
    place = (last[0] + last[1]) / 2
    places, surfaces, balusters = [place], [], []
    for layer in reversed(path.layers[:-1]):
        options = []
        for surface, (low, high) in layer:
            for count in held:
                reach = task.reach(count, least_ease_mm)
                if reach is None:
                    continue
                near, far = max(place - reach[1], low), min(place - reach[0], high)
                # Each layer was let be a tolerance wide of the true one, on both its sides.
                if far - near < -3 * SAME_MM:
                    continue
                ideal = place - sum(task.rule.band_mm(count)) / 2 - task.post_mm
                chosen = min(max(ideal, near), max(near, far))
                eased = ease_mm(task.rule, place - chosen - task.post_mm, count)
                options.append((round(eased / SAME_MM), count, chosen, surface))
        _, count, place, surface = max(options)
        places.append(place)
        surfaces.append(surface)
        balusters.append(count)
    places.reverse()
    half = task.post_mm / 2
    counts = tuple(reversed(balusters))
    eases = [
        ease_mm(task.rule, b - a - task.post_mm, n)
        for a, b, n in zip(places[:-1], places[1:], counts, strict=True)
    ]
    return Placed(
        downhill_face_mm=places[0] + half,
        uphill_face_mm=places[-1] - half,
        middles_mm=tuple(places[1:-1]),
        surfaces=tuple(reversed(surfaces[:-1])),
        balusters=counts,
        ease_mm=min(eases),
    )


def place_equal_spans(
    ends: RunEnds,
    stretches: Sequence[Stretch],
    rule: RowRule,
    post_mm: float,
    greatest_span_mm: float,
) -> Placed | None:
    """Where no placing keeps every gap: fewest posts within the span, bays as equal as they come.

    The gaps are then left to be reported as they are. None where even the spans cannot be kept.
    """
    half = post_mm / 2
    downhill, uphill = sum(ends.downhill_mm) / 2, sum(ends.uphill_mm) / 2
    start, stop = downhill - half, uphill + half
    for posts in range(1, int((stop - start) / greatest_span_mm) + 4):
        share = (stop - start) / (posts + 1)
        places, surfaces = [start], []
        for number in range(1, posts + 1):
            wanted = start + number * share
            later = [s for s in stretches if s.high_mm > places[-1] + post_mm]
            if not later:
                break
            nearest = min(later, key=lambda s: max(s.low_mm - wanted, wanted - s.high_mm, 0.0))
            places.append(min(max(wanted, nearest.low_mm), nearest.high_mm))
            surfaces.append(nearest.surface)
        places.append(stop)
        clears = [b - a - post_mm for a, b in pairwise(places)]
        if len(clears) <= posts or max(clears) > greatest_span_mm + SAME_MM:
            continue
        if min(clears) <= rule.width_mm:
            continue
        counts = tuple(rule.best_count(clear) for clear in clears)
        eases = [ease_mm(rule, c, n) for c, n in zip(clears, counts, strict=True)]
        return Placed(downhill, uphill, tuple(places[1:-1]), tuple(surfaces), counts, min(eases))
    return None
