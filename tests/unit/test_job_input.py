"""Bad input: one message with file, place, value and what is allowed."""

from __future__ import annotations

from pathlib import Path

import pytest

from railsheet.errors import BadInput
from railsheet.job.kit import find_kit, load_kit, shipped_kits
from railsheet.job.load import load_job
from railsheet.job.model import Ground, Place

R2 = '"7 1/2", "7 7/16"'


@pytest.mark.parametrize(
    ("old", "new", "place", "says"),
    [
        (R2, '"7 9/8", "7 7/16"', "flight 1 > readings > R riser 2", "9/8"),
        (R2, '-7.5, "7 7/16"', "R riser 2", "negative"),
        (R2, '"7.5 m", "7 7/16"', "R riser 2", "295.3 in; allowed is 2 in to 16 in"),
        (R2, '["4", "x"], "7 7/16"', "R riser 2", "not one clear length"),
        (R2, '[], "7 7/16"', "R riser 2", "a length is wanted"),
        ('N = "1"\n', "", "readings > N", "missing"),
        ('"10 1/2", "10 3/8"', '"10 3/8"', "readings > T", "4 runs beside 6 risers"),
        ('kit = "dunlin"', 'kit = "nowhere"', "job > kit", "shipped are brambling, "),
        ('kit = "dunlin"', 'kit = "mine.toml"', "job > kit", "there is no kit file"),
        ('side = "left"', 'side = "up"', "flight 1 > side", "one of left, right"),
        ('side = "left"', 'sde = "left"', "flight 1 > side", "missing"),
        ('paper = "letter"', 'papr = "letter"', "job > papr", "did you mean paper?"),
        ('units = "ft-in"', 'units = "feet"', "job > units", "one of ft-in, mm"),
        ("date = 2026-11-20", 'date = "today"', "job > date", "a date without quotes"),
        ("open_risers = false", 'open_risers = "no"', "open_risers", "true or false"),
        ('stands_on = "tread 1"', 'stands_on = "tread 9"', "stands_on", "tread 1 to tread 5"),
        ('stands_on = "deck"', 'stands_on = "landing"', "top_post > stands_on", "deck or tread"),
        ('stands_on = "deck"', 'stands_on = "tread 1"', "stands_on", "must stand above"),
        ('E = "4"\n', "", "top_post > E", "standing post needs"),
        ('I = "7/8"\n', "", "top_post > I", "standing post needs"),
        ('place = "standing"', 'place = "free"', "top_post > V", "only a standing post"),
        ('mark = "A"', 'mark = "a b"', "flight 1 > mark", "capital letter"),
        ('tape = "1/16"', 'tape = "1/5"', "job > tape", "division"),
        ('R = ["7 1/4", ', 'R = ["7 1/4"]\nX = [', "readings > R", "at least two risers"),
    ],
)
def test_each_mistake_has_its_message(job_file, old: str, new: str, place: str, says: str) -> None:
    path = job_file((old, new))
    with pytest.raises(BadInput) as caught:
        load_job(path)
    message = str(caught.value)
    assert str(path) in message
    assert place in message
    assert says in message
    assert "\n" not in message


def test_two_free_posts_are_refused(job_file) -> None:
    path = job_file(('place = "standing"', 'place = "free"'), ('V = "44"', ""))
    with pytest.raises(BadInput, match=r"bottom_post > place.*not both"):
        load_job(path)


def test_half_written_toml_names_line_and_column(tmp_path: Path) -> None:
    path = tmp_path / "half.toml"
    path.write_text('[job]\nname = "half', encoding="utf-8")
    with pytest.raises(BadInput, match=r"half\.toml: TOML: not a whole TOML file: .*(line|end)"):
        load_job(path)


def test_a_file_that_is_not_there_and_one_that_is_not_text(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="there is no such file"):
        load_job(tmp_path / "none.toml")
    odd = tmp_path / "odd.toml"
    odd.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadInput, match="not text in UTF-8"):
        load_job(odd)
    with pytest.raises(BadInput, match="cannot be read"):
        load_job(tmp_path)


def test_a_riser_read_in_two_parts_is_their_sum(job_file) -> None:
    split = load_job(job_file((R2, '["4 1/4", "3 1/4"], "7 7/16"')))
    whole = load_job(job_file(name="whole.toml"))
    assert split.flights[0].readings == whole.flights[0].readings


def test_posts_are_read_with_what_they_stand_on(job_file) -> None:
    path = job_file(
        (
            'stands_on = "tread 1"\nplace = "free"',
            'stands_on = "slab"\nplace = "set"\nE = "9"\nG = "4"',
        )
    )
    post = load_job(path).flights[0].bottom_post
    assert (post.ground, post.surface, post.place) == (Ground.SLAB, 0, Place.SET)
    assert post.slab_drop_mm == pytest.approx(101.6)


@pytest.mark.parametrize("name", shipped_kits())
def test_shipped_kits_load(name: str) -> None:
    kit = load_kit(find_kit(name, Path(), "", ""))
    assert kit.source == "invented for demonstration"


@pytest.mark.parametrize(
    ("old", "new", "place", "says"),
    [
        ('pitch = "4 1/2"', "pitch = 0", "holes > pitch", "allowed is"),
        ('pitch = "4 1/2"', 'pitch = "1"', "holes > size", "smaller than the pitch"),
        ('size = "1 1/8"', 'size = "5/8"', "holes > size", "does not enter"),
        ('insertion = "1"', 'insertion = "2"', "top_bracket > insertion", "through the post"),
        ('cut = "square"', 'cut = "mitre"', "top_bracket > cut", "one of square, plumb"),
        ('cut = "square"', 'cut = "plumb"', "top_bracket > stand_off", "no pin"),
        ('across = ["15/16", "1"]', 'across = ["1"]', "across", "two lengths"),
        ('across = ["15/16", "1"]', 'across = ["2", "3"]', "across", "stand off the post"),
        ('least = "2 1/2", most = "4"', 'least = "5", most = "4"', "end_gap > least", "over the"),
        ('seat = "3/4"', 'seat = "2"', "top_rail > seat", "deeper than its rail"),
        ("greatest_rake = 40", "greatest_rake = true", "greatest_rake", "a number is wanted"),
        ("spare_rate = 0.05", "spare_rate = 5", "spare_rate", "from 0 to 0.5"),
        ('length = "33"', 'lenght = "33"', "baluster > length", "missing"),
        ("[limits]", "[limit]", "limits", "missing"),
    ],
)
def test_kit_mistakes(tmp_path: Path, old: str, new: str, place: str, says: str) -> None:
    text = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "mine.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load_kit(path)
    assert place in str(caught.value)
    assert says in str(caught.value)
