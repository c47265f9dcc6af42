"""How pieces that are cut alike are named on the first one's sheet."""

from __future__ import annotations

import pytest

from railsheet.cuts.alike import Alike


@pytest.mark.parametrize(
    ("others", "short", "words"),
    [
        ((), "", ""),
        (("A2-TR",), " and 1 alike", "Alike: A2-TR. "),
        (("A2-TR", "A3-TR"), " and 2 alike", "Alike: A2-TR, A3-TR. "),
    ],
)
def test_a_few_are_named(others: tuple[str, ...], short: str, words: str) -> None:
    alike = Alike("A1-TR", others)
    assert (alike.short, alike.words) == (short, words)


def test_of_many_the_first_and_the_last_are_named() -> None:
    others = tuple(f"A{number}-TR" for number in range(2, 40))
    assert Alike("A1-TR", others).words == "Alike: 38 more, A2-TR to A39-TR. "
