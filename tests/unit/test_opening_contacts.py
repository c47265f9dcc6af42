"""How openings' circles follow small moves, against the circles sought again in the moved railing.

The central difference of circles sought again is the reference. Both are off by the third order of
a step of 0.01 mm within a circle of some hundred; they agree to `ALIKE` in mm per mm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from railsheet.checks import opening_contacts
from railsheet.checks.opening_contacts import Following, following
from railsheet.checks.openings_of import Opening, Sort, openings_of
from railsheet.errors import BadInput
from railsheet.job.kit import Kit, find_kit, load_kit
from railsheet.job.load import load_job
from railsheet.job.model import FlightReadings, FlightSpec, Ground, Place, PostSpec, Side
from railsheet.job.nosings import read_once
from railsheet.layout.flight import solve_flight
from railsheet.layout.railing import Railing
from railsheet.survey.flight import survey_flight
from railsheet.survey.stair import Nose, Stair, stair_from_readings

SAMPLES = sorted((Path(__file__).parent.parent.parent / "samples").glob("*.toml"))
KITS = {n: load_kit(find_kit(n, Path(), "", "")) for n in ("dunlin", "whimbrel")}
STEP_MM = 0.01
ALIKE = 1e-6
Again = Callable[[Stair], Railing]


def moved(stair: Stair, by: list[tuple[float, float]], share: float) -> Stair:
    """Every nose but the first one's place moved at once, each its own way."""
    noses = (
        Nose(nose.s_mm + (share * s if number else 0.0), nose.z_mm + share * z)
        for number, (nose, (s, z)) in enumerate(zip(stair.noses, by, strict=True))
    )
    return replace(stair, noses=tuple(noses))


def diameters(openings: tuple[Opening, ...]) -> dict[tuple[str, int], float]:
    found: dict[tuple[str, int], float] = {}
    for each in openings:
        bay = sum(where == each.where for where, _ in found)
        found[each.where, bay] = each.circle.diameter_mm
    return found


def slopes(
    stair: Stair,
    by: list[tuple[float, float]],
    again: Again,
    openings: Callable[[Railing], tuple[Opening, ...]],
) -> dict[tuple[str, int], float]:
    up, down = (diameters(openings(again(moved(stair, by, way)))) for way in (1.0, -1.0))
    assert up.keys() == down.keys()
    return {key: (up[key] - down[key]) / (2 * STEP_MM) for key in up}


