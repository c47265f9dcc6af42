"""What a kit's parts weigh: by their maker's figure, or by the material they are solid of."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path

from railsheet.job.kit_infill import CutKit, InfillKit
from railsheet.job.source import Table, read_toml

_MATERIALS = Path(__file__).parent.parent / "data" / "materials.toml"
# The pound, and the foot, as both are defined.
KG_PER_POUND = 0.45359237
_MM_PER_FOOT = 304.8
_WRITTEN = re.compile(r"(\d+(?:\.\d+)?)\s*(kg|lb)/(m|ft)([23]?)")
_LENGTH_MM = {"m": 1000.0, "ft": _MM_PER_FOOT}
_POUNDS = {"kg": 1.0, "lb": KG_PER_POUND}
# From the lightest to the heaviest that a part is taken to be; common practice, no source.
_RANGES = {1: (1e-2, 100.0), 2: (0.5, 1000.0), 3: (20.0, 20000.0)}
_PARTS = ("post", "plate", "top_rail", "bottom_rail")
_FLAT = ("plate", "pane")


class Per(Enum):
    """What a mass is given for: a length of the section, an area of the sheet, a volume."""

    LENGTH = 1
    AREA = 2
    VOLUME = 3


@dataclass(frozen=True)
class Weighs:
    """What one part of a kit weighs.

    Attributes:
        kg: for a millimetre of its length, a square or a cubic millimetre, as ``per`` says.
        words: as the kit has it, and a material's density with it.
    """

    kg: float
    per: Per
    words: str

    def for_length(self, area_mm2: float) -> float:
        """Of a part of one section, kg for a millimetre of its length."""
        return self.kg if self.per is Per.LENGTH else self.kg * area_mm2

    def for_area(self, thick_mm: float) -> float:
        """Of a flat part, kg for a square millimetre."""
        return self.kg if self.per is Per.AREA else self.kg * thick_mm


@dataclass(frozen=True)
class MassKit:
    """What is told of a kit's parts, by the part's word: ``top_rail``, ``baluster``, ``pane``."""

    parts: tuple[tuple[str, Weighs], ...] = ()

    def of(self, part: str) -> Weighs | None:
        """What a part weighs; None where the kit does not say."""
        return dict(self.parts).get(part)


NOT_WEIGHED = MassKit()


def read_masses(root: Table, infill: InfillKit) -> MassKit:
    """The ``[mass]`` table of a kit file; a part that it does not name is not weighed.

    Raises:
        BadInput: a value is no mass that the part can have, or a part is none of the kit's.
    """
    if not root.has("mass"):
        return NOT_WEIGHED
    table = root.table("mass")
    found = [(key, _weighs(table, key)) for key in (*_PARTS, *infill.weighed) if table.has(key)]
    if isinstance(infill, CutKit) and infill.fillet is None and table.has("fillet"):
        raise table.bad("fillet", "the kit has no fillets")
    table.done()
    return MassKit(tuple(found))


def _weighs(table: Table, key: str) -> Weighs:
    flat = key in _FLAT
    own = "kg/m2, lb/ft2" if flat else "kg/m, lb/ft"
    names = ", ".join(sorted(materials()))
    allowed = f"a figure in {own}, kg/m3 or lb/ft3, or a material it is solid of: {names}"
    written = table.text(key, allowed)
    if written in materials():
        density = materials()[written]
        return Weighs(density / 1e9, Per.VOLUME, f"{written}, {density:.0f} kg/m3")
    parts = _WRITTEN.fullmatch(written)
    if parts is None:
        raise table.bad(key, allowed)
    power = int(parts[4] or 1)
    if power not in (2 if flat else 1, 3):
        raise table.bad(key, allowed)
    # In kilograms to the metre, its square or its cube, to be looked at; then to the millimetre.
    per_metre = float(parts[1]) * _POUNDS[parts[2]] * (1000 / _LENGTH_MM[parts[3]]) ** power
    least, most = _RANGES[power]
    if not least <= per_metre <= most:
        unit = f"kg/m{power if power > 1 else ''}"
        raise table.bad(key, f"{least:g} to {most:g} {unit}")
    return Weighs(per_metre / 1000.0**power, Per(power), written)


@cache
def materials() -> Mapping[str, float]:
    """Density by material, kg/m3."""
    data = read_toml(_MATERIALS)
    return {name: float(entry["density"]) for name, entry in data.items()}  # type: ignore[index]
