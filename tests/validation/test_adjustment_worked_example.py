"""The least squares core, and the stair on top of it, against published examples."""

import numpy as np
import pytest

from railsheet.survey.adjust import adjust
from railsheet.survey.quality import CRITICAL_W, DETECTABLE_W
from railsheet.survey.readings import BelowLine, Riser, RiseTo, Run
from railsheet.survey.wls import solve_wls

# Level circuit, points Q and R from benchmarks A-D, feet.
# Source: J. Mahun, Open Access Surveying Library, "XV. Least Squares Lite", chapter D, section 4.
# The benchmarks' elevations stand in the page's figure; they are read here from its adjusted
# observations and elevations, which give each to two places (A: 815.418 - 8.898 = 802.962 + 3.558 =
# 806.52, and so on). The page's S0 of 0.028 isn't used: its own adjusted observations give 0.029,
# and 0.028 is the figure of its chapter B, without observation 8. Nor is its weighted example
# (chapter E), whose last places fall 0.001 from the exact solution of its own equations.
BENCHMARKS = {"A": 806.52, "B": 818.32, "C": 820.12, "D": 824.04}
CIRCUIT = [
    ("A", "Q", 8.91),
    ("B", "Q", -2.92),
    ("C", "Q", -4.67),
    ("D", "Q", -8.66),
    ("A", "R", -3.56),
    ("C", "R", -17.12),
    ("D", "R", -21.10),
    ("Q", "R", -12.47),
]


def test_level_circuit():
    rows, observed = [], []
    for start, end, rise in CIRCUIT:
        row = [0.0, 0.0]
        row["QR".index(end)] = 1.0
        if start not in BENCHMARKS:
            row["QR".index(start)] = -1.0
        rows.append(row)
        observed.append(rise + BENCHMARKS.get(start, 0.0))
    solution = solve_wls(rows, observed, [1.0] * 8)
    assert solution.x == pytest.approx([815.418, 802.962], abs=0.0005)
    # "(5) Adjustment Summary"
    wanted = [8.898, -2.902, -4.702, -8.622, -3.558, -17.158, -21.078, -12.456]
    adjusted = solution.residuals + [rise for _, _, rise in CIRCUIT]
    assert adjusted == pytest.approx(wanted, abs=0.0006)  # theirs add rounded figures
    assert solution.redundancy.sum() == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("miles", "elevations", "s0"),
    [
        ([1, 1, 1, 1, 1, 1, 1], [105.141, 104.483, 106.188], 0.050),
        ([4, 3, 2, 3, 2, 2, 2], [105.150, 104.489, 106.197], 0.107),
    ],
)
def test_level_net_unweighted_and_by_length(miles, elevations, s0):
    # Source: C. D. Ghilani, Adjustment Computations, ch. 12, the unweighted example and the same
    # net weighted by length (weights 12/miles); data and results from memory.
    x, y = 100.00, 107.50
    rows = [[1, 0, 0], [-1, 0, 0], [0, 0, 1], [0, 0, -1], [-1, 1, 0], [0, -1, 0], [0, -1, 1]]
    observed = [x + 5.10, 2.34 - y, y - 1.25, -6.13 - x, -0.68, 3.00 - y, 1.70]
    unit = 12.0 if max(miles) > 1 else 1.0
    solution = solve_wls(rows, observed, np.sqrt(np.array(miles) / unit))
    assert solution.x == pytest.approx(elevations, abs=0.0005)
    assert (solution.sum_of_squares / 4) ** 0.5 == pytest.approx(s0, abs=0.0005)


def test_level_net_by_given_spreads():
    # Source: C. D. Ghilani, Adjustment Computations, example 12.1. Data as read at slidetodoc.com,
    # "Adjustment of Level Nets"; the elevations of B, C, D from memory.
    sigmas = [0.006, 0.004, 0.005, 0.003, 0.004, 0.012]
    rows = [[1, 0, 0], [-1, 1, 0], [0, -1, 1], [0, 0, -1], [-1, 0, 1], [0, 1, 0]]
    bench = 437.596
    observed = [bench + 10.509, 5.360, -8.523, -bench - 7.348, -3.167, bench + 15.881]
    solution = solve_wls(rows, observed, sigmas)
    assert solution.x == pytest.approx([448.1087, 453.4685, 444.9436], abs=0.00006)


# A loop of four legs, each levelled out and back, from a fixed point at 1000 m; all sigmas 5 mm.
# Source: the adjustment report published at vrmapper.com/gama/1doutput.html (a geodetic network
# adjustment program's own output): heights, spreads, [pvv], m0', largest normalised residual.
LOOP = [
    (0, 3, -1.22500),
    (3, 2, -0.84800),
    (2, 1, 1.34200),
    (1, 0, 0.72000),
    (0, 1, -0.72400),
    (1, 2, -1.33500),
    (2, 3, 0.84200),
    (3, 0, 1.23100),
]


