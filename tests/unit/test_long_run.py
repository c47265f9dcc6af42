"""Line posts of a long run, against exhaustive search over a grid of places."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from railsheet.job.kit_infill import GapKit
from railsheet.layout import long_run
from railsheet.layout.flight_faces import line_spec
from railsheet.layout.long_run import RunEnds, Stretch, place_equal_spans, place_line_posts
from railsheet.layout.post_place import plate_bounds
from railsheet.layout.punched import Punching
from railsheet.layout.rail_ends import End

IN = 25.4
LONG = (
    ('R = ["7 1/4",', 'R = ["7 1/4", ' + '"7 1/2", ' * 8),
    ('T = ["10 1/2",', 'T = ["10 1/2", ' + '"10 1/2", ' * 8),
)


@st.composite
def cases(draw: st.DrawFn) -> tuple[RunEnds, tuple[Stretch, ...], Punching, float, float]:
    """Small whole-millimetre runs, so that a grid of half millimetres holds the best places."""
    post = draw(st.sampled_from([4, 6]))
    least = draw(st.integers(2, 5))
    punching = Punching(
        float(draw(st.integers(8, 12))), 2.0, GapKit(least, least + draw(st.integers(0, 3)))
    )
    run = draw(st.integers(14, 20))
    stretches = tuple(
        Stretch(k, float(k * run), float(k * run + draw(st.integers(0, 2)))) for k in range(1, 5)
    )
    start, slack = draw(st.integers(-4, 0)), draw(st.sampled_from([0, 1]))
    ends = RunEnds((float(start - slack), float(start)), (float(5 * run), float(5 * run)))
    return ends, stretches, punching, float(post), float(draw(st.integers(24, 44)))


def exhaustive(ends: RunEnds, stretches, punching: Punching, post: float, span: float):
    """(posts, spread of counts, least ease) of the best placing on a grid; None without one."""

    def grid(low: float, high: float) -> list[float]:
        return [low + n / 2 for n in range(round((high - low) * 2) + 1)]

    places = [p for s in stretches for p in grid(s.low_mm, s.high_mm)]
    for posts in range(4):
        best = None
        for first in grid(*ends.downhill_mm):
            for middles in itertools.combinations(places, posts):
                starts = (first, *(m + post / 2 for m in middles))
                stops = (*(m - post / 2 for m in middles), ends.uphill_mm[0])
                options = []
                for a, b in zip(starts, stops, strict=True):
                    clear = b - a
                    fits = [
                        (n, punching.ease_mm(clear, n))
                        for n in range(1, 8)
                        if punching.ease_mm(clear, n) >= -1e-9 and clear <= span + 1e-9
                    ]
                    options.append(fits)
                    if not fits:
                        break
                else:
                    best = better(best, options)
        if best is not None:
            return posts, best[0], -best[1]
    return None


def better(best, options):
    """The better of what was found and the best choice of counts from each bay's options."""
    for chosen in itertools.product(*options):
        counts = [n for n, _ in chosen]
        value = (max(counts) - min(counts), -min(e for _, e in chosen))
        best = value if best is None else min(best, value)
    return best


@settings(max_examples=80, deadline=None)
@given(cases())
def test_no_grid_placing_beats_the_solver(case) -> None:
    _, stretches, punching, post, span = case
    brute = exhaustive(*case)
    placed = place_line_posts(*case)
    if placed is not None and len(placed.middles_mm) > 3:
        assert brute is None
        return
    if placed is None:
        assert brute is None
        return
    assert brute is None or len(placed.middles_mm) <= brute[0]
    spread = max(placed.balusters) - min(placed.balusters)
    if brute is not None and len(placed.middles_mm) == brute[0]:
        assert spread <= brute[1]
        if spread == brute[1]:
            assert placed.ease_mm >= brute[2] - 1e-6
    starts = (placed.downhill_face_mm, *(m + post / 2 for m in placed.middles_mm))
    stops = (*(m - post / 2 for m in placed.middles_mm), placed.uphill_face_mm)
    eases = []
    for a, b, n in zip(starts, stops, placed.balusters, strict=True):
        assert b - a <= span + 1e-5
        eases.append(punching.ease_mm(b - a, n))
    assert min(eases) == pytest.approx(placed.ease_mm)
    assert placed.ease_mm >= -1e-5
    for middle, surface in zip(placed.middles_mm, placed.surfaces, strict=True):
        held = next(s for s in stretches if s.surface == surface)
        assert held.low_mm - 1e-5 <= middle <= held.high_mm + 1e-5


