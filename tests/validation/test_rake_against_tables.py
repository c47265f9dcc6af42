"""Rake and line length against published framing-square and stair tables, and trigonometry."""

from __future__ import annotations

import math

import numpy as np
import pytest

from railsheet.job.nosings import read_once
from railsheet.layout.rail_line import least_squares_line
from railsheet.survey.stair import Nose, Stair

IN = 25.4

# "Length of common rafters per foot of run", the table on a framing square's blade, for a rise of
# 2 to 18 in to the foot. Source: "How To Make A Common Rafter For Any Width Structure", step 4,
# instructables.com (the blade copied out); single entries agree with the US Navy training
# manual NAVEDTRA 14044, fig. 2-17 (7 in: 13.89), US Army EN5156, fig. 3-13 (13 in: 17.69) and
# I. S. Griffith, Carpentry, 1916 (6 in: 13.42).
PER_FOOT_OF_RUN = {
    2: 12.17, 3: 12.37, 4: 12.65, 5: 13.00, 6: 13.42, 7: 13.89, 8: 14.42, 9: 15.00, 10: 15.62,
    11: 16.28, 12: 16.97, 13: 17.69, 14: 18.44, 15: 19.21, 16: 20.00, 17: 20.81, 18: 21.63,
}  # fmt: skip

# Table D-1, angle to horizontal, rise and tread run in inches. Source: Washington Administrative
# Code WAC 296-24-76511 (the table of former 29 CFR 1910.24(e)). The row 8 by 9 1/2, printed there
# as 40 deg 08', is left out: it is 2' off its own rise and run; the others are right to
# their last minute.
TABLE_D_1 = (
    (6.5, 11, "30 35"), (6.75, 10.75, "32 08"), (7, 10.5, "33 41"), (7.25, 10.25, "35 16"),
    (7.5, 10, "36 52"), (7.75, 9.75, "38 29"), (8.25, 9.25, "41 44"), (8.5, 9, "43 22"),
    (8.75, 8.75, "45 00"), (9, 8.5, "46 38"), (9.25, 8.25, "48 16"), (9.5, 8, "49 54"),
)  # fmt: skip


def even_flight(rise_mm: float, run_mm: float, risers: int) -> Stair:
    noses = tuple(Nose(n * run_mm, (n + 1) * rise_mm) for n in range(risers))
    return Stair(noses, read_once(25.4, len(noses)), 38.1, 1000.0, open_risers=False)


@pytest.mark.parametrize(("rise", "length"), sorted(PER_FOOT_OF_RUN.items()))
def test_line_length_per_foot_of_run(rise: float, length: float) -> None:
    stair = even_flight(rise * IN, 12 * IN, 5)
    line = least_squares_line(stair.noses, 36 * IN)
    per_foot = 12 * IN / math.cos(line.rake_rad)
    assert round(per_foot / IN, 2) == length


def test_a_worked_rafter() -> None:
    # NAVEDTRA 14044: unit rise 7, run 8 ft: 13.89 x 8 = 111.12 in, "111 1/8 inches".
    stair = even_flight(7 * IN, 12 * IN, 9)
    line = least_squares_line(stair.noses, 36 * IN)
    total_run = stair.noses[-1].s_mm
    assert total_run == pytest.approx(96 * IN)
    length = total_run / math.cos(line.rake_rad) / IN
    assert round(length * 16) / 16 == 111.125


@pytest.mark.parametrize(("rise", "run", "angle"), TABLE_D_1)
def test_rake_of_a_published_stair(rise: float, run: float, angle: str) -> None:
    degrees, minutes = (int(part) for part in angle.split())
    stair = even_flight(rise * IN, run * IN, 8)
    rake = math.degrees(least_squares_line(stair.noses, 36 * IN).rake_rad)
    assert rake == pytest.approx(degrees + minutes / 60, abs=0.6 / 60)


def test_a_crooked_flights_line_is_numpys_least_squares_line() -> None:
    # Source: numpy.polyfit, a general-purpose reference library.
    risers = np.array([7.25, 7.5, 7.4375, 7.5625, 7.375, 7.5]) * IN
    runs = np.array([10.5, 10.375, 10.625, 10.5, 10.4375]) * IN
    places = np.concatenate([[0.0], np.cumsum(runs)])
    heights = np.cumsum(risers)
    noses = [Nose(float(s), float(z)) for s, z in zip(places, heights, strict=True)]
    line = least_squares_line(noses, 36 * IN)
    slope, start = np.polyfit(places, heights, 1)
    assert line.slope == pytest.approx(slope, rel=1e-12)
    assert line.start_mm == pytest.approx(start + 36 * IN, rel=1e-12)
    assert line.rake_rad == pytest.approx(float(np.arctan2(slope, 1.0)))
