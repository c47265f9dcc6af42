"""What must not change: mirror the side, shift the origin, swap units, split a reading, scale."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from railsheet.errors import BadInput
from railsheet.job.kit import Kit, find_kit, load_kit
from railsheet.job.load import load_job
from railsheet.job.model import FlightReadings, FlightSpec, Ground, Place, PostSpec, Side
from railsheet.job.nosings import Nosings, read_once
from railsheet.layout.flight import solve_flight
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing
from railsheet.survey.stair import Nose, Stair, stair_from_readings

KITS = {name: load_kit(find_kit(name, Path(), "", "")) for name in ("dunlin", "whimbrel")}


def nosings(count: int) -> st.SearchStrategy[Nosings]:
    """One for every nose, or one at each."""
    size = st.floats(0, 40)
    each = st.lists(size, min_size=count, max_size=count).map(lambda mm: Nosings(tuple(mm)))
    return st.one_of(size.map(lambda mm: read_once(mm, count)), each)


@st.composite
def flights(draw: st.DrawFn) -> FlightSpec:
    """Crooked but sensible flights, with the bottom post free or set."""
    count = draw(st.integers(4, 8))
    risers = draw(st.lists(st.floats(165, 195), min_size=count, max_size=count))
    runs = draw(st.lists(st.floats(255, 300), min_size=count - 1, max_size=count - 1))
    place = draw(st.sampled_from([Place.FREE, Place.SET]))
    return FlightSpec(
        mark="A",
        readings=FlightReadings(
            tuple(risers), tuple(runs), draw(nosings(count)), 38.0, 1000.0, draw(st.booleans())
        ),
        side=draw(st.sampled_from(Side)),
        rail_height_mm=draw(st.floats(880, 960)),
        bottom_post=PostSpec(Ground.TREAD, 1, place, draw(st.floats(120, 200)), 25.0, 0.0, None),
        top_post=PostSpec(
            Ground.DECK, count, Place.STANDING, draw(st.floats(90, 160)), 25.0, 0.0, None
        ),
    )


kits = st.sampled_from(sorted(KITS)).map(KITS.__getitem__)
calm = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def solved(spec: FlightSpec, kit: Kit, stair: Stair | None = None) -> Railing:
    try:
        return solve_flight(stair or stair_from_readings(spec.readings), spec, kit, "a test")
    except BadInput:
        assume(False)
        raise


def lengths(railing: Railing) -> list[float]:
    """What is cut and set out, without the place of the origin."""
    bay = railing.bays[0]
    values = [bay.clear_mm, bay.gap_mm, railing.section.height_plumb_mm]
    for rail in bay.rails:
        values += [rail.length_mm, rail.edge_length_mm]
        values += [hole.from_uphill_mm for hole in rail.holes]
        for end in End:
            values += [rail.hole_to_cut_mm(end), rail.hole_to_mouth_mm(end)]
    for post in railing.posts:
        values += [post.height_mm, post.top_z_mm - post.underside_z_mm]
        values += [mount.centre_z_mm - post.surface_z_mm for mount in post.mounts]
    values += [railing.line.height_over(nose) for nose in railing.stair.noses]
    return [*values, *bay.diagonals_mm]


@calm
@given(flights(), kits)
def test_mirroring_the_side_changes_nothing_that_is_cut(spec: FlightSpec, kit: Kit) -> None:
    other = Side.RIGHT if spec.side is Side.LEFT else Side.LEFT
    mirrored = dataclasses.replace(spec, side=other)
    assert lengths(solved(spec, kit)) == lengths(solved(mirrored, kit))


@calm
@given(flights(), kits, st.floats(-3000, 3000))
def test_shifting_the_origin_changes_nothing_that_is_cut(
    spec: FlightSpec, kit: Kit, shift: float
) -> None:
    stair = stair_from_readings(spec.readings)
    noses = tuple(Nose(n.s_mm + shift, n.z_mm) for n in stair.noses)
    moved = solved(spec, kit, dataclasses.replace(stair, noses=noses))
    assert lengths(moved) == pytest.approx(lengths(solved(spec, kit, stair)), abs=1e-6)


@calm
@given(flights(), kits, st.floats(0.1, 0.9), st.integers(0, 3))
def test_reading_a_riser_in_two_parts_changes_nothing(
    spec: FlightSpec, kit: Kit, share: float, which: int
) -> None:
    risers = list(spec.readings.risers_mm)
    part = risers[which] * share
    risers[which] = part + (risers[which] - part)
    readings = dataclasses.replace(spec.readings, risers_mm=tuple(risers))
    split = dataclasses.replace(spec, readings=readings)
    assert lengths(solved(split, kit)) == pytest.approx(lengths(solved(spec, kit)), abs=1e-6)


def scaled(value: Any, factor: float) -> Any:
    """A frozen value with every length in it multiplied."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        changes = {}
        for field in dataclasses.fields(value):
            part = getattr(value, field.name)
            if field.name.endswith("_mm") and isinstance(part, float):
                changes[field.name] = part * factor
            elif field.name.endswith("_mm") and isinstance(part, tuple):
                changes[field.name] = tuple(x * factor for x in part)
            elif dataclasses.is_dataclass(part):
                changes[field.name] = scaled(part, factor)
        return dataclasses.replace(value, **changes)
    return value


