"""Equal spacing: the fewest members whose openings stay within the limit."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.layout.infill.row_rule import EqualSpacing, WholeBay

IN = 25.4


@pytest.mark.parametrize(
    ("clear", "count", "gap"),
    [
        # ehow.com/how_6210555: 72 in between posts, 1 1/2 in balusters, 4 in: 13, (72 - 19.5) / 14.
        (72, 13, 3.75),
        # ironfurnit.blogspot.com/2011/11: 52 in; its rule (52 / 5.5, rounded up) says 10. Nine
        # keep every opening under 4 in too, at 38.5 / 10: the fewest, by its own arithmetic.
        (52, 9, 3.85),
    ],
)
def test_published_examples(clear: float, count: int, gap: float) -> None:
    rule = EqualSpacing(1.5 * IN, 4 * IN)
    assert rule.best_count(clear * IN) == count
    assert rule.gap_mm(clear * IN, count) == pytest.approx(gap * IN)


rules = st.builds(EqualSpacing, st.floats(8, 60), st.floats(50, 130))


@given(rules, st.floats(200, 4000))
def test_fewest_by_trying_every_count(rule: EqualSpacing, clear: float) -> None:
    count = rule.best_count(clear)
    fits = [n for n in range(1, 90) if (clear - n * rule.width_mm) / (n + 1) <= rule.greatest_mm]
    gap = rule.gap_mm(clear, count)
    assert gap <= rule.greatest_mm + 1e-6
    # One fewer would only do where the openings come to the very limit.
    assert count == fits[0] or rule.gap_mm(clear, fits[0]) > rule.greatest_mm - 1e-6
    assert (count + 1) * gap + count * rule.width_mm == pytest.approx(clear)
    assert rule.spacing_at(clear, count) <= rule.spacing_mm + 1e-6


@given(rules, st.floats(200, 4000))
def test_bands_join_and_hold_the_count(rule: EqualSpacing, clear: float) -> None:
    bands = rule.bands_within(0.0, clear + 500)
    assert [count for count, _, _ in bands] == list(range(1, len(bands) + 1))
    for (_, _, most), (_, least, _) in itertools.pairwise(bands):
        assert most == pytest.approx(least)
    count = rule.best_count(clear)
    least, most = rule.band_mm(count)
    assert least - 1e-6 <= clear <= most + 1e-6


def test_a_whole_bay_takes_one_part() -> None:
    rule = WholeBay(1800)
    assert rule.best_count(1200) == 1
    assert rule.bands_within(500, 700) == ((1, 0.0, 1800),)
    assert rule.bands_within(1900, 2000) == ()
    assert rule.outside_mm(1200, 1) == 0


@given(rules, st.integers(1, 30), st.floats(0.0, 1.0))
def test_ease_is_half_the_way_to_the_nearer_edge_of_the_band(
    rule: EqualSpacing, count: int, share: float
) -> None:
    least, most = rule.band_mm(count)
    clear = least + share * (most - least)
    inside = min(share, 1 - share) * (most - least)
    assert rule.ease_mm(clear, count) == pytest.approx(inside / 2, abs=1e-6)
    assert rule.ease_mm(least - 2.0, count) == pytest.approx(-1.0)
    assert rule.ease_mm(most + 2.0, count) == pytest.approx(-1.0)
