"""A site of many bays is solved, composed and printed in proportion to its bays."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from long_deck import drawing_s


def test_drawing_time_grows_in_proportion_to_the_bays(tmp_path: Path) -> None:
    drawing_s(1, tmp_path)  # what is loaded once is loaded now
    # Four times the bays; twice in proportion leaves room for a busy machine.
    assert drawing_s(24, tmp_path) <= 8 * drawing_s(6, tmp_path)


@pytest.mark.skipif("RAILSHEET_LONG" not in os.environ, reason="long: set RAILSHEET_LONG to run")
def test_a_hundred_bays_draw_in_proportion_to_ten_and_one(tmp_path: Path) -> None:
    drawing_s(1, tmp_path)
    one, ten, hundred = (drawing_s(bays, tmp_path) for bays in (1, 10, 100))
    assert ten <= 20 * one
    assert hundred <= 20 * ten