@settings(max_examples=80, deadline=None)
@given(cases())
def test_the_ease_is_what_halving_over_every_surface_gives(case) -> None:
    ends, stretches, punching, post, span = case
    half = post / 2
    start, stop = (e - half for e in ends.downhill_mm), (e + half for e in ends.uphill_mm)
    task = long_run._Task(tuple(start), tuple(stop), stretches, punching, post, span)
    for posts, low, spread in itertools.product(range(4), range(1, 4), range(3)):
        held = range(low, low + spread + 1)
        if long_run._paths(task, posts, held, 0.0) is None:
            continue
        most = max(b - a for a, b in map(punching.band_mm, held)) / 4
        if long_run._paths(task, posts, held, most) is not None:
            plain = most
        else:
            plain, _ = long_run._halved(
                lambda ease, posts=posts, held=held: long_run._paths(task, posts, held, ease), most
            )
        assert long_run._greatest_ease(task, posts, held) == pytest.approx(plain, abs=1e-12)


def test_level_bays_come_out_equal_when_nothing_holds_the_posts() -> None:
    # With equal counts the greatest least ease makes the clear distances equal.
    punching = Punching(100.0, 20.0, GapKit(40.0, 90.0))
    ends = RunEnds((0.0, 0.0), (5000.0, 5000.0))
    placed = place_line_posts(ends, (Stretch(0, 0.0, 5000.0),), punching, 50.0, 1800.0)
    assert placed is not None
    assert len(set(placed.balusters)) == 1
    assert len(placed.middles_mm) == 2
    clear = (5000.0 - 2 * 50.0) / 3
    assert placed.middles_mm[0] == pytest.approx(clear + 25.0, abs=1e-5)
    assert placed.middles_mm[1] == pytest.approx(2 * clear + 75.0, abs=1e-5)


def test_where_no_gaps_come_right_the_spans_are_kept() -> None:
    punching = Punching(1000.0, 20.0, GapKit(10.0, 11.0))
    ends = RunEnds((0.0, 0.0), (3000.0, 3000.0))
    stretch = (Stretch(0, 0.0, 3000.0),)
    assert place_line_posts(ends, stretch, punching, 50.0, 1600.0) is None
    placed = place_equal_spans(ends, stretch, punching, 50.0, 1600.0)
    assert placed is not None
    assert placed.middles_mm == (1500.0,)
    assert placed.ease_mm < 0


def test_a_long_flight_gets_line_posts_on_its_treads(solve) -> None:
    railing = solve(*LONG)
    kit = railing.kit
    assert [post.name for post in railing.posts] == ["bottom", "line 1", "top"]
    for bay in railing.bays:
        assert bay.clear_mm <= kit.greatest_span_mm
        assert kit.infill.gap.least_mm <= bay.gap_mm + 1e-6
        assert bay.gap_mm <= kit.infill.gap.most_mm + 1e-6
    post = railing.posts[1]
    bounds = plate_bounds(railing.stair, line_spec(post.spec.surface), kit, End.UPHILL)
    assert bounds.low_mm - 1e-6 <= post.face_s_mm <= bounds.high_mm + 1e-6
    assert post.faces[1].s_mm - post.faces[0].s_mm == pytest.approx(kit.post.width_mm)
    # Cut for the higher face: no rail stands less below its top than the kit's reveal.
    assert post.top_z_mm - post.faces[1].rail_top_z_mm == pytest.approx(kit.post.reveal_mm)
    assert len(post.mounts) == 4
    assert "span" not in {n.topic for n in railing.notices}
    assert railing.freedom is not None
    low, high = railing.freedom.chosen.clipped
    assert low - 1e-6 <= railing.downhill_post.face_s_mm <= high + 1e-6


def test_a_line_post_may_slide_as_far_as_it_says_and_no_farther(solve) -> None:
    railing = solve(*LONG)
    post, (below, above) = railing.posts[1], railing.bays
    width, spacing = railing.kit.baluster.width_mm, below.row.spacing_mm
    bounds = plate_bounds(railing.stair, line_spec(post.spec.surface), railing.kit, End.UPHILL)

    least, most = railing.kit.infill.gap.least_mm, railing.kit.infill.gap.most_mm

    def right(shift: float) -> bool:
        gaps = [
            (bay.clear_mm + sign * shift - (len(bay.baluster_s_mm) - 1) * spacing - width) / 2
            for bay, sign in ((below, 1), (above, -1))
        ]
        spans = below.clear_mm + shift, above.clear_mm - shift
        return (
            all(least <= gap <= most for gap in gaps)
            and max(spans) <= railing.kit.greatest_span_mm
            and bounds.low_mm <= post.face_s_mm + shift <= bounds.high_mm
        )

    down, up = post.slide_mm
    assert down + up > 1.0
    assert not right(up + 0.01)
    assert not right(-down - 0.01)
    assert right((up - down) / 2)
