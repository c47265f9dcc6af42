"""How far two taut cables spread under a sphere, and what force it takes to push it through.

The model: each cable is a taut string of tension T, held at both ends of a free length L; the
sphere, pressed square to the guard midway between the ends, touches both cables without friction.
A cable pushed aside by d at its middle pushes back with ``4 T d / L`` (small angles: the two
halves' pull resolved across the cable). With cables a distance S apart, pushed to y either side of
the sphere's axis, and R the sphere's radius and a cable's together, the force in balance is

    F(y) = 2 (4 T / L) (y - S / 2) sqrt(R^2 - y^2) / y

The sphere passes once the force is more than the greatest F(y) between S / 2 and R. Statement of
the model, "the sphere is loaded perpendicular to the plane and at the mid-span of the infill
cables; contact ... is assumed to be frictionless; the sphere is successfully resisted if the cable
deflection and spread reaches an equilibrium": a published wire-rope railing calculation, document
806698872 section B. Lateral stiffness of a taut string: engineering statics. Left out, on the safe
side: a cable's tension rises as it is pushed aside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

# Halvings of an interval of a few centimetres until float64 cannot tell its ends apart.
_HALVINGS = 60


@dataclass(frozen=True)
class CablePair:
    """Two neighbouring cables and the sphere between them.

    Attributes:
        apart_mm: centre to centre at rest, S.
        diameter_mm: of a cable.
        free_mm: L.
        tension_n: T.
        sphere_mm: the sphere's diameter.
    """

    apart_mm: float
    diameter_mm: float
    free_mm: float
    tension_n: float
    sphere_mm: float

    @property
    def reach_mm(self) -> float:
        """R: from the sphere's centre to a cable's centre where they touch."""
        return (self.sphere_mm + self.diameter_mm) / 2

    def force_n(self, aside_mm: float) -> float:
        """The pressing force in balance with the cables' middles so far from the sphere's axis."""
        pushed = aside_mm - self.apart_mm / 2
        depth = math.sqrt(max(self.reach_mm**2 - aside_mm**2, 0.0))
        return 8 * self.tension_n / self.free_mm * pushed * depth / aside_mm

    @property
    def _hardest_mm(self) -> float:
        """Where the balance wants the greatest force.

        dF/dy = 0 comes to y^3 = R^2 S / 2: a single root, between S / 2 and R.
        """
        return float((self.reach_mm**2 * self.apart_mm / 2) ** (1 / 3))

    @property
    def pass_force_n(self) -> float:
        """The least force that pushes the sphere through; 0 where it passes at rest."""
        if self.apart_mm >= 2 * self.reach_mm:
            return 0.0
        return self.force_n(self._hardest_mm)

    def spread_mm(self, push_n: float) -> float | None:
        """Centre to centre under the sphere, pressed by a force; None where it passes."""
        if push_n > self.pass_force_n:
            return None
        low, high = self.apart_mm / 2, self._hardest_mm
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.force_n(middle) < push_n else (low, middle)
        return low + high
