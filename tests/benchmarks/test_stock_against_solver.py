"""A stock plan against the same model given to the solver plainly, for as long."""

from __future__ import annotations

from plain_stock import plainly, planned, rails


def test_sixty_pieces_are_proven_and_no_worse_than_the_plain_model_in_the_same_time() -> None:
    """Of few pieces the plain model is done sooner: it answers for the count of bars alone."""
    work = rails(60, 3)
    ours = planned(work, 3.0)
    assert ours.bars is not None
    assert ours.bars == ours.bound
    plain = plainly(work, ours.bars + 1, ours.cpu_s)
    assert plain.bars is None or plain.bars >= ours.bars
    assert plain.bound <= ours.bars
