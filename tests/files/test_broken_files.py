"""Every broken job, kit and code profile of the corpus gives its one message and nothing else.

The first line of each file says what it wants: ``# wants: name.toml:21: place: 'value': allowed``.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from railsheet.cli.main import main

BROKEN = Path(__file__).parent.parent.parent / "fixtures" / "broken"
FILES = sorted(BROKEN.glob("*/*.toml"))


def wanted(path: Path) -> str:
    first = path.read_text(encoding="utf-8").split("\n", 1)[0]
    assert first.startswith("# wants: ")
    return first.removeprefix("# wants: ")


def run(monkeypatch: pytest.MonkeyPatch, folder: Path, *arguments: str) -> int:
    """The command line as `railsheet` starts it, in this process."""
    monkeypatch.chdir(folder)
    monkeypatch.setattr("sys.argv", ["railsheet", *arguments])
    with pytest.raises(SystemExit) as left:
        main()
    assert isinstance(left.value.code, int)
    return left.value.code


def test_the_corpus_is_whole() -> None:
    assert len(FILES) >= 60
    assert {path.parent.name for path in FILES} == {"jobs", "kits", "codes"}
    # No two files want the same of the same place, so that none is there twice.
    assert len({wanted(path).split(": ", 1)[1] + path.stem for path in FILES}) == len(FILES)


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_it_gives_its_one_message(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(path, tmp_path)
    job = path.name
    if path.parent.name != "jobs":
        text = (BROKEN / "job.toml").read_text(encoding="utf-8")
        kit, code = 'kit = "dunlin"', 'paper = "letter"'
        old, new = (
            (kit, f'kit = "{path.name}"')
            if path.parent.name == "kits"
            else (code, f'code = "{path.name}"')
        )
        assert old in text
        job = "the job.toml"
        (tmp_path / job).write_text(text.replace(old, new), encoding="utf-8")
    before = sorted(tmp_path.iterdir())
    assert run(monkeypatch, tmp_path, "draw", job, "--out", "out") == 2
    said = capfd.readouterr()
    assert said.out == ""
    want = wanted(path)
    # A list that grows with what is shipped is held by how it begins.
    held = said.err[: len(want) - 1] + "…\n" if want.endswith("…") else said.err
    assert held == want + "\n"
    assert said.err.count("\n") == 1
    assert sorted(tmp_path.iterdir()) == before


def test_the_good_job_they_were_made_from_is_good() -> None:
    from railsheet.job.load import load_job

    assert load_job(BROKEN / "job.toml").name


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("x" * 1_000_001, "larger than 1000 kB, the most that is read"),
        ("".join(f"[[flight]]\nmark = 'A{n}'\n" for n in range(1001)), "at most 1000"),
    ],
    ids=["a file of a megabyte", "a thousand flights"],
)
def test_absurd_sizes_are_refused_early(
    text: str,
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    head = (BROKEN / "job.toml").read_text(encoding="utf-8").split("[[flight]]")[0]
    (tmp_path / "job.toml").write_text(head + text, encoding="utf-8")
    assert run(monkeypatch, tmp_path, "draw", "job.toml", "--out", "out") == 2
    assert says in capfd.readouterr().err