def directions(noses: int, seed: int) -> list[tuple[float, float]]:
    chance = Random(seed)
    return [
        (chance.uniform(-STEP_MM, STEP_MM), chance.uniform(-STEP_MM, STEP_MM)) for _ in range(noses)
    ]


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_slopes_are_those_of_circles_sought_again_in_every_sample(sample: Path) -> None:
    job = load_job(sample)
    for spec in job.flights:
        stair = survey_flight(spec.readings).stair

        def again(there: Stair, spec: FlightSpec = spec) -> Railing:
            return solve_flight(there, spec, job.kit, job.file)

        railing = again(stair)
        every = openings_of(railing)
        follow = Following(railing, every)
        # What is left to be sought again are exceptions, or nothing would be won.
        assert len(follow.sought) <= max(1, len(every) // 10)
        assert diameters(follow.moved(railing)) == pytest.approx(diameters(every), abs=1e-9)
        for seed in (1, 2):
            by = directions(len(stair.noses), seed)
            expected = slopes(stair, by, again, openings_of)
            assert slopes(stair, by, again, follow.moved) == pytest.approx(expected, abs=ALIKE)


@st.composite
def flights(draw: st.DrawFn) -> FlightSpec:
    """Crooked flights with open or closed risers, low rails and high ones."""
    count = draw(st.integers(3, 6))
    risers = draw(st.lists(st.floats(140, 210), min_size=count, max_size=count))
    runs = draw(st.lists(st.floats(230, 330), min_size=count - 1, max_size=count - 1))
    return FlightSpec(
        mark="A",
        readings=FlightReadings(
            tuple(risers),
            tuple(runs),
            read_once(draw(st.floats(0, 40)), count),
            # As thin as float noise a tread parts two openings in one railing and not in the next.
            draw(st.floats(1, 60)),
            1000.0,
            draw(st.booleans()),
        ),
        side=draw(st.sampled_from(Side)),
        rail_height_mm=draw(st.floats(860, 1060)),
        bottom_post=PostSpec(
            Ground.TREAD, 1, Place.FREE, draw(st.floats(120, 200)), 25.0, 0.0, None
        ),
        top_post=PostSpec(
            Ground.DECK, count, Place.STANDING, draw(st.floats(90, 160)), 25.0, 0.0, None
        ),
    )


@settings(max_examples=60)
@given(flights(), st.sampled_from(sorted(KITS)), st.integers(0, 1000))
def test_slopes_are_those_of_circles_sought_again_over_any_stair(
    spec: FlightSpec, name: str, seed: int
) -> None:
    kit: Kit = KITS[name]
    stair = stair_from_readings(spec.readings)

    def again(there: Stair) -> Railing:
        return solve_flight(there, spec, kit, "a test")

    try:
        railing = again(stair)
        by = directions(len(stair.noses), seed)
        # A choice that turns between is no slope at all.
        sides = [again(moved(stair, by, way)) for way in (1.0, -1.0)]
        every = openings_of(railing)
        assume(all(len(openings_of(side)) == len(every) for side in sides))
        expected = slopes(stair, by, again, openings_of)
    except BadInput:
        assume(False)
        return
    follow = Following(railing, every)
    held = {key: value for key, value in expected.items() if key[0] not in follow.sought}
    found = slopes(stair, by, again, follow.moved)
    assert {key: found[key] for key in held} == pytest.approx(held, abs=ALIKE)
    # What follows by no slope is what seeking it again gives.
    rest = {key: value for key, value in expected.items() if key[0] in follow.sought}
    assert {key: found[key] for key in rest} == rest


def test_openings_of_a_railing_of_other_parts_are_sought_again(solve) -> None:
    railing = solve()
    every = openings_of(railing)
    bay = railing.bays[0]
    fewer = replace(bay, infill=replace(bay.infill, members=bay.infill.members[1:]))
    other = replace(railing, bays=(fewer,))
    expected = openings_of(other, {each.where for each in every})
    assert Following(railing, every).moved(other) == expected
    # A site that moved what bounds an opening would be noticed before anything is followed.
    found = following(every, railing, other)
    assert diameters(found.moved(other)) == pytest.approx(diameters(expected), abs=1e-9)


def test_a_slot_no_longer_parallel_is_sought_again(solve) -> None:
    railing = solve()
    bay = railing.bays[0]
    between = next(each for each in openings_of(railing) if each.sort is Sort.INFILL)
    follow = Following(railing, (between,))
    assert not follow.sought

    def leaning(corner: tuple[float, float]) -> tuple[float, float]:
        return corner[0] + 1e-3 * (corner[1] - bay.line.z_at(corner[0])), corner[1]

    first, second = bay.infill.members[:2]
    tilted = replace(second, outline=tuple(leaning(corner) for corner in second.outline))
    members = (first, tilted, *bay.infill.members[2:])
    other = replace(railing, bays=(replace(bay, infill=replace(bay.infill, members=members)),))
    assert follow.moved(other) == openings_of(other, {between.where})


def test_what_holds_a_circle_balances() -> None:
    thirds = opening_contacts._balance([(0.0, 1.0), (0.75**0.5, -0.5), (-(0.75**0.5), -0.5)])
    assert thirds == pytest.approx((1 / 3, 1 / 3, 1 / 3))
    assert opening_contacts._balance([(1.0, 0.0), (-1.0, 0.0)]) == (0.5, 0.5)
    # Two that do not stand against each other, three on one side, four: no one choice of weights.
    assert opening_contacts._balance([(1.0, 0.0), (0.0, 1.0)]) is None
    assert opening_contacts._balance([(1.0, 0.0), (1.0, 0.0)]) is None
    assert opening_contacts._balance([(1.0, 0.0), (0.6, 0.8), (0.8, 0.6)]) is None
    assert opening_contacts._balance([(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]) is None
