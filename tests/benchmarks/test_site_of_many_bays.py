"""A level run of a hundred bays solves in proportion to one of twenty-five."""

from __future__ import annotations

from long_deck import solving_s


def test_time_grows_in_proportion_to_the_bays() -> None:
    # Four times the bays; twice in proportion leaves room for a busy machine.
    assert solving_s(100) <= 8 * solving_s(25)