@calm
@given(flights(), kits, st.floats(0.8, 1.25))
def test_scaling_stair_and_kit_scales_every_length(
    spec: FlightSpec, kit: Kit, factor: float
) -> None:
    plain = solved(spec, kit)
    large = solved(scaled(spec, factor), scaled(kit, factor))
    # A tie between two windows may fall either way once every length is multiplied.
    assume(len(plain.bays[0].baluster_s_mm) == len(large.bays[0].baluster_s_mm))
    assert lengths(large) == pytest.approx([x * factor for x in lengths(plain)], rel=1e-9, abs=1e-5)


@calm
@given(flights(), kits)
def test_the_noses_average_height_is_the_wanted_height(spec: FlightSpec, kit: Kit) -> None:
    railing = solved(spec, kit)
    heights = [railing.line.height_over(nose) for nose in railing.stair.noses]
    assert sum(heights) / len(heights) == pytest.approx(spec.rail_height_mm)


def test_swapping_units_changes_nothing(job_file) -> None:
    inches = load_job(job_file())
    text = Path(inches.file).read_text(encoding="utf-8")
    metric = text.replace('units = "ft-in"', 'units = "mm"').replace('tape = "1/16"', 'tape = "1"')
    for written, mm in (
        (
            'R = ["7 1/4", "7 1/2", "7 7/16", "7 9/16", "7 3/8", "7 1/2"]',
            "R = [184.15, 190.5, 188.9125, 192.0875, 187.325, 190.5]",
        ),
        (
            'T = ["10 1/2", "10 3/8", "10 5/8", "10 1/2", "10 7/16"]',
            'T = [266.7, "26.3525 cm", 269.875, 266.7, "0.2651125 m"]',
        ),
        ('N = "1"', "N = 25.4"),
        ('K = "1 1/2"', "K = 38.1"),
        ('W = "42"', "W = 1066.8"),
        ('rail_height = "36"', "rail_height = 914.4"),
        ('E = "4"', "E = 101.6"),
        ('I = "7/8"', "I = 22.225"),
        ('V = "44"', "V = 1117.6"),
    ):
        assert written in metric
        metric = metric.replace(written, mm)
    path = Path(inches.file).with_name("metric.toml")
    path.write_text(metric, encoding="utf-8")
    in_mm = load_job(path)
    solved_both = [
        lengths(solve_flight(stair_from_readings(f.readings), f, job.kit, job.file))
        for job in (inches, in_mm)
        for f in job.flights
    ]
    assert solved_both[0] == pytest.approx(solved_both[1], abs=1e-9)
