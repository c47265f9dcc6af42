"""The forms of kit files and of handrail parts, read back from their PDFs, against the readers."""

from __future__ import annotations

import itertools
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import get_args

import pytest
from click.testing import CliRunner
from pdf_lines import TextLine, read_lines

from railsheet.cli.main import cli
from railsheet.job.kit import load_kit, shipped_kits
from railsheet.job.kit_handrail import load_handrail_kit
from railsheet.job.kit_infill import InfillKit
from railsheet.job.source import Table
from railsheet.sheets.kit_form_ends import ENDS
from railsheet.sheets.kit_form_keys import FILLS

KITS = Path(__file__).parents[2] / "railsheet" / "data" / "kits"
# ISO 216 and ANSI/ASME Y14.1, pt.
SIZES_PT = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}
ASKED = {
    **{fills: ["--kit", "--fills", fills] for fills in FILLS},
    **{ends: ["--kit", "--fills", "cut", "--ends", ends] for ends in ENDS if ends != "bracket"},
    "handrail": ["--handrail"],
}
Keys = dict[str, set[str]]


def printed(out: Path, *more: str) -> list[TextLine]:
    done = CliRunner().invoke(cli, ["form", "--out", str(out), *more])
    assert done.exit_code == 0, done.output
    assert "no room" not in done.output
    return read_lines(out)[0]


@pytest.mark.parametrize("paper", SIZES_PT)
@pytest.mark.parametrize("asked", ASKED)
def test_nothing_lies_over_another_or_off_the_frame(asked, paper, tmp_path) -> None:
    out = tmp_path / "form.pdf"
    lines = printed(out, *ASKED[asked], "--paper", paper)
    sizes = read_lines(out)[1]
    assert all(size == pytest.approx(SIZES_PT[paper], abs=0.1) for size in sizes)
    for line in lines:
        wide, high = sizes[line.page - 1]
        assert 24 < line.box[0] < line.box[2] < wide - 24, line
        assert 24 < line.box[1] < line.box[3] < high - 24, line
    for first, second in itertools.combinations(lines, 2):
        assert first.page != second.page or not first.overlaps(second, 2.2), (first, second)


def keys_on(lines: list[TextLine]) -> Keys:
    """The keys on a form by their table's place, as its boxes stand under its headings."""
    heads = [line for line in lines if re.fullmatch(r"\[+[a-z_.]+\]+", line.text)]
    keys: Keys = {}
    for head in heads:
        place = head.text.strip("[]").replace(".", " > ")
        if " > " in place:
            table, own = place.split(" > ")
            keys.setdefault(table, set()).add(own)
        below = [
            line
            for line in lines
            if line.page == head.page
            and abs(line.box[0] - head.box[0]) < 2.5
            and line.box[1] > head.box[1]
        ]
        for line in sorted(below, key=lambda line: line.box[1]):
            if line in heads:
                break
            if re.fullmatch("[a-z_]+", line.text):
                keys.setdefault(place, set()).add(line.text)
                within = re.search(r"\{ (.+) \}", beside(line, lines))
                if within:
                    keys[f"{place} > {line.text}"] = set(within[1].split(", "))
    return keys


def beside(key: TextLine, lines: list[TextLine]) -> str:
    """What stands between a key and its box, of one or two lines."""
    middle = (key.box[1] + key.box[3]) / 2
    words = [
        line
        for line in lines
        if line.page == key.page
        and key.box[2] < line.box[0] < key.box[0] + 150
        and abs((line.box[1] + line.box[3]) / 2 - middle) < 10
    ]
    return " ".join(line.text for line in sorted(words, key=lambda line: line.box[1]))


def asked_for(load: Callable[[Path], object], path: Path, monkeypatch) -> Keys:
    """Every key that a reader asks a file for, by its table's place without the entry's number."""
    tables: list[Table] = []
    begin = Table.__init__

    def noted(self: Table, *args) -> None:
        begin(self, *args)
        tables.append(self)

    with monkeypatch.context() as patch:
        patch.setattr(Table, "__init__", noted)
        load(path)
    asked: Keys = {}
    for table in tables:
        place = " > ".join(part.split()[0] for part in table.place.split(" > ") if part)
        asked.setdefault(place, set()).update(table._asked)
    del asked[""]
    # What stands in it is named by the parts, not by the format.
    asked.pop("pack", None)
    return asked


