import math
import random
from dataclasses import replace

import numpy as np
import pytest

from railsheet.survey.adjust import adjust
from railsheet.survey.readings import Rake, Riser, RiseTo, Run, RunTo

HALF_INCH = 12.7


def well_read(risers=6):
    """Every riser and run, and the running total at every nose: all told apart."""
    readings = [Riser(f"riser{i}", f"riser {i}", 185.0, 1.0, i) for i in range(1, risers + 1)]
    readings += [Run(f"run{i}", f"run {i}", 270.0, 1.0, i) for i in range(1, risers)]
    readings += [RiseTo(f"z{i}", f"rise to {i}", 185.0 * i, 1.0, i) for i in range(1, risers + 1)]
    readings += [
        RunTo(f"s{i}", f"run to {i}", 270.0 * (i - 1), 1.0, i) for i in range(2, risers + 1)
    ]
    return readings


def spoil(readings, key, by):
    return [replace(r, read_mm=r.read + by) if r.key == key else r for r in readings]


def test_good_readings_raise_no_suspect():
    stair = adjust(well_read(), 6)
    assert stair.suspects == ()
    assert stair.test.passes


# The last nose is tied down by two readings only, whichever way one looks at it.
PAIRS = [{"riser6", "z6"}, {"run5", "s6"}]


@pytest.mark.parametrize("key", [r.key for r in well_read()])
def test_a_half_inch_in_any_well_checked_reading_is_named(key):
    readings = spoil(well_read(), key, HALF_INCH)
    stair = adjust(readings, 6)
    assert not stair.test.passes
    (suspect,) = stair.suspects
    alike = next((pair for pair in PAIRS if key in pair), {key})
    assert {suspect.key, *suspect.same_as} == alike
    if len(alike) == 1:
        assert suspect.key == key
        assert suspect.implied == pytest.approx(suspect.read - HALF_INCH, abs=1e-6)
    # the adjusted stair still uses every reading, unless asked otherwise
    assert len(stair.readings) == len(readings)
    mended = adjust(readings, 6, without=[suspect.key])
    assert mended.suspects == ()
    assert mended.test.passes


def test_readings_nothing_can_tell_apart_are_named_together():
    readings = [Riser(f"riser{i}", f"riser {i}", 185.0, 1.0, i) for i in range(1, 5)]
    readings += [Run(f"run{i}", f"run {i}", 270.0, 1.0, i) for i in range(1, 4)]
    readings.append(RiseTo("total", "total rise", 740.0, 1.0, 4))
    (suspect,) = adjust(spoil(readings, "riser3", HALF_INCH), 4).suspects
    assert {suspect.key, *suspect.same_as} == {"riser1", "riser2", "riser3", "riser4", "total"}
    assert suspect.name == "riser 1"  # the first as read, whatever the rounding
    assert suspect.could_be == ()


def test_two_blunders_show_one_after_the_other():
    readings = spoil(spoil(well_read(), "riser2", HALF_INCH), "run4", -2.0 * HALF_INCH)
    first, second = adjust(readings, 6).suspects
    assert (first.name, second.name) == ("run 4", "riser 2")
    assert first.after == ()
    assert second.after == ("run4",)
    assert first.implied == pytest.approx(270.0)
    assert second.implied == pytest.approx(185.0)


def test_a_misread_angle_is_given_in_its_own_unit():
    readings = well_read()
    true = math.atan2(185.0 * 5, 270.0 * 5)
    readings.append(Rake("rake", "rake 1 to 6", true + math.radians(1.0), 0.002, 1, 6))
    (suspect,) = adjust(readings, 6).suspects
    assert (suspect.name, suspect.unit) == ("rake 1 to 6", "rad")
    assert suspect.implied == pytest.approx(true, abs=1e-5)


def test_the_smallest_misreading_that_would_be_caught():
    """At the detectable misreading the mean of w stands 4.13 out: 80 % of readings beyond 3.29."""
    clean = adjust(well_read(), 6).readings
    quality = next(q for q in clean if q.key == "riser3")
    spoilt = adjust(spoil(well_read(), "riser3", quality.detectable), 6).readings
    w = next(q for q in spoilt if q.key == "riser3").standardised
    assert abs(w) == pytest.approx(4.132, abs=0.001)


def several_could_be(seed):
    """A stair whose risers and totals have one reading out by a little, so that more could be."""
    rng = random.Random(seed)
    readings = [Riser(f"riser{i}", "", 180.0 + rng.gauss(0, 1), 1.0, i) for i in range(1, 6)]
    readings += [Run(f"run{i}", "", 270.0, 1.0, i) for i in range(1, 5)]
    readings += [RiseTo(f"to{i}", "", 180.0 * i + rng.gauss(0, 1), 1.0, i) for i in range(2, 6)]
    at = rng.choice([0, 1, 2, 3, 4, 9, 10, 11, 12])
    out = rng.choice((-1, 1)) * rng.uniform(4, 7)
    readings[at] = replace(readings[at], read_mm=readings[at].read_mm + out)
    return adjust(readings, 5)


@pytest.mark.parametrize("seed", [196, 239, 292])
def test_of_several_that_could_be_the_likeliest_is_named_first(seed):
    stair = several_could_be(seed)
    w = {quality.key: abs(quality.standardised or 0.0) for quality in stair.readings}
    (suspect,) = stair.suspects
    sizes = [w[key] for key in suspect.could_be]
    assert len(set(np.round(sizes, 6))) > 1
    assert sizes == sorted(sizes, reverse=True)
    assert w[suspect.key] >= sizes[0] - 1e-9