def test_standardised_residuals_of_a_levelled_loop():
    rows = np.zeros((8, 3))
    observed = []
    for k, (start, end, rise) in enumerate(LOOP):
        if start:
            rows[k, start - 1] = -1.0
        if end:
            rows[k, end - 1] = 1.0
        observed.append(rise * 1000.0)
    solution = solve_wls(rows, observed, [5.0] * 8)
    # points 2, 3, 4 of the report, mm above the fixed point, printed to 0.01 mm
    assert solution.x == pytest.approx([-725.13, -2066.75, -1224.87], abs=0.0051)
    assert np.sqrt(np.diag(solution.covariance)) == pytest.approx([3.1, 3.5, 3.1], abs=0.05)
    assert solution.sum_of_squares * 25.0 == pytest.approx(146.625, abs=0.0005)  # [pvv], p = 1
    assert 5.0 * (solution.sum_of_squares / 5) ** 0.5 == pytest.approx(5.42, abs=0.005)
    largest = int(np.argmax(np.abs(solution.standardised)))
    assert largest + 1 == 6
    assert abs(solution.standardised[largest]) == pytest.approx(1.68, abs=0.005)


def test_the_same_loop_read_as_a_stair():
    # The report's loop again, put to the stair's own readings: points 3, 4, 2 and the fixed point
    # taken as floor and noses 1-3, in the order of height, every leg a running total or a drop
    # between two noses read on lines of their own. Same figures expected.
    #   floor = point 3; nose 1 = point 4; nose 2 = point 2; nose 3 = the fixed point.
    # heights above point 3: 4: +0.84187, 2: +1.34163, fixed: +2.06675
    mm = 1000.0
    readings = [
        RiseTo("a", "rise to 1", 0.848 * mm, 5.0, 1),  # leg 4->3 turned about
        RiseTo("b", "rise to 1 again", 0.842 * mm, 5.0, 1),
        RiseTo("c", "rise to 2", 1.342 * mm, 5.0, 2),
        RiseTo("d", "rise to 2 again", 1.335 * mm, 5.0, 2),
        Riser("e", "riser 3", 0.720 * mm, 5.0, 3),
        Riser("f", "riser 3 again", 0.724 * mm, 5.0, 3),
        # nose 1 up to nose 3 (1.225 and 1.231): no reading spans two risers, so a line does it;
        # a spread shared by both ends and a hair on the line's tie keeps the leg at 5 mm
        BelowLine("g", "drop of 1", 1.225 * mm, 5.0, 1, "L"),
        BelowLine("h", "drop of 3", 0.0, 1e-3, 3, "L"),
        BelowLine("i", "drop of 1 again", 1.231 * mm, 5.0, 1, "M"),
        BelowLine("j", "drop of 3 again", 0.0, 1e-3, 3, "M"),
    ]
    runs = [Run(f"run{i}", f"run {i}", 270.0, 1.0, i) for i in (1, 2)]
    stair = adjust([*readings, *runs], 3)
    assert stair.z_mm == pytest.approx((841.87, 1341.63, 2066.75), abs=0.0051)
    assert stair.test is not None
    assert stair.test.statistic * 25.0 == pytest.approx(146.625, abs=0.001)
    assert stair.test.degrees_of_freedom == 5
    w = {q.key: q.standardised for q in stair.readings if q.standardised is not None}
    assert max(w, key=lambda key: abs(w[key])) == "d"
    assert abs(w["d"]) == pytest.approx(1.68, abs=0.005)


# Source: NIST StRD, Linear Least Squares, data set Norris (Norris.dat), data and certified values
# (read in public copies of the file).
NORRIS_X = """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5
666.9 338.0 447.5 11.6 556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2
999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"""
NORRIS_Y = """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1
668.8 339.3 448.9 10.8 557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0
998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"""


def test_norris_certified_line():
    x = np.array(NORRIS_X.split(), dtype=float)
    y = np.array(NORRIS_Y.split(), dtype=float)
    solution = solve_wls(np.column_stack([np.ones(36), x]), y, np.ones(36))
    assert solution.x == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-11)
    deviation = (solution.sum_of_squares / 34) ** 0.5
    assert deviation == pytest.approx(0.884796396144373, rel=1e-12)
    spreads = deviation * np.sqrt(np.diag(solution.covariance))
    assert spreads == pytest.approx([0.232818234301152, 0.429796848199937e-03], rel=1e-12)


def test_snooping_limits():
    # Source: 3.2905 at 0.1 % (Baarda 1968; as read at aplitop.com, "Internal Reliability Test.
    # Baarda"); 4.13 for 80 % power, i.e. noncentrality 17.07 (Baarda's nomograms; from memory).
    assert abs(CRITICAL_W - 3.2905) < 0.00005
    assert abs(DETECTABLE_W - 4.13) < 0.005
    assert abs(DETECTABLE_W**2 - 17.07) < 0.01
