"""The same solids, the same STEP text: what the kernel orders by chance is put in order.

The kernel numbers the uses of parts on from file to file, and writes colours in the order that its
memory happened to lie. Here uses count from 1 and colours follow their parts.
"""

from __future__ import annotations

import itertools
import re

_USE = re.compile(r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(\s*)'\d+'")
_ENTITY = re.compile(r"^#(\d+) = (.*?);\n", re.DOTALL | re.MULTILINE)
_REFERENCE = re.compile(r"#(\d+)")
_COLOURING = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"


def in_order(text: str) -> str:
    """A STEP file's text with uses and colours in order; all else untouched."""
    count = itertools.count(1)
    text = _USE.sub(lambda found: f"{found[1]}'{next(count)}'", text)
    starts = [found for found in _ENTITY.finditer(text) if found[2].startswith(_COLOURING)]
    if not starts:
        return text
    first, end = starts[0].start(), text.rindex("ENDSEC;")
    tail = {int(found[1]): found[2] for found in _ENTITY.finditer(text, first, end)}
    least = min(tail)
    blocks = sorted(
        (number for number, said in tail.items() if said.startswith(_COLOURING)),
        key=lambda number: _parts(number, tail),
    )
    written: list[str] = []
    fresh = itertools.count(least)

    def write(number: int) -> int:
        """Write an entity and, after it, those that it alone is made of; give its new number."""
        mine, place = next(fresh), len(written)
        written.append("")

        def told(found: re.Match[str]) -> str:
            other = int(found[1])
            return f"#{write(other)}" if other in tail else found[0]

        written[place] = f"#{mine} = {_REFERENCE.sub(told, tail[number])};\n"
        return mine

    for number in blocks:
        write(number)
    return text[:first] + "".join(written) + text[end:]


def _parts(number: int, tail: dict[int, str]) -> tuple[int, ...]:
    """The solids that a colouring colours."""
    found: list[int] = []
    for reference in _REFERENCE.findall(tail[number]):
        other = int(reference)
        found += _parts(other, tail) if other in tail else [other]
    return tuple(sorted(found))
