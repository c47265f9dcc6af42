"""Full panels of a level run against an exhaustive search over the full bay's length."""

from __future__ import annotations

import itertools
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from deck_job import BARE_DECK

from railsheet.errors import BadInput
from railsheet.job.kit import Kit, find_kit, load_kit
from railsheet.job.load import load_job
from railsheet.job.model import Bays, LevelSpec, PlanPost, PostKind, Side
from railsheet.layout.full_panels import FullBay, full_bay, place_full_panels
from railsheet.layout.infill.door import row_rule
from railsheet.layout.level import LevelEnds, solve_level
from railsheet.layout.long_run import Placed, ease_mm

IN = 25.4
SAMPLES = Path(__file__).parent.parent.parent / "samples"
PIPIT = load_kit(find_kit("pipit", Path(), "", ""))
DUNLIN = load_kit(find_kit("dunlin", Path(), "", ""))
SISKIN = load_kit(find_kit("siskin", Path(), "", ""))


def searched(clear: float, kit: Kit, full: FullBay, step: float):
    """By trial of every full bay's length in steps: full bays, made-up bays, ease."""
    rule, post = row_rule(kit, 0.0), kit.post.width_mm
    best = None
    trials = round((full.high_mm - full.low_mm) / step) + 1
    lengths = [full.low_mm + i * step for i in range(trials)]
    for fulls, made_up in itertools.product(range(8), range(3)):
        bays = fulls + made_up
        if not bays:
            continue
        left = clear - (bays - 1) * post
        if not made_up:
            each = left / bays
            tried = [(each, 0.0)] if full.low_mm <= each <= full.high_mm else []
        elif not fulls:
            tried = [(0.0, left / made_up)]
        else:
            tried = [(x, (left - fulls * x) / made_up) for x in lengths]
        for each, rest in tried:
            most = min(each, kit.greatest_span_mm) if fulls else kit.greatest_span_mm
            if made_up and not kit.least_bay_mm <= rest <= most:
                continue
            counts = [n for n in range(1, 30) if rule.band_mm(n)[0] <= rest <= rule.band_mm(n)[1]]
            if made_up and not counts:
                continue
            eases = [ease_mm(rule, each, full.count)] if fulls else []
            if made_up:
                eases.append(max(ease_mm(rule, rest, n) for n in counts))
            found = fulls, -made_up, min(eases)
            if best is None or found > best:
                best = found
    return best


def told(placed: Placed, full: FullBay, kit: Kit, faces: tuple[float, float]):
    half = kit.post.width_mm / 2
    edges = [faces[0] - half, *placed.middles_mm, faces[1] + half]
    clears = [b - a - 2 * half for a, b in pairwise(edges)]
    fulls = sum(n == full.count for n in placed.balusters)
    return fulls, clears


@pytest.mark.parametrize("kit", [PIPIT, DUNLIN], ids=lambda kit: kit.name.split()[0])
def test_no_trial_places_more_full_panels_or_easier_gaps(kit: Kit) -> None:
    rule = row_rule(kit, 0.0)
    full = full_bay(kit, rule)
    assert full is not None
    step = (full.high_mm - full.low_mm) / 160
    for tenth in range(60, 3000, 47):
        clear = tenth / 10 * IN
        found = searched(clear, kit, full, step)
        placed = place_full_panels((0.0, clear), full, rule, kit, False)
        if placed is None:
            assert found is None, clear
            continue
        fulls, clears = told(placed, full, kit, (0.0, clear))
        made = [c for c in clears if c < full.low_mm - 1e-6]
        assert placed.ease_mm >= -1e-6
        if found is None:
            # A trial in steps can step over a thin band; what was placed must then be one.
            assert placed.ease_mm <= step
            continue
        if found[2] > step:
            assert fulls >= found[0]
        if fulls == found[0] and len(placed.balusters) - fulls == -found[1]:
            assert placed.ease_mm >= found[2] - 1e-6
            assert placed.ease_mm <= found[2] + step * 8
        assert all(c >= kit.least_bay_mm - 1e-6 for c in made)


