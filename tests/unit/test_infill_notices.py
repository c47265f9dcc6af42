"""What must be told of infill before it is cut: shallow seats, cables that no count holds apart.

Figures by plane trigonometry, each beside its check.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from railsheet.job.kit import Kit, RailPlace, find_kit, load_kit
from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.layout.infill.cable import CABLE
from railsheet.layout.infill.seating import hole_notices, seat_notices
from railsheet.layout.notice import Weight
from railsheet.layout.railing import Railing
from railsheet.survey.flight import survey_flight

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def kit_of(name: str) -> Kit:
    return load_kit(find_kit(name, Path(), "", ""))


@cache
def sample(name: str) -> Railing:
    job = load_job(SAMPLES / f"{name}.toml")
    spec = job.flights[0]
    return solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)


def test_a_seat_just_short_of_what_the_kit_asks_is_told_for_its_rail() -> None:
    kit = kit_of("dunlin")
    width, least = kit.baluster.width_mm, kit.baluster.least_seat_mm
    # A square end of width w on a rake: its shallow corner stands w·sin(rake) less deep.
    for place in RailPlace:
        limit = math.asin((kit.rail(place).seat_mm - least) / width)
        told = {n.words.split(" in the ")[1] for n in seat_notices(kit, limit - 1e-4)}
        assert not [words for words in told if words.startswith(place.value)]
        (notice,) = [
            n for n in seat_notices(kit, limit + 1e-2) if f"the {place.value} rail" in n.words
        ]
        assert notice.weight is Weight.STOP
        seat = kit.rail(place).seat_mm - width * math.sin(limit + 1e-2)
        assert dict(notice.lengths_mm) == pytest.approx({"seat": max(seat, 0.0), "least": least})


def test_a_hole_just_too_short_for_a_plumb_baluster_is_told() -> None:
    kit, rake = kit_of("dunlin"), math.radians(35.0)
    needed = kit.baluster.width_mm / math.cos(rake)
    assert hole_notices(kit, rake, needed + 0.01) == []
    (notice,) = hole_notices(kit, rake, needed - 0.01)
    assert notice.weight is Weight.STOP
    assert dict(notice.lengths_mm) == pytest.approx({"needed": needed, "size": needed - 0.01})


def test_cables_that_no_count_keeps_together_must_be_settled() -> None:
    railing = sample("cable-rail")
    infill, kit, rake = railing.bays[0].infill, railing.kit, railing.line.rake_rad
    assert "spread" in {fact.name for fact in infill.facts}
    assert not [n for n in CABLE.notices(kit, rake, infill) if n.weight is Weight.STOP]
    without = replace(infill, facts=tuple(f for f in infill.facts if f.name != "spread"))
    (notice,) = [n for n in CABLE.notices(kit, rake, without) if n.weight is Weight.STOP]
    assert notice.topic == "cables"


def test_a_pane_is_bitten_at_each_edge_by_its_own_rail() -> None:
    railing = sample("solid-pane")
    kit, bay = railing.kit, railing.bays[0]
    solid = kit.infill
    assert solid.bite_top_mm != solid.bite_bottom_mm
    facts = {fact.name: fact.value for fact in bay.infill.facts}
    assert facts["clear_top"] == pytest.approx(kit.top_rail.seat_mm - solid.bite_top_mm)
    assert facts["clear_bottom"] == pytest.approx(kit.bottom_rail.seat_mm - solid.bite_bottom_mm)
    # What is seen of it is bare of both bites; square to the rails they grow by 1 / cos(rake).
    (member,) = bay.infill.members
    whole = bay.infill.templates[0].outline
    plumb = math.dist(whole[0], whole[3])
    bare = math.dist(member.outline[0], member.outline[3])
    bites = (solid.bite_top_mm + solid.bite_bottom_mm) / math.cos(railing.line.rake_rad)
    assert plumb - bare == pytest.approx(bites)
    low = (member.outline[0][1] - whole[0][1]) * math.cos(railing.line.rake_rad)
    assert low == pytest.approx(solid.bite_bottom_mm)


def test_a_square_ended_baluster_is_itself_from_seat_to_seat() -> None:
    railing = sample("porch-flight")
    kit, bay = railing.kit, railing.bays[0]
    cos = math.cos(railing.line.rake_rad)
    underside = bay.section.height_plumb_mm
    for member, s in zip(bay.infill.members, bay.baluster_s_mm, strict=True):
        low_left, low_right, high_right, high_left = member.body
        half = kit.baluster.width_mm / 2
        assert [low_left[0], low_right[0]] == pytest.approx([s - half, s + half])
        assert [high_left[0], high_right[0]] == pytest.approx([s - half, s + half])
        assert high_left[1] - low_left[1] == pytest.approx(kit.baluster.length_mm)
        # Its uphill corner bears on the stop: the seat, square to the rail, below its upper face.
        face = bay.line.z_at(s + half) - underside + kit.bottom_rail.depth_mm / cos
        assert low_right[1] == pytest.approx(face - kit.bottom_rail.seat_mm / cos)
        assert low_left[1] == low_right[1]
