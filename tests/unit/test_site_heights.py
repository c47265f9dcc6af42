"""How high runs stand over each other: known by shared posts or by F, else refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from deck_job import BARE_DECK
from turn_job import TURN

from railsheet.errors import BadInput
from railsheet.layout.site_model import Site

IN = 25.4
APART = TURN.replace("UNITS", "ft-in").replace("P2X", "5.5 in")
FLOOR = 'F = "60 in"\n'
# The deck's floor, stated on run D and on run F: no post joins the two halves of the rail.
D_FLOOR = 'L = "146"\nF = "63 1/2"'
F_FLOOR = 'L = "46"\nF = "63 1/2"'
# The flight's rises to the landing, and from there to the deck: 28 9/16 and 28 13/16 in.
LOWER, UPPER = 7 + 7.25 + 7.125 + 7.1875, 7.125 + 7.25 + 7.1875 + 7.25


@pytest.fixture
def site(tmp_path: Path, lay_out):
    def laid(text: str, *changes: tuple[str, str]) -> Site:
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new, 1)
        path = tmp_path / "site.toml"
        path.write_text(text, encoding="utf-8")
        return lay_out(path)

    return laid


def refusal(site, *args) -> str:
    with pytest.raises(BadInput) as caught:
        site(*args)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_one_floor_alone_says_nothing_of_a_run_apart(site) -> None:
    said = refusal(site, APART, (FLOOR, ""))
    assert "run A > F: missing; it shares no post with run B," in said
    assert said.endswith("over the site's datum")


def test_no_floor_at_all_asks_for_both(site) -> None:
    said = refusal(site, APART, (FLOOR, ""), (FLOOR, ""))
    assert "run B > F: missing; it shares no post with run A," in said
    assert said.endswith("and F of run A too")


def test_a_group_of_runs_apart_is_told_by_its_first(site) -> None:
    said = refusal(site, BARE_DECK, (F_FLOOR, 'L = "46"'))
    assert "run F > F: missing; it shares no post with runs A, B, D, E," in said
    said = refusal(site, BARE_DECK, (F_FLOOR, 'L = "46"'), (D_FLOOR, 'L = "146"'))
    assert "run F > F" in said
    assert said.endswith("and F of one of those too")


def test_floors_stated_are_the_feet(site) -> None:
    feet = {mark: post.foot_mm for mark, post in site(APART).posts.items()}
    assert feet == dict.fromkeys(("W1", "P1", "P2", "W2"), 60 * IN)


def test_a_run_alone_and_runs_joined_by_posts_need_no_floor(site, station) -> None:
    head, *tables = APART.split("\n[[")
    alone = "\n[[".join([head, tables[0], tables[3]]).replace(FLOOR, "")
    assert {post.foot_mm for post in site(alone).posts.values()} == {0.0}
    # Risers of 1440 mm altogether up to the landing of the station's sample.
    assert station().posts["P1"].foot_mm == pytest.approx(1440.0)


def test_a_flights_own_floor_is_its_bottom_surface(site) -> None:
    # From the landing of 6 in up both halves of the flight to the deck.
    stated = ('mark = "B"\nside', 'mark = "B"\nF = "6"\nside')
    deck = 6 + LOWER + UPPER
    found = site(
        BARE_DECK, stated, (D_FLOOR, 'L = "146"'), (F_FLOOR, f'L = "46"\nF = "{deck:.4f} in"')
    )
    for mark in ("W1", "P1", "P2", "P3", "P4", "W2"):
        assert found.posts[mark].foot_mm == pytest.approx(deck * IN)
    assert found.posts["P5"].foot_mm == pytest.approx((6 + LOWER) * IN)


def test_a_flights_floor_must_agree_with_the_decks(site) -> None:
    # The deck at 63 1/2 leaves the flight's bottom at 6 1/8: 7 in is 7/8 off.
    wrong = ('mark = "B"\nside', 'mark = "B"\nF = "7"\nside')
    assert "must agree within" in refusal(site, BARE_DECK, wrong)
    assert "allowed is" in refusal(site, BARE_DECK, (wrong[0], 'mark = "B"\nF = "3000 in"\nside'))
