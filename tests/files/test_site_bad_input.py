"""What cannot be one site: one message, exit 2, nothing written, an older set untouched."""

from __future__ import annotations

from pathlib import Path

import pytest

from railsheet.cli.main import main

HEAD = """
[job]
name = "Square deck"
place = "an invented yard"
date = 2026-11-21
measured_by = "lead hand"
units = "ft-in"
tape = "1/16"
kit = "dunlin"
paper = "tabloid"
"""
# A deck railed all round: four level runs, 120 by 96, that close exactly.
SIDES = (("D", "P1", "P2", 0, "120"), ("E", "P2", "P3", 90, "96"),
         ("F", "P3", "P4", 180, "120"), ("G", "P4", "P1", 270, "96"))  # fmt: skip
PLACED = '\n[[post]]\nmark = "P1"\nat = ["0", "0"]\n'


def level(mark: str, start: str, end: str, bearing: float, length: str) -> str:
    return (
        f'\n[[level]]\nmark = "{mark}"\nside = "left"\nrail_height = "36"\nfrom = "{start}"\n'
        f'to = "{end}"\nbearing = {bearing}\nL = "{length}"\nI = "7/8"\nK = "1 1/4"\n'
    )


def deck(*changed: tuple[str, str, str, float, str]) -> str:
    by_mark = {side[0]: side for side in (*SIDES, *changed)}
    return HEAD + PLACED + "".join(level(*side) for side in by_mark.values())


BAD = {
    "runs that do not meet": (
        deck() + level("H", "P8", "P9", 0, "60"),
        ["run H", "does not meet the other runs", "a mark they share, or its place"],
    ),
    "a post named twice with two places": (
        deck() + '\n[[post]]\nmark = "P1"\nat = ["12", "0"]\n',
        ["post > mark", "'P1'", "named by [[post]] 1 and 2, with two places", "once is enough"],
    ),
    "a loop that does not close": (
        deck(("F", "P3", "P4", 180, "117")),
        ["run G at post P1", 'miss closing by 3"', "is allowed", "Look at run"],
    ),
    "a corner without room": (
        HEAD + level("D", "P1", "P2", 0, "120") + level("E", "P2", "P3", 170, "96"),
        ["post P2", "no room for the rails' ends of both", "a post of its own"],
    ),
}


def draw(job: Path, out: Path, monkeypatch: pytest.MonkeyPatch) -> int | str | None:
    """The command line's own way in, in this process; its exit code."""
    monkeypatch.setattr("sys.argv", ["railsheet", "draw", str(job), "--out", str(out)])
    with pytest.raises(SystemExit) as done:
        main()
    return done.value.code


@pytest.mark.parametrize("name", BAD)
def test_one_message_names_file_place_value_and_what_is_allowed(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text, says = BAD[name]
    job, out = tmp_path / "deck.toml", tmp_path / "out"
    job.write_text(text, encoding="utf-8")
    assert draw(job, out, monkeypatch) == 2
    said = capsys.readouterr()
    assert said.out == ""
    told = [line for line in said.err.splitlines() if not line.startswith("...")]
    assert len(told) == 1, told
    assert "deck.toml" in told[0]
    for words in says:
        assert words in told[0], (words, told[0])
    assert not out.exists()


def test_an_older_set_is_left_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job, out = tmp_path / "deck.toml", tmp_path / "out"
    out.mkdir()
    (out / "sheets.pdf").write_bytes(b"an older set")
    for text, _ in BAD.values():
        job.write_text(text, encoding="utf-8")
        assert draw(job, out, monkeypatch) == 2
        assert [path.name for path in out.iterdir()] == ["sheets.pdf"]
        assert (out / "sheets.pdf").read_bytes() == b"an older set"
