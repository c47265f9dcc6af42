"""What the gap at a rail's end scatters by, from the plan's readings.

The least distance between two bodies changes by how far the two points where they are nearest move
apart along the line between them; that they slide along their sides changes nothing of the first
order. A post moves with its plan point and turns with the runs that meet it; a point of a run
between its posts is carried along with both of them. So every gap has its slopes to the posts'
places, and the plan's covariance gives its spread (propagation of variances: Ghilani, *Adjustment
Computations*; from memory).

Left out is what a flight's own readings leave of its length: the plan takes a flight as laid out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping

import numpy as np

from railsheet.layout.plan import Leg, Point
from railsheet.layout.site_model import Site
from railsheet.layout.turn import Turn, TurnKind
from railsheet.survey.readings import Unknown
from railsheet.tolerance import SAME_MM

Slopes = defaultdict[Unknown, float]
"""By how much something grows for each mm that a post's x or y does."""


def turn_sigma_mm(site: Site, turn: Turn) -> float | None:
    """A gap's standard deviation, mm; None where no reading places either side of it."""
    survey = site.survey
    if survey is None or turn.clear_mm <= SAME_MM:
        return None
    (x0, y0), (x1, y1) = turn.start, turn.end
    way = (x1 - x0) / turn.clear_mm, (y1 - y0) / turn.clear_mm
    slopes = Slopes(float)
    for point, sign, body in zip((turn.start, turn.end), (-1.0, 1.0), _bodies(turn), strict=True):
        toward = way[0] * sign, way[1] * sign
        for unknown, slope in _carried(site, point, toward, body).items():
            slopes[unknown] += slope
    row = np.array([slopes.get(unknown, 0.0) for unknown in survey.unknowns])
    variance = float(row @ survey.covariance_mm2 @ row)
    return math.sqrt(variance) if variance > 0.0 else None


def _bodies(turn: Turn) -> tuple[tuple[str, str], tuple[str, str]]:
    """What the gap's start and its end belong to: a post's mark, or else a run's."""
    own = turn.post, turn.runs[0]
    other = turn.beside_post, turn.runs[1]
    if turn.kind is not TurnKind.STEPS:
        return own, other
    # Beyond the steps' edge stands either the end post itself or what is beside it.
    far = own if turn.beside.split()[-1] == turn.post else other
    return ("", turn.flight), far


def _carried(site: Site, point: Point, toward: Point, body: tuple[str, str]) -> Slopes:
    """How far a point moves one way for each mm that a post's place does."""
    mark, run = body
    if not mark:
        return _with_run(site, site.legs[run], point, toward)
    post = site.posts[mark]
    arm = point[0] - post.at_mm[0], point[1] - post.at_mm[1]
    # Turned by a small angle a, it moves by a * (-arm y, arm x).
    lever = toward[1] * arm[0] - toward[0] * arm[1]
    legs = [site.legs[meeting.run] for meeting in post.meetings]
    slopes = Slopes(float, {("x", mark): toward[0], ("y", mark): toward[1]})
    _turning(site, legs, lever, slopes)
    return slopes


def _with_run(site: Site, leg: Leg, point: Point, toward: Point) -> Slopes:
    """A point beside a run's line: its share of the way along, and the line's turning."""
    (xs, ys), (xe, ye) = site.posts[leg.start].at_mm, site.posts[leg.end].at_mm
    dx, dy, length = xe - xs, ye - ys, math.hypot(xe - xs, ye - ys)
    share = ((point[0] - xs) * dx + (point[1] - ys) * dy) / length**2
    foot = xs + share * dx, ys + share * dy
    arm = point[0] - foot[0], point[1] - foot[1]
    lever = toward[1] * arm[0] - toward[0] * arm[1]
    slopes = Slopes(float)
    for mark, part in ((leg.start, 1.0 - share), (leg.end, share)):
        slopes["x", mark] += part * toward[0]
        slopes["y", mark] += part * toward[1]
    _turning(site, [leg], lever, slopes)
    return slopes


def _turning(site: Site, legs: Iterable[Leg], lever: float, slopes: Slopes) -> None:
    """Add what the turning of runs does at a lever; of several, their mean."""
    runs = list(legs)
    for leg in runs:
        (xs, ys), (xe, ye) = site.posts[leg.start].at_mm, site.posts[leg.end].at_mm
        square = (xe - xs) ** 2 + (ye - ys) ** 2
        for mark, sign in ((leg.start, -1.0), (leg.end, 1.0)):
            slopes["x", mark] += sign * lever * -(ye - ys) / square / len(runs)
            slopes["y", mark] += sign * lever * (xe - xs) / square / len(runs)


def turn_sigmas_mm(site: Site) -> Mapping[int, float]:
    """Every gap's standard deviation that the plan's readings give it, by its number from 1."""
    found = {number: turn_sigma_mm(site, turn) for number, turn in enumerate(site.turns, start=1)}
    return {number: sigma for number, sigma in found.items() if sigma is not None}