def test_the_full_bay_is_the_longest_one_panel_fills_within_the_span() -> None:
    full = full_bay(PIPIT, row_rule(PIPIT, 0.0))
    assert full is not None
    # Source: by hand, 15 times 4 1/2 in, a 5/8 in picket, 1 1/2 in clear at both posts: 71 1/8 in.
    assert full.count == 16
    assert full.low_mm == pytest.approx(71.125 * IN)
    assert full.high_mm == pytest.approx(72 * IN)
    shorter = replace(PIPIT, greatest_span_mm=71 * IN)
    fewer = full_bay(shorter, row_rule(shorter, 0.0))
    assert fewer is not None
    assert fewer.count == 15
    plain = full_bay(SISKIN, row_rule(SISKIN, 0.0))
    assert plain is not None
    assert plain.low_mm == plain.high_mm == SISKIN.greatest_span_mm


def level(kit: Kit, length_mm: float, bays: Bays):
    spec = LevelSpec(
        "L", Side.LEFT, 42 * IN, "P1", "P2", length_mm, 0.0, None, None, 30.0, bays=bays
    )
    post = kit.post.width_mm / 2
    ends = LevelEnds(
        PlanPost("P1", PostKind.POST, None, None),
        PlanPost("P2", PostKind.POST, None, None),
        post,
        post,
        length_mm,
    )
    return solve_level(spec, ends, kit, "a test")


def test_the_made_up_bay_stands_where_it_is_asked_for() -> None:
    length = 2 + 3 * (72 + 2) + 40
    at_end = level(PIPIT, length * IN, Bays.FULL_AT_START)
    at_start = level(PIPIT, length * IN, Bays.FULL_AT_END)
    clears = [bay.clear_mm for bay in at_end.bays]
    assert len(clears) == 4
    assert clears[0] == pytest.approx(clears[1])
    assert clears[0] == pytest.approx(clears[2])
    assert clears[3] < clears[0]
    assert [bay.clear_mm for bay in at_start.bays] == pytest.approx(clears[::-1])
    lengths = {round(bay.top_rail.length_mm, 6) for bay in at_end.bays[:3]}
    assert len(lengths) == 1, "full panels are one piece"
    total = sum(clears) + 3 * PIPIT.post.width_mm
    assert total == pytest.approx((length - 2) * IN)


def test_a_sliver_is_shared_over_the_last_two() -> None:
    length = (2 + 2 * (72 + 2) + 8) * IN
    railing = level(PIPIT, length, Bays.FULL_AT_START)
    first, second, third = (bay.clear_mm for bay in railing.bays)
    assert second == pytest.approx(third)
    assert PIPIT.least_bay_mm < second < first
    assert not [n for n in railing.notices if n.topic == "full panels"]


def test_where_no_number_of_panels_comes_out_the_bays_are_equal_and_it_is_said() -> None:
    tight = replace(PIPIT, least_bay_mm=70 * IN)
    equal = level(tight, (2 + 90) * IN, Bays.EQUAL)
    wanted = level(tight, (2 + 90) * IN, Bays.FULL_AT_START)
    assert wanted.bays == equal.bays
    assert [n.topic for n in wanted.notices if n.topic == "full panels"] == ["full panels"]


def test_the_keys_in_the_job(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"

    def read(more: str) -> Bays:
        path.write_text(
            BARE_DECK.replace('F = "63 1/2"\n', f'F = "63 1/2"\n{more}\n'), encoding="utf-8"
        )
        return next(v for v in load_job(path).levels if v.mark == "D").bays

    assert read("") is Bays.EQUAL
    assert read('bays = "full panels"') is Bays.FULL_AT_START
    assert read('bays = "full panels"\nmade_up = "start"') is Bays.FULL_AT_END
    for wrong in ('bays = "whole"', 'made_up = "end"', 'bays = "full panels"\nmade_up = "middle"'):
        with pytest.raises(BadInput, match=r"bays|made_up"):
            read(wrong)
