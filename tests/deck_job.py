"""The deck sample as a text for the tests to change."""

from __future__ import annotations

import re
from pathlib import Path

SAMPLE = Path(__file__).parent.parent / "samples" / "deck-two-flights.toml"

_FACTS = r"^\[(?:building|level\.site|flight\.site|flight\.handrail)\]\n(?:.+\n)*\n?"


def without_facts(text: str) -> str:
    """A job's text with no code named and nothing said of what stands beside its runs."""
    text = re.sub(r"^code = .*\n", "", text, flags=re.MULTILINE)
    return re.sub(_FACTS, "", text, flags=re.MULTILINE)


BARE_DECK = without_facts(SAMPLE.read_text(encoding="utf-8"))