def together(found: list[Keys]) -> Keys:
    union: Keys = {}
    for keys in found:
        for place, names in keys.items():
            union.setdefault(place, set()).update(names)
    return union


def priced(tmp_path: Path) -> Path:
    """A shipped kit whose bars have prices, which none of the shipped has."""
    path = tmp_path / "priced.toml"
    text = (KITS / "dunlin.toml").read_text()
    path.write_text(re.sub(r"(?m)^stock = .*$", 'stock = [{ length = "8\'", price = 30 }]', text))
    return path


def test_every_key_the_reader_asks_for_is_on_the_form_and_no_other(tmp_path, monkeypatch) -> None:
    """What a file writes is among what is asked for: the reader refuses any other key."""
    paths = [*(KITS / f"{name}.toml" for name in shipped_kits()), priced(tmp_path)]
    asked = {path: asked_for(load_kit, path, monkeypatch) for path in paths}
    known = together(list(asked.values()))
    seen = set()
    for path in paths:
        data = tomllib.loads(path.read_text())
        fills = data.get("infill", {}).get("kind", "punched")
        ends = data.get("top_end", {}).get("kind", "bracket")
        seen |= {fills, ends}
        form = keys_on(printed(tmp_path / "f.pdf", "--kit", "--fills", fills, "--ends", ends))
        for place, names in asked[path].items():
            assert form[place] == names, (path.name, place)
        for place in form.keys() - asked[path].keys():
            assert form[place] <= known[place], (path.name, place)
    assert seen == {*FILLS, *ENDS}


def test_the_form_of_handrail_parts_has_every_key_of_their_reader(tmp_path, monkeypatch) -> None:
    capped = tmp_path / "capped.toml"
    text = (KITS / "handrails" / "merlin.toml").read_text()
    capped.write_text(re.sub(r"(?m)^(cap = .*)screws = 0", r'\1screws = 1, screw = "screw"', text))
    paths = [*sorted((KITS / "handrails").glob("*.toml")), capped]
    known = together([asked_for(load_handrail_kit, path, monkeypatch) for path in paths])
    form = keys_on(printed(tmp_path / "f.pdf", "--handrail"))
    # A round and an oblong section are asked for different sizes; none shipped has priced bars.
    assert form.pop("section > stock") == {"length", "price"}
    assert form == known


def test_a_form_for_every_kind_there_is() -> None:
    assert set(FILLS) == {kind.word for kind in get_args(InfillKit)}
    options = {option.name: option for option in cli.commands["form"].params}
    assert list(options["fills"].type.choices) == list(FILLS)
    assert list(options["ends"].type.choices) == list(ENDS)


@pytest.mark.parametrize(
    ("asked", "drawn"),
    [
        ("drilled", "depth width seat hole greatest_opening length least_seat"),
        ("cut", "depth width seat over_all greatest_opening thickness stock length least_seat"),
        ("panel", "depth width first_hole pitch size axes_apart greatest_rack length end_gap"),
        (
            "cable",
            "depth width diameter bore tension push sphere fitting brace brace_width "
            "greatest_free over_all",
        ),
        (
            "solid",
            "depth width seat thickness side_clearance bite_top bite_bottom greatest_side over_all",
        ),
        ("butt", "clearance fixing thickness socket height width"),
        ("housed", "depth ease short thickness socket height width"),
        ("over post", "cut past saddle fixing clearance radius leg insertion wall"),
        (
            "handrail",
            "diameter depth width section perimeter recess_start recess_depth recess_depth_within "
            "recess_continues_to width_above_recess saddle from_joint drop below plate_height "
            "plate_width clear turn radius leg gap",
        ),
    ],
)
def test_each_dimension_is_on_its_part_as_well_as_at_its_box(asked, drawn, tmp_path) -> None:
    texts = [line.text for line in printed(tmp_path / "form.pdf", *ASKED[asked])]
    for key in drawn.split():
        # The gap of a handrail's end is named in its part's braces, and on the drawing.
        assert texts.count(key) >= (1 if key == "gap" else 2), key


def test_the_options_of_one_form_are_refused_for_another(tmp_path) -> None:
    for more in (["--fills", "cable"], ["--ends", "bracket"], ["--kit", "--handrail"]):
        done = CliRunner().invoke(cli, ["form", "--out", str(tmp_path / "no.pdf"), *more])
        assert done.exit_code == 2, more
        assert not (tmp_path / "no.pdf").exists()
