from __future__ import annotations

import math

import pytest

from railsheet.checks.amount import Kind, parse_amount, say_metric, say_us


@pytest.mark.parametrize(
    ("written", "kind", "inside"),
    [
        ("4 3/8 in", Kind.LENGTH, 4.375 * 25.4),
        ("900 mm", Kind.LENGTH, 900.0),
        ("2' 6\"", Kind.LENGTH, 762.0),
        ("42 deg", Kind.ANGLE, math.radians(42)),
        ("42°", Kind.ANGLE, math.radians(42)),
        # 1 lbf = 4.4482216152605 N: NIST SP 811 (2008) appendix B.8 (from memory).
        ("200 lb", Kind.FORCE, 889.6443230521),
        ("0.25 kN", Kind.FORCE, 250.0),
        # 50 lb/ft is printed as 0.73 kN/m in IBC 1607.9.1 itself (read in the Illinois copy).
        ("50 lb/ft", Kind.LINE_LOAD, 50 * 4.4482216152605 / 304.8),
        ("0.36 kN/m", Kind.LINE_LOAD, 0.36),
        ("0.5 kN/m2", Kind.PRESSURE, 0.0005),
        ("1 ft2", Kind.AREA, 304.8**2),
        # The rest by the definitions of pound-force, pascal, inch and foot (the same SP 811), in N,
        # N/mm, N/mm2, mm2 and N·mm.
        ("1 N", Kind.FORCE, 1.0),
        ("1 lbf", Kind.FORCE, 4.4482216152605),
        ("50 plf", Kind.LINE_LOAD, 50 * 4.4482216152605 / 304.8),
        ("730 N/m", Kind.LINE_LOAD, 0.73),
        ("10 lb/ft2", Kind.PRESSURE, 10 * 4.4482216152605 / 304.8**2),
        ("500 Pa", Kind.PRESSURE, 0.0005),
        ("0.5 kPa", Kind.PRESSURE, 0.0005),
        ("2 in2", Kind.AREA, 2 * 25.4**2),
        ("5 mm2", Kind.AREA, 5.0),
        ("2 m2", Kind.AREA, 2e6),
        ("1 lb·ft", Kind.MOMENT, 4.4482216152605 * 304.8),
        ("3 N·m", Kind.MOMENT, 3000.0),
        ("0.2 kN·m", Kind.MOMENT, 200000.0),
        (4, Kind.COUNT, 4.0),
    ],
)
def test_amounts_are_read_into_the_unit_inside(written: object, kind: Kind, inside: float) -> None:
    assert parse_amount(written, kind) == pytest.approx(inside, rel=1e-14)


@pytest.mark.parametrize(
    ("written", "kind"),
    [
        ("36", Kind.LENGTH),
        ("4 3/8", Kind.LENGTH),
        ("0 in", Kind.LENGTH),
        ("-4 in", Kind.LENGTH),
        ("4,5 in", Kind.LENGTH),
        (36, Kind.LENGTH),
        ("42", Kind.ANGLE),
        ("42 rad", Kind.ANGLE),
        ("200", Kind.FORCE),
        ("200 kg", Kind.FORCE),
        ("50 lb", Kind.LINE_LOAD),
        ("50 lb/in", Kind.LINE_LOAD),
        ("0 lb", Kind.FORCE),
        ("4", Kind.COUNT),
        (0, Kind.COUNT),
        (True, Kind.COUNT),
        (1.5, Kind.COUNT),
    ],
)
def test_what_has_no_unit_or_the_wrong_one_is_refused(written: object, kind: Kind) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        parse_amount(written, kind)


def test_amounts_are_shown_in_both_systems() -> None:
    # The metric figure that IBC 1607.9.1 prints beside 50 plf is 0.73 kN/m, and 200 lb is
    # 0.89 kN in its next clause.
    line = parse_amount("50 lb/ft", Kind.LINE_LOAD)
    assert (say_metric(line, Kind.LINE_LOAD), say_us(line, Kind.LINE_LOAD)) == (
        "0.73 kN/m",
        "50 lb/ft",
    )
    force = parse_amount("200 lb", Kind.FORCE)
    assert (say_metric(force, Kind.FORCE), say_us(force, Kind.FORCE)) == ("890 N", "200 lb")
    assert say_metric(math.radians(35.37), Kind.ANGLE) == "35.4°"
    assert say_us(101.6, Kind.LENGTH) == "4.000 in"
    assert say_metric(2.0, Kind.COUNT) == "2"
