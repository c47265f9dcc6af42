"""A stock plan costs less than the same model given to the solver plainly, and is as good."""

from __future__ import annotations

from plain_stock import plainly, planned, rails


def test_a_shop_list_is_planned_quicker_than_the_plain_model_solves() -> None:
    work = rails(20, 3)
    ours = planned(work, 30.0)
    assert ours.bars is not None
    assert ours.bars == ours.bound
    plain = plainly(work, ours.bars + 1, 20.0)
    # Stopped or done, the plain model knows no better plan and no contrary bound.
    assert plain.bars is None or plain.bars >= ours.bars
    assert plain.bound <= ours.bars
    assert ours.cpu_s <= 2.0 * plain.cpu_s
