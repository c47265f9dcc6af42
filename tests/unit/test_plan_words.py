"""The words under a plate's plan: within their view, and clear of the figures above them."""

from __future__ import annotations

import pytest

from railsheet.sheets.post_plan import words_under_mm

# Least from the plan to its view's edge, on paper: the plan's margin less half of its heading.
LEAST = 12.0 - 5.0 / 2


@pytest.mark.parametrize("spare", [0.0, 1.0, 2.6, 2.71, 10.0])
@pytest.mark.parametrize("below_row", [False, True])
def test_the_view_holds_the_words(spare: float, below_row: bool) -> None:
    across = 30.0
    high = across + 2 * (LEAST + spare)
    under = words_under_mm(high, across, below_row=below_row)
    # 2 mm capitals and what hangs below them: a quarter of that, by the sheets' own face.
    assert under + 2.0 * 1.25 <= LEAST + spare + 1e-9
    # A figure 2.5 mm high stands amid the dimension line, which lies 5 mm under the edge.
    assert not below_row or under >= 5.0 + 1.25 + 0.6


def test_the_words_keep_their_distance_where_there_is_room() -> None:
    assert words_under_mm(60.0, 30.0, below_row=True) > words_under_mm(49.0, 30.0, below_row=True)
