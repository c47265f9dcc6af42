"""Several runs on one sheet, a long flight in parts: read back from the files."""

from __future__ import annotations

import csv
import itertools
import json
import re
from collections import Counter
from pathlib import Path

import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job
from railsheet.sheets.packing import Picture, fewest_sheets, pack
from railsheet.sheets.paper import Rect

SAMPLES = Path(__file__).parent.parent.parent / "samples"
ROOM = Rect(10.0, 40.0, 410.0, 260.0)


def picture(run: str, wide: float, high: float) -> Picture:
    return Picture(run, (wide, high), None, lambda hook: hook.below_mm)


def test_pictures_lie_inside_the_sheet_and_clear_of_each_other() -> None:
    sizes = [(180, 60), (240, 50), (90, 90), (400, 40), (130, 70), (130, 70), (130, 70), (60, 200)]
    sheets = pack([picture(f"R{n}", *size) for n, size in enumerate(sizes)], ROOM)
    assert sum(len(sheet) for sheet in sheets) == len(sizes)
    for sheet in sheets:
        for hung, place in sheet:
            assert place.size == pytest.approx(hung.size_mm)
            assert place.left >= ROOM.left - 1e-6
            assert place.right <= ROOM.right + 1e-6
            assert place.bottom >= ROOM.bottom - 1e-6
            assert place.top <= ROOM.top + 1e-6
        for (_, a), (_, b) in itertools.combinations(sheet, 2):
            apart = a.right <= b.left or b.right <= a.left or a.top <= b.bottom or b.top <= a.bottom
            assert apart, (a, b)


def test_a_runs_pictures_keep_their_order_from_sheet_to_sheet() -> None:
    pictures = [picture("A", 300, 200), picture("A", 300, 200), picture("A", 90, 30)]
    sheets = pack(pictures, ROOM)
    # The small one would fit beside the first, but belongs with the second.
    assert [len(sheet) for sheet in sheets] == [1, 2]


def test_the_largest_of_the_choices_with_fewest_sheets_is_taken() -> None:
    large = [picture(run, 390, 200) for run in "AB"]
    middle = [picture(run, 390, 105) for run in "AB"]
    small = [picture(run, 190, 60) for run in "AB"]
    (sheet,) = fewest_sheets([large, middle, small], ROOM)
    assert [hung.size_mm for hung, _ in sheet] == [(390, 105), (390, 105)]


def test_a_picture_larger_than_the_sheet_is_refused() -> None:
    with pytest.raises(ValueError, match="larger than its sheet"):
        pack([picture("A", 390, 230)], ROOM)


@pytest.fixture(scope="module", params=["station-steps"])
def drawn(request, tmp_path_factory) -> Path:
    out = tmp_path_factory.mktemp(request.param)
    draw_job(SAMPLES / f"{request.param}.toml", out)
    return out


def pages_of(out: Path) -> dict[int, list[str]]:
    pages: dict[int, list[str]] = {}
    for line in read_lines(out / "sheets.pdf")[0]:
        pages.setdefault(line.page, []).append(line.text)
    return pages


def test_runs_share_sheets_and_each_sheet_is_numbered_once(drawn: Path) -> None:
    pages = pages_of(drawn)
    title = r"(Elevations|Rails|Posts|Heights and steps): runs |"
    title += r"(Flight|Level run) [A-Z]: (elevation|rails|posts|heights and steps)$"
    drawings = [n for n, texts in pages.items() if any(re.match(title, text) for text in texts)]
    # A set for each run took 21 sheets of drawings.
    assert len(drawings) <= 12
    for number, texts in pages.items():
        assert texts.count(f"{number} of {len(pages)}") == 1
        assert sum("licensed engineer" in text for text in texts) == 1
    shared = [n for n, texts in pages.items() if any(t.startswith("Rails: runs") for t in texts)]
    assert shared


def test_no_text_of_a_shared_sheet_lies_over_another(drawn: Path) -> None:
    lines, _ = read_lines(drawn / "sheets.pdf")
    for _, page in itertools.groupby(lines, key=lambda line: line.page):
        for first, second in itertools.combinations(page, 2):
            assert not first.overlaps(second, 2.2), (first, second)


def test_every_rail_of_the_cut_list_is_drawn_or_named_as_alike(drawn: Path) -> None:
    with (drawn / "cuts.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = {row["Mark"]: row for row in csv.DictReader(stream)}
    rails = {mark for mark in rows if re.search(r"-[TB]R$", mark)}
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    texts = [text for page in pages_of(drawn).values() for text in page]
    headed, alike = set(), dict[str, str]()
    for before, text in itertools.pairwise(texts):
        if found := re.match(r"([A-Z]\d+-[TB]R)(?: and \d+ alike)?   ?\S", text):
            headed.add(found[1])
        if found := re.match(r"Alike: ([^.]+)\.", text):
            first = re.match(r"([A-Z]\d+-[TB]R)", before)
            if first:
                alike |= dict.fromkeys(found[1].split(", "), first[1])
    assert headed
    assert headed | alike.keys() == rails
    for mark, first in alike.items():
        one, other = (
            {
                key.removeprefix(f"{m[0]}.bay.{m[1:].split('-')[0]}.rail."): figure["value"]
                for key, figure in figures.items()
                if key.startswith(f"{m[0]}.bay.{m[1:].split('-')[0]}.rail.")
                and f".rail.{'top' if m.endswith('TR') else 'bottom'}." in key
                and ".bar." not in key
                and figure["unit"] in ("in", "mm", "deg")
            }
            for m in (mark, first)
        )
        assert one.keys() == other.keys()
        for key, value in one.items():
            # Equal but for the rounding of bays placed one after another.
            assert value == pytest.approx(other[key], abs=1e-4), (mark, first, key)


def test_parts_of_each_run_add_up_to_the_buying_list(drawn: Path) -> None:
    """The sum of the parts equals the whole."""
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    counted = sum(f["value"] for k, f in figures.items() if re.match(r"[A-Z]\.part\.\d+\.count", k))
    with (drawn / "parts.csv").open(encoding="utf-8-sig", newline="") as stream:
        needed = sum(
            int(row["Needed"])
            for row in csv.DictReader(stream)
            if row["Kind"] not in ("bar", "drop on hand")
        )
    assert counted == needed


def test_rails_on_bars_with_kerfs_and_leftovers_add_up_to_the_bars(drawn: Path) -> None:
    """Each piece of the cut list lies on one bar, and no bar holds more than its length."""
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    with (drawn / "cuts.csv").open(encoding="utf-8-sig", newline="") as stream:
        rails = sum(bool(re.search(r"-[TB]R$", row["Mark"])) for row in csv.DictReader(stream))
    pieces: Counter[str] = Counter()
    lengths: Counter[str] = Counter()
    for key, figure in figures.items():
        if found := re.fullmatch(r"(stock\.bar\.\d+)\.piece\.\d+\.length", key):
            pieces[found[1]] += 1
            lengths[found[1]] += figure["value"]
    assert sum(pieces.values()) == rails
    for bar, length in lengths.items():
        assert length + figures[f"{bar}.left"]["value"] < figures[f"{bar}.length"]["value"]
