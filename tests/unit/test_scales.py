"""Scales: names, fits and graphic bars."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.sheets.scales import Scale, best_scale, scale_bar, standard_scales


def test_architects_scale_names_say_their_ratio():
    ratios = {s.name: s.denominator for s in standard_scales("in")}
    # The architect's scale: inches of paper to the foot, so 3" = 1'-0" is 1:4 and so on.
    assert ratios["full size"] == 1.0
    assert ratios['3" = 1\'-0"'] == 4.0
    assert ratios['1 1/2" = 1\'-0"'] == 8.0
    assert ratios['3/4" = 1\'-0"'] == 16.0
    assert ratios['1/4" = 1\'-0"'] == 48.0


def test_metric_scales_hold_iso_5455():
    # ISO 5455:1979, recommended reductions; from memory.
    assert {1, 2, 5, 10, 20, 50, 100, 200} <= {s.denominator for s in standard_scales("mm")}


@given(st.sampled_from(["in", "mm"]), st.floats(1, 400), st.floats(1, 400), st.floats(220, 400))
def test_best_scale_fits_and_the_next_larger_does_not(unit, width, height, room):
    scale = best_scale((width, height), (room, room / 2), unit)

    def fits(s: Scale) -> bool:
        return s.paper_mm(width, unit) <= room + 1e-6 and s.paper_mm(height, unit) <= (
            room / 2 + 1e-6
        )

    scales = standard_scales(unit)
    at = scales.index(scale)
    assert fits(scale)
    assert at == 0 or not fits(scales[at - 1])


def test_too_big_for_any_scale():
    with pytest.raises(ValueError, match="no standard scale"):
        best_scale((1e6, 10), (250, 150), "mm")


@given(st.sampled_from(["in", "mm"]), st.floats(0.5, 250), st.floats(20, 120))
def test_paper_and_true_are_inverse(unit, denominator, length):
    scale = Scale("", denominator)
    assert scale.true(scale.paper_mm(length, unit), unit) == pytest.approx(length, rel=1e-12)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_scale_bars_are_round_and_fit(unit):
    for scale in standard_scales(unit):
        for most in (30.0, 45.0, 60.0, 80.0):
            bar = scale_bar(scale, unit, most)
            assert most / 3 <= scale.paper_mm(bar.length, unit) <= most
            assert len(bar.labels) == bar.blocks + 1
            figure, name = bar.labels[-1].split()
            true = float(figure) * {"in": 1.0, "ft": 12.0, "mm": 1.0}[name]
            assert true == pytest.approx(bar.length, rel=1e-9)
            for i, label in enumerate(bar.labels):
                assert float(label.split()[0]) == pytest.approx(
                    i * float(figure) / bar.blocks, rel=1e-4
                )
