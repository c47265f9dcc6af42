"""The straight line of the rail over the noses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from railsheet.survey.stair import Nose


@dataclass(frozen=True)
class RailLine:
    """The top of the top rail, ``z = slope * s + start_mm`` in the run frame.

    Attributes:
        slope: rise over run, dimensionless.
        start_mm: height of the line at s = 0.
    """

    slope: float
    start_mm: float

    @property
    def rake_rad(self) -> float:
        """The rail's angle from horizontal."""
        return math.atan(self.slope)

    def z_at(self, s_mm: float) -> float:
        """Height of the top of the top rail at a place along the run."""
        return self.slope * s_mm + self.start_mm

    def height_over(self, nose: Nose) -> float:
        """Plumb height of the top of the top rail over a nose."""
        return self.z_at(nose.s_mm) - nose.z_mm


def least_squares_line(noses: Sequence[Nose], height_mm: float) -> RailLine:
    """The nosing line by least squares on heights, raised by the wanted rail height.

    Args:
        noses: at least two, at different places along the run.
        height_mm: wanted plumb height over the nosing line.
    """
    places = np.array([nose.s_mm for nose in noses])
    heights = np.array([nose.z_mm for nose in noses])
    # Centred before fitting, so that shifting the origin cannot change the slope's last digits.
    middle, level = places.mean(), heights.mean()
    offsets = places - middle
    slope = float(offsets @ (heights - level) / (offsets @ offsets))
    return RailLine(slope, float(level - slope * middle) + height_mm)
