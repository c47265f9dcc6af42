"""What needs a person's attention, in words, with the lengths kept exact until they are printed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from railsheet.units.display import Tape, angle_text


class Weight(Enum):
    """How much a notice matters.

    STOP: do not cut before this is settled. LOOK: worth knowing before cutting.
    """

    STOP = "stop"
    LOOK = "look"


@dataclass(frozen=True)
class Notice:
    """One thing to attend to.

    Attributes:
        weight: how much it matters.
        topic: a stable short name of the kind of notice.
        words: the sentence, with ``{name}`` where a length or an angle stands.
        lengths_mm: the named lengths.
        angles_rad: the named angles.
    """

    weight: Weight
    topic: str
    words: str
    lengths_mm: tuple[tuple[str, float], ...] = ()
    angles_rad: tuple[tuple[str, float], ...] = ()

    def text(self, tape: Tape) -> str:
        """The sentence as printed."""
        shown = {name: tape.say(value) for name, value in self.lengths_mm}
        shown |= {name: angle_text(value) for name, value in self.angles_rad}
        return self.words.format(**shown)


def stop(topic: str, words: str, **lengths_mm: float) -> Notice:
    """A notice that must be settled before cutting."""
    return Notice(Weight.STOP, topic, words, tuple(lengths_mm.items()))


def look(topic: str, words: str, **lengths_mm: float) -> Notice:
    """A notice worth knowing before cutting."""
    return Notice(Weight.LOOK, topic, words, tuple(lengths_mm.items()))
