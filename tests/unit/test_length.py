"""Lengths read the way people write them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.units.display import Tape, default_tape, parse_tape
from railsheet.units.length import LengthError, Unit, parse_length

INCH, MM = Unit.INCH, Unit.MM


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("7 1/2", 190.5),
        ('7-1/2"', 190.5),
        ("7.5", 190.5),
        (7.5, 190.5),
        (7, 177.8),
        ("7½", 190.5),
        ("15/16", 23.8125),
        ("3' 4 1/2\"", 1028.7),
        ("3'-4 1/2\"", 1028.7),
        ("3' 4", 1016.0),
        ("5'", 1524.0),
        ("5.5 ft", 1676.4),
        ("190 mm", 190.0),
        ("19 cm", 190.0),
        ("1.9 m", 1900.0),
        ("0", 0.0),
        (" 7 in ", 177.8),
        ("7″", 177.8),
    ],
)
def test_reads_in_an_inch_job(written: str | float, mm: float) -> None:
    # 1 in = 25.4 mm exactly: NIST SP 811, appendix B.
    assert parse_length(written, INCH) == mm


@pytest.mark.parametrize(
    ("written", "mm"),
    [("190", 190.0), (190, 190.0), ("190.5", 190.5), ('7 1/2"', 190.5), ("3' 4\"", 1016.0)],
)
def test_reads_in_a_millimetre_job(written: str | float, mm: float) -> None:
    assert parse_length(written, MM) == mm


@pytest.mark.parametrize(
    ("written", "unit", "says"),
    [
        ("7 9/8", INCH, "9/8 is a whole inch or more"),
        ("7 1/3", INCH, "a tape has no 1/3"),
        ("7 1/0", INCH, "a tape has no 1/0"),
        ("7,5", INCH, "comma"),
        ("1,200", MM, "comma"),
        ("-7", INCH, "negative"),
        (-7, INCH, "negative"),
        ("", INCH, "missing"),
        ("  ", INCH, "missing"),
        ("seven", INCH, "not one clear length"),
        ("7 1", INCH, "not one clear length"),
        ("7 - 1/2", INCH, "not one clear length"),
        ("7.5 1/2", INCH, "not one clear length"),
        ("7e2", INCH, "not one clear length"),
        ("3' 14\"", INCH, "under 12"),
        ("3.5' 2\"", INCH, "read two ways"),
        ("7 1/2", MM, "could be inches"),
        ("7 1/2 mm", INCH, "without a fraction"),
        (True, INCH, "true or false"),
        (float("nan"), INCH, "finite"),
        (float("inf"), MM, "finite"),
    ],
)
def test_refuses_what_could_be_read_two_ways(written: str | float, unit: Unit, says: str) -> None:
    with pytest.raises(LengthError, match=says):
        parse_length(written, unit)


@given(st.integers(0, 5000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_what_a_tape_prints_it_reads_back(parts: int, division: int) -> None:
    tape = Tape(INCH, Fraction(1, division))
    length = float(Fraction(parts, division) * Fraction(254, 10))
    assert parse_length(tape.text(length), INCH) == pytest.approx(length, abs=1e-9)
    assert parse_length(tape.text(length), MM) == pytest.approx(length, abs=1e-9)


@given(st.floats(-1e5, 1e5), st.sampled_from([default_tape(INCH), default_tape(MM)]))
def test_rounding_is_never_off_by_more_than_half_a_step(length: float, tape: Tape) -> None:
    assert abs(tape.rounded_mm(length) - length) <= tape.step_mm * (0.5 + 1e-6)
    assert tape.text(-length).removeprefix("-") == tape.text(length).removeprefix("-")


@pytest.mark.parametrize(
    ("mm", "inches", "millimetres"),
    [
        (190.5, '7 1/2"', "191"),
        (188.9125, '7 7/16"', "189"),
        (25.4 / 32, '1/16"', "1"),  # a tie goes up
        (25.4 / 32 - 1e-3, '0"', "1"),
        (-6.35, '-1/4"', "-6"),
        (304.8, '12"', "305"),
        (0.0, '0"', "0"),
        (-0.1, '0"', "0"),
    ],
)
def test_prints_to_the_tape(mm: float, inches: str, millimetres: str) -> None:
    assert default_tape(INCH).text(mm) == inches
    assert default_tape(MM).text(mm) == millimetres


def test_tape_divisions() -> None:
    assert parse_tape("1/32", INCH).step == Fraction(1, 32)
    assert parse_tape("0.5 mm", MM).step == Fraction(1, 2)
    for written, unit in (("1/3", INCH), ("0.3", MM), ("x", INCH), ("1/0", INCH)):
        with pytest.raises(LengthError, match="division"):
            parse_tape(written, unit)
