"""Random flights, read every way there is, against scipy's trust-region least squares."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.stats import chi2

from railsheet.survey.adjust import adjust
from railsheet.survey.network import NotConvergedError
from railsheet.survey.readings import (
    DATUM,
    BelowLine,
    Rake,
    Riser,
    RiseTo,
    Run,
    RunTo,
    Slant,
    unknowns_of,
)

DEGREE = np.pi / 180.0


def random_flight(seed):
    """A crooked flight and readings of every kind off it, each with its own spread."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, 9))
    z = np.concatenate([[0.0], np.cumsum(rng.normal(185.0, 4.0, n))])
    s = np.concatenate([[0.0, 0.0], np.cumsum(rng.normal(270.0, 5.0, n - 1))])
    readings = []

    def add(kind, true, sigma, *where):
        key = f"r{len(readings)}"
        readings.append(kind(key, key, true + rng.normal(0.0, sigma), sigma, *where))

    for i in range(1, n + 1):
        if rng.random() < 0.8:
            add(Riser, z[i] - z[i - 1], rng.uniform(0.5, 2.0), i)
        add(BelowLine, 1500.0 - z[i], 1.5, i, "low" if i <= n // 2 else "high")
        if rng.random() < 0.4:
            add(RiseTo, z[i], 1.5, i)
    add(BelowLine, 1500.0, 1.5, 0, "low")
    add(BelowLine, 1500.0, 1.5, 0, "high")
    for i in range(1, n):
        if rng.random() < 0.7 or i == 1:
            add(Run, s[i + 1] - s[i], rng.uniform(0.5, 2.0), i)
        length = np.hypot(s[i + 1] - s[i], z[i + 1] - z[i])
        add(Slant, length, 1.2, i, i + 1)
        if rng.random() < 0.6:
            add(RunTo, s[i + 1], 1.5, i + 1)
    for _ in range(3):
        i, j = sorted(rng.choice(np.arange(1, n + 1), 2, replace=False).tolist())
        ds, dz = s[j] - s[i], z[j] - z[i]
        add(Rake, np.arctan2(dz, ds), 0.1 * DEGREE, i, j)
        add(Slant, np.hypot(ds, dz), 2.0, i, j)
    return tuple(readings), n


@pytest.mark.parametrize("seed", range(12))
def test_same_stair_and_covariance(seed):
    readings, n = random_flight(seed)
    unknowns = unknowns_of(readings, n)

    def weighted(x):
        at = dict(zip(unknowns, x, strict=True)) | dict.fromkeys(DATUM, 0.0)
        return [(r.equation(at).predicted - r.read) / r.sigma for r in readings]

    # scipy starts far off, on purpose, and takes its derivatives by differences
    start = [
        170.0 * u[1] if u[0] == "z" else 290.0 * (u[1] - 1) if u[0] == "s" else 1400.0
        for u in unknowns
    ]
    theirs = least_squares(
        weighted, start, jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-12, x_scale=100.0
    )
    ours = adjust(readings, n)
    wanted = dict(zip(unknowns, theirs.x, strict=True))
    for i in range(1, n + 1):
        assert ours.z_mm[i - 1] == pytest.approx(wanted["z", i], abs=1e-4)
        if i > 1:
            assert ours.s_mm[i - 1] == pytest.approx(wanted["s", i], abs=1e-4)
    assert ours.test is not None
    assert ours.test.statistic == pytest.approx(2.0 * theirs.cost, rel=1e-6)

    assert ours.unknowns == unknowns
    covariance = np.linalg.inv(theirs.jac.T @ theirs.jac)
    assert np.array(ours.covariance_mm2) == pytest.approx(covariance, rel=1e-5, abs=1e-5)
    # redundancy numbers and standardised residuals, from scipy's own Jacobian
    hat = theirs.jac @ covariance @ theirs.jac.T
    assert [q.redundancy for q in ours.readings] == pytest.approx(1.0 - np.diag(hat), abs=1e-5)
    assert sum(q.redundancy for q in ours.readings) == pytest.approx(len(readings) - len(unknowns))
    w = theirs.fun / np.sqrt(1.0 - np.diag(hat))
    assert [q.standardised for q in ours.readings] == pytest.approx(w, abs=1e-4)
    assert ours.test.upper == pytest.approx(chi2.ppf(0.975, ours.redundancy))
    assert ours.test.probability == pytest.approx(chi2.sf(ours.test.statistic, ours.redundancy))


def test_linear_covariance_against_simulation():
    """Noses scatter as the covariance says when the readings bend (slants and rakes)."""
    n = 5
    z = np.cumsum([184.0, 190.0, 187.0, 181.0, 189.0])
    s = np.cumsum([0.0, 268.0, 272.0, 265.0, 275.0])

    def readings(rng):
        noise = rng.standard_normal
        out = [Riser(f"z{i}", "", z[i] - z[i - 1] + noise(), 1.0, i + 1) for i in range(1, n)]
        out.append(Riser("z0", "", z[0] + noise(), 1.0, 1))
        for i in range(1, n):
            ds, dz = s[i] - s[i - 1], z[i] - z[i - 1]
            out.append(Slant(f"d{i}", "", np.hypot(ds, dz) + 1.5 * noise(), 1.5, i, i + 1))
            sigma = 0.3 * DEGREE
            out.append(Rake(f"a{i}", "", np.arctan2(dz, ds) + sigma * noise(), sigma, i, i + 1))
        length = np.hypot(s[-1] - s[0], z[-1] - z[0])
        out.append(Slant("diagonal", "", length + 2.0 * noise(), 2.0, 1, n))
        return out

    rng = np.random.default_rng(20240611)
    trials = 1500
    places = []
    for _ in range(trials):
        stair = adjust(readings(rng), n)
        places.append([*stair.s_mm[1:], *stair.z_mm])
    scatter = np.array(places)
    linear = stair.nose_covariance_mm2()[1:, 1:]
    # A variance from N normal trials has a relative standard error of √(2/N), 3.7 % here; the bound
    # is four of them. (Sampling theory of the variance, any statistics text.)
    ratio = np.var(scatter, axis=0, ddof=1) / np.diag(linear)
    assert ratio == pytest.approx(np.ones(2 * n - 1), abs=4.0 * np.sqrt(2.0 / trials))
    # correlations: standard error at most 1/√N, 2.6 %
    spread = np.sqrt(np.diag(linear))
    correlation = linear / np.outer(spread, spread)
    assert np.corrcoef(scatter.T) == pytest.approx(correlation, abs=4.5 / np.sqrt(trials))
    # and no bias worth a sheet: mean within four standard errors of the true stair
    error = (scatter.mean(axis=0) - [*s[1:], *z]) / (spread / np.sqrt(trials))
    assert np.max(np.abs(error)) < 4.0


@pytest.mark.parametrize(
    ("seed", "key", "by"),
    # the first four: linearised w points at a neighbour; the last three: no stair fits at all
    [
        (1028, "r20", 700.0),
        (1234, "r18", 700.0),
        (1313, "r10", -304.8),
        (1351, "r14", -304.8),
        (1120, "r10", 700.0),
        (1333, "r6", 700.0),
        (1369, "r20", -304.8),
    ],
)
def test_a_gross_misreading_is_named_though_the_equations_bend(seed, key, by):
    readings, n = random_flight(seed)
    true = next(r.read for r in readings if r.key == key)
    spoilt = [replace(r, read_mm=r.read + by) if r.key == key else r for r in readings]
    try:
        suspect = adjust(spoilt, n).suspects[0]
    except NotConvergedError as failed:
        named, implied_well = failed.key, True
    else:
        named = suspect.key
        implied_well = abs(suspect.implied - true) <= 5.0 * suspect.implied_sigma + 5.0
    assert named == key
    assert implied_well
