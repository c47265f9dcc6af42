"""A site's lengths, bearings and diagonals adjusted together, from the job file on."""

from __future__ import annotations

import math

import pytest

from railsheet.errors import BadInput
from railsheet.figures.level_doubt import level_doubts
from railsheet.job.model import BEARING_SIGMA_RAD
from railsheet.layout.notice import Weight
from railsheet.layout.site_model import Site
from railsheet.survey.plan_adjust import plan_sigma_mm

CHECK = '[[diagonal]]\nfrom = "P3"\nto = "P5"\nD = "5372"\n'


def topics(site: Site) -> list[str]:
    return [notice.topic for found in site.notices.values() for notice in found]


def test_without_a_check_every_length_comes_back_as_it_was_read_and_that_is_said(station) -> None:
    site = station((CHECK, ""))
    assert site.legs["M"].length_mm == 4200.0
    assert site.legs["N"].length_mm == 1500.0
    assert site.survey is not None
    assert site.survey.redundancy == 0
    assert topics(site).count("unchecked plan") == 1


def test_a_diagonal_is_held_with_the_lengths_beside_it(station) -> None:
    alone, site = station((CHECK, "")), station()
    assert site.survey is not None
    assert site.survey.redundancy == 1
    assert "unchecked plan" not in topics(site)
    assert "suspect reading" not in topics(site)
    before, after = alone.diagonals_mm["P3", "P5"], site.diagonals_mm["P3", "P5"]
    assert before < after < 5372.0, "it meets the rest part of the way"
    for leg in site.legs.values():
        start, end = site.posts[leg.start].at_mm, site.posts[leg.end].at_mm
        assert math.dist(start, end) == pytest.approx(leg.length_mm, abs=1e-9)
    # What is cut follows the adjusted length: the sum of the run's parts.
    railing = site.railings["N"]
    faces = railing.uphill_post.face_s_mm - railing.downhill_post.face_s_mm
    assert railing.bays[0].clear_mm == pytest.approx(faces)
    grown = site.legs["N"].length_mm - alone.legs["N"].length_mm
    assert grown > 0
    longer = railing.bays[0].top_rail.length_mm - alone.railings["N"].bays[0].top_rail.length_mm
    assert longer == pytest.approx(grown, abs=1e-9)


def test_the_nearer_a_bearing_is_known_the_more_a_diagonal_asks_of_the_lengths(station) -> None:
    head = '[[flight]]\nmark = "A"'
    square = station((head, f"[plan]\nbearings_good_to = 0.001\n\n{head}"))
    loose = station((head, f"[plan]\nbearings_good_to = 5\n\n{head}"))
    grown = [site.legs["M"].length_mm - 4200.0 for site in (loose, station(), square)]
    assert 0 < grown[0] < grown[1] < grown[2]


def test_a_slip_stops_the_cutting_and_names_all_it_could_be(station) -> None:
    site = station(('D = "5372"', 'D = "5410"'))
    (notice,) = [
        n for found in site.notices.values() for n in found if n.topic == "suspect reading"
    ]
    assert notice.weight is Weight.STOP
    for name in ("length of run M", "length of run N", "diagonal, post P3 to post P5"):
        assert name in notice.words


def test_a_level_runs_figures_carry_its_lengths_doubt(station) -> None:
    site = station()
    assert site.survey is not None
    leg = site.legs["N"]
    sigma = site.survey.distance_sigma_mm(leg.start, leg.end)
    read = plan_sigma_mm(1500.0, 1.0)
    assert 0 < sigma < read, "the diagonal has told something of it"

    def figures(length: float) -> dict[str, float]:
        return {"clear": length - 50.0, "gap": (length - 700.0) / 2, "post": 1000.0}

    doubts = {doubt.key: doubt for doubt in level_doubts("N", 1500.0, sigma, read, figures)}
    assert set(doubts) == {"clear", "gap"}
    assert doubts["clear"].sigma == pytest.approx(sigma)
    assert doubts["gap"].sigma == pytest.approx(sigma / 2)
    # Two readings as good as one another, by the weights of their mean.
    both = 1 / math.sqrt(1 / sigma**2 + 1 / read**2)
    assert doubts["clear"].sigma_then == pytest.approx(both)


def test_where_any_change_changes_the_count_no_figure_has_a_slope() -> None:
    def figures(length: float) -> dict[str, float]:
        return {"one": 1.0} if length == 1000.0 else {"other": length}

    assert level_doubts("N", 1000.0, 1.0, 1.0, figures) == ()


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('to = "P5"\nD =', 'to = "P9"\nD =', "no such post; known: .*P5"),
        (CHECK, f"{CHECK}\n{CHECK}", "given twice"),
        ('from = "P3"\nto = "P5"\nD', 'from = "P5"\nto = "P5"\nD', "from one post to another"),
        ('D = "5372"', 'D = "5372"\nF = "3"', "no such key"),
        ('D = "5372"', 'L = "5372"', "D: .*missing"),
        (CHECK, f"{CHECK}\n[plan]\nbearing_good_to = 1\n", "bearings_good_to"),
        (CHECK, f"{CHECK}\n[plan]\nbearings_good_to = 0\n", "from 0.001 to 10"),
    ],
)
def test_what_cannot_be_is_one_message(station, old: str, new: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        station((old, new))


def test_the_way_a_diagonal_is_written_and_the_order_change_nothing(station) -> None:
    more = '\n[[diagonal]]\nfrom = "P4"\nto = "P2"\nD = "4560"\n'
    turned = '[[diagonal]]\nfrom = "P5"\nto = "P3"\nD = "5372"\n'
    one = station((CHECK, CHECK + more))
    other = station((CHECK, more + turned))
    assert one.legs == other.legs
    assert one.posts.keys() == other.posts.keys()
    assert BEARING_SIGMA_RAD > 0
