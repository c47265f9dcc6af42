"""What parts weigh: as a kit file gives it, and of each piece.

Sources: the pound is 0.45359237 kg and the foot 0.3048 m, both exact (international yard and pound
agreement, 1959). Aluminium at 27 kN/m3: CTE DB-SE-AE table C.1, as transcribed in a public code
base (read); EN 1991-1-1 table A.4 has the same (from memory).
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from railsheet.cli.solve import solve_job
from railsheet.cuts.masses import run_masses
from railsheet.cuts.pieces import cut_pieces
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook
from railsheet.job.kit import load_kit, shipped_kits
from railsheet.job.kit_mass import MassKit, Per, materials
from railsheet.job.load import load_job
from railsheet.units.display import parse_tape
from railsheet.units.length import Unit

ROOT = Path(__file__).parents[2]
KITS = ROOT / "railsheet" / "data" / "kits"
POUND_PER_FOOT = 0.45359237 / 304.8


def kit_with(tmp_path: Path, name: str, old: str, new: str):
    text = (KITS / f"{name}.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "mine.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return load_kit(path)


def test_a_mass_is_read_in_any_unit(tmp_path: Path) -> None:
    kit = kit_with(tmp_path, "dunlin", 'top_rail = "0.95 lb/ft"', 'top_rail = "2 kg/m"')
    top, bottom, plate = (kit.mass.of(part) for part in ("top_rail", "bottom_rail", "plate"))
    assert top.per is Per.LENGTH
    assert top.for_length(1.0) == pytest.approx(0.002)
    # A figure for a length holds whatever section is drawn.
    assert top.for_length(1e6) == pytest.approx(0.002)
    assert bottom.for_length(1.0) == pytest.approx(0.72 * POUND_PER_FOOT)
    # 27 kN/m3 over 9.80665 m/s2.
    assert plate.for_area(10.0) == pytest.approx(27000 / 9.80665 / 1e9 * 10, rel=2e-3)
    dense = kit_with(tmp_path, "dunlin", 'plate = "aluminium"', 'plate = "490 lb/ft3"')
    # Steel in the customary handbook figure, 490 lb/ft3: 7849 kg/m3.
    assert dense.mass.of("plate").for_area(1.0) == pytest.approx(7849e-9, rel=1e-4)
    flat = kit_with(tmp_path, "fulmar", 'pane = "glass"', 'pane = "30 kg/m2"')
    assert flat.mass.of("pane").for_area(12.0) == pytest.approx(30e-6)


@pytest.mark.parametrize(
    ("name", "old", "new", "place", "allowed"),
    [
        ("dunlin", 'top_rail = "0.95 lb/ft"', 'top_rail = "unobtainium"', "top_rail", "material"),
        ("dunlin", 'top_rail = "0.95 lb/ft"', 'top_rail = "0.95"', "top_rail", "kg/m"),
        ("dunlin", 'top_rail = "0.95 lb/ft"', 'top_rail = "2 kg/m2"', "top_rail", "kg/m"),
        ("dunlin", 'top_rail = "0.95 lb/ft"', 'top_rail = "400 kg/m"', "top_rail", "0.01 to 100"),
        ("dunlin", 'plate = "aluminium"', 'plate = "2 kg/m"', "plate", "kg/m2"),
        ("dunlin", 'plate = "aluminium"', 'plate = "2 kg/m3"', "plate", "20 to 20000"),
        ("dunlin", 'baluster = "0.24 lb/ft"', 'picket = "0.24 lb/ft"', "picket", ""),
        ("fulmar", 'pane = "glass"', 'baluster = "glass"', "baluster", ""),
        ("ouzel", 'baluster = "steel"', 'fillet = "steel"', "fillet", "no fillets"),
        ("dunlin", 'top_rail = "0.95 lb/ft"', "top_rail = 0.95", "top_rail", "text"),
    ],
)
def test_a_mass_that_cannot_be_is_refused(tmp_path, name, old, new, place, allowed) -> None:
    with pytest.raises(BadInput) as refused:
        kit_with(tmp_path, name, old, new)
    assert refused.value.place == f"mass > {place}"
    assert allowed in refused.value.allowed
    assert refused.value.line is not None


def test_every_shipped_kit_says_what_all_its_parts_weigh() -> None:
    for name in shipped_kits():
        kit = load_kit(KITS / f"{name}.toml")
        told = {part for part, _ in kit.mass.parts}
        assert {"post", "top_rail", "bottom_rail"} <= told
        assert ("plate" in told) == (kit.plate.thickness_mm > 0)


def test_every_material_has_a_density_and_a_source() -> None:
    text = (ROOT / "railsheet" / "data" / "materials.toml").read_text(encoding="utf-8")
    assert text.count("source = ") == len(materials()) >= 8
    assert materials()["glass"] == 2500
    assert all(300 < density < 9000 for density in materials().values())


@pytest.fixture(scope="module")
def porch():
    return solve_job(load_job(ROOT / "samples" / "porch-flight.toml"))


def test_pieces_and_the_bay_put_together(porch) -> None:
    work, book = porch.works[0], porch.book
    (bay,) = run_masses(work.railing, work.pieces).bays
    top, bottom, baluster = bay.pieces
    # Square cuts: along the middle it is as long as over all.
    long = book.value("A.bay.1.rail.top.length")
    assert top.kg == pytest.approx(0.95 * POUND_PER_FOOT * long)
    assert bottom.kg == pytest.approx(
        0.72 * POUND_PER_FOOT * book.value("A.bay.1.rail.bottom.length")
    )
    assert baluster.count == 12
    assert baluster.kg == pytest.approx(0.24 * POUND_PER_FOOT * 33 * 25.4)
    assert bay.kg == pytest.approx(top.kg + bottom.kg + 12 * baluster.kg)
    assert book.value("A.bay.1.mass") == bay.kg
    pounds = bay.kg / 0.45359237
    assert 0 <= float(book.text("A.bay.1.mass")) - pounds < 0.1


def test_a_part_that_is_not_told_leaves_its_bay_untold(porch) -> None:
    work = porch.works[0]
    kit = work.railing.kit
    parts = tuple(part for part in kit.mass.parts if part[0] != "baluster")
    untold = replace(work.railing, kit=replace(kit, mass=MassKit(parts)))
    (bay,) = run_masses(untold, cut_pieces(untold)).bays
    assert bay.kg is None
    assert [piece.marks for piece in bay.pieces] == ["A1-TR", "A1-BR"]


def test_a_mass_is_printed_upward_in_the_jobs_unit() -> None:
    for unit, step, text in ((Unit.INCH, "1/16", "2.3"), (Unit.MM, "1", "1.1")):
        book = FigureBook(parse_tape(step, unit))
        book.mass("a.mass", 1.0001, "a piece")
        assert book.text("a.mass") == text


def test_the_record_has_pounds_or_kilograms(porch) -> None:
    from railsheet.figures.record import figure_record

    record = json.loads(json.dumps(figure_record(porch.book, porch.job, porch.notices, {})))
    entry = record["figures"]["A.bay.1.mass"]
    assert entry["unit"] == "lb"
    assert entry["rounded"] == "up"
    assert entry["value"] * 0.45359237 == pytest.approx(porch.book.value("A.bay.1.mass"))
