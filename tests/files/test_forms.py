"""The measuring forms, read back from their PDFs."""

from __future__ import annotations

import itertools
import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner
from pdf_lines import read_lines

from railsheet.cli.main import cli
from railsheet.job.taken import Letter

# ISO 216 and ANSI/ASME Y14.1, pt.
SIZES_PT = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}


@pytest.fixture(scope="module", params=["letter", "a4"])
def forms(request, tmp_path_factory) -> tuple[str, Path]:
    """The paper, and a folder with the form of 14 risers and the kit form."""
    folder = tmp_path_factory.mktemp(request.param)
    runner = CliRunner()
    for name, more in (("site.pdf", ["--risers", "14"]), ("kit.pdf", ["--kit"])):
        done = runner.invoke(
            cli, ["form", "--out", str(folder / name), "--paper", request.param, *more]
        )
        assert done.exit_code == 0, done.output
        assert "no room" not in done.output
    return request.param, folder


def words_of(path: Path) -> str:
    return "\n".join(line.text for line in read_lines(path)[0])


def test_the_paper_is_the_one_asked_for(forms) -> None:
    paper, folder = forms
    for name in ("site.pdf", "kit.pdf"):
        for size in read_lines(folder / name)[1]:
            assert size == pytest.approx(SIZES_PT[paper], abs=0.1)


def test_no_text_lies_over_another_or_off_the_frame(forms) -> None:
    for name in ("site.pdf", "kit.pdf"):
        lines, sizes = read_lines(forms[1] / name)
        for line in lines:
            wide, high = sizes[line.page - 1]
            assert 20 < line.box[0] < line.box[2] < wide - 20, line
            assert 20 < line.box[1] < line.box[3] < high - 20, line
        for first, second in itertools.combinations(lines, 2):
            assert first.page != second.page or not first.overlaps(second, 2.2), (first, second)


def test_every_letter_of_the_job_file_is_drawn_and_told(forms) -> None:
    lines, _ = read_lines(forms[1] / "site.pdf")
    first = [line.text for line in lines if line.page == 1]
    for letter in (*(letter.value for letter in Letter), *"NKWEIGV"):
        drawn = [t for t in first if re.fullmatch(rf"{letter}( \d(-\d)?)?( \*)?", t)]
        assert drawn, f"{letter} is not on the drawing"
        assert any(re.search(rf"(^|   ){letter}  ?[a-z]", t) for t in first), f"{letter} untold"


def test_there_is_a_box_for_every_reading_of_the_flight(forms) -> None:
    texts = {line.text for line in read_lines(forms[1] / "site.pdf")[0]}
    wanted = {f"R {n}" for n in range(1, 15)} | {f"T {n}" for n in range(1, 14)}
    wanted |= {f"U {n}" for n in range(2, 15)} | {f"A {n}" for n in range(2, 15)}
    wanted |= {f"S {n}" for n in range(1, 14)} | {f"Z {n}" for n in range(15)}
    wanted |= {f"N {n}" for n in range(1, 15)}
    assert wanted <= texts
    assert "T 14" not in texts


def test_it_says_where_one_more_is_worth_it_and_what_to_look_at(forms) -> None:
    words = words_of(forms[1] / "site.pdf")
    for phrase in ("Running totals", "total rise", "D 1-14 *", "Post landing", "under the deck"):
        assert phrase in words
    assert "Obstructions" in words


def test_the_kit_form_has_every_key_of_a_kit_file(forms) -> None:
    words = words_of(forms[1] / "kit.pdf")
    kit = tomllib.loads((files("railsheet") / "data" / "kits" / "dunlin.toml").read_text())
    for table, values in kit.items():
        assert f"[{table}]" in words
        # What stands in [pack] is named by the parts, not by the format.
        for key in values if table != "pack" else ():
            assert re.search(rf"\b{key}\b", words), f"{table}.{key}"


def test_each_dimension_of_a_part_is_on_its_drawing(forms) -> None:
    lines, _ = read_lines(forms[1] / "kit.pdf")
    counts: dict[str, int] = {}
    for line in lines:
        counts[line.text] = counts.get(line.text, 0) + 1
    # Once beside its box, and once or more on the drawing.
    for key in (
        *("stock_height", "reveal", "along", "across", "edge_distance", "back_clearance"),
        *("pitch", "size", "length", "least_seat", "end_gap", "greatest_span", "greatest_rake"),
    ):
        assert counts[key] >= 2, key
    for key in ("seat", "depth", "first_hole", "stand_off", "reach", "insertion", "mount_width"):
        assert counts[key] >= 3, key


def test_many_risers_take_more_sheets(tmp_path) -> None:
    done = CliRunner().invoke(cli, ["form", "--out", str(tmp_path / "long.pdf"), "--risers", "60"])
    assert done.exit_code == 0
    lines, sizes = read_lines(tmp_path / "long.pdf")
    assert len(sizes) == 5
    assert {"R 60", "Z 60"} <= {line.text for line in lines}
