"""An easing in place: an arc between two straight rails, with a leg at either end.

The two rails' axes meet in a point X, in one plumb plane, and turn there by the angle b. An arc of
radius R touches both at the tangent length ``T = R tan(b / 2)`` from X; its middle stands off X by
the external distance ``E = R (sec(b / 2) - 1)``. Those are the elements of a simple circular curve
(US Army FM 5-233, Construction Surveying, 3-4; any route surveying text). From the arc's ends the
legs run on along the axes, and the rails begin where they are let in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.job.kit_easing import Bend, EasingKit

Point = tuple[float, float]
"""(s, z) in the run frame, mm."""


@dataclass(frozen=True)
class Easing:
    """An easing over a post, in the frame of one of the two runs. Lengths in mm.

    Attributes:
        depth_mm, width_mm: the rail's section that it goes on with.
        meet: where the two axes meet.
        inward: 1 where the run's own bay lies uphill of it, -1 where downhill.
        own_climb_rad, other_climb_rad: how each rail climbs going away from it; below zero it
            falls.
        other_run: the run of the other rail.
    """

    kit: EasingKit
    depth_mm: float
    width_mm: float
    meet: Point
    inward: int
    own_climb_rad: float
    other_climb_rad: float
    other_run: str

    @property
    def bend(self) -> Bend:
        """Whether it bends up or over."""
        return Bend.UP if self.own_climb_rad + self.other_climb_rad > 0 else Bend.OVER

    @property
    def turn_rad(self) -> float:
        """The plumb angle that it turns by."""
        return abs(self.own_climb_rad + self.other_climb_rad)

    @property
    def tangent_mm(self) -> float:
        """From where the axes meet to either end of the arc."""
        return self.kit.radius_mm * math.tan(self.turn_rad / 2)

    @property
    def external_mm(self) -> float:
        """From where the axes meet to the arc's middle."""
        return self.kit.radius_mm * (1 / math.cos(self.turn_rad / 2) - 1)

    @property
    def arc_mm(self) -> float:
        """Along the arc, on the axis."""
        return self.kit.radius_mm * self.turn_rad

    @property
    def over_all_mm(self) -> float:
        """Along the axis, from one end of the fitting to the other."""
        return self.arc_mm + 2 * self.kit.leg_mm

    @property
    def reach_mm(self) -> float:
        """From where the axes meet to either end of the fitting, along the rail."""
        return self.tangent_mm + self.kit.leg_mm

    @property
    def set_back_mm(self) -> float:
        """From where the axes meet to either rail's cut, along the rail."""
        return self.reach_mm - self.kit.insertion_mm

    @property
    def half_mm(self) -> float:
        """Half the fitting's upright size, square to its axis."""
        return self.depth_mm / 2 + self.kit.wall_mm

    @property
    def centre(self) -> Point:
        """The arc's centre: on the line that halves the angle, R sec(b / 2) from the meeting."""
        own, other = self._ways
        x, z = own[0] + other[0], own[1] + other[1]
        far = self.kit.radius_mm / math.cos(self.turn_rad / 2) / math.hypot(x, z)
        return self.meet[0] + x * far, self.meet[1] + z * far

    @property
    def _ways(self) -> tuple[Point, Point]:
        """Into its own bay, and along the other rail."""
        own, other = self.own_climb_rad, self.other_climb_rad
        return (
            (self.inward * math.cos(own), math.sin(own)),
            (-self.inward * math.cos(other), math.sin(other)),
        )

    def ends(self, offset_mm: float, from_meet_mm: float) -> tuple[Point, Point]:
        """Points so far over the axis and so far from the meeting: on its own side, the other."""
        points = []
        for x, z in self._ways:
            # Square to a way, upward whichever way it runs.
            up = (-z, x) if x > 0 else (z, -x)
            points.append(
                (
                    self.meet[0] + x * from_meet_mm + up[0] * offset_mm,
                    self.meet[1] + z * from_meet_mm + up[1] * offset_mm,
                )
            )
        return points[0], points[1]

    def radius_at(self, offset_mm: float) -> float:
        """The arc's radius so far over the axis."""
        return self.kit.radius_mm + (offset_mm if self.bend is Bend.OVER else -offset_mm)

    def z_at(self, s_mm: float, offset_mm: float) -> float:
        """Height of the line that runs so far over the axis, its straights drawn on past its ends.

        Args:
            s_mm: the place on the run.
            offset_mm: square to the axis, upward.
        """
        own, other = self.ends(offset_mm, self.tangent_mm)
        for (s, z), way in zip((own, other), self._ways, strict=True):
            past = (s_mm - s) * way[0]
            if past >= 0:
                return z + (s_mm - s) * way[1] / way[0]
        x, z = self.centre
        rise = math.sqrt(self.radius_at(offset_mm) ** 2 - (s_mm - x) ** 2)
        return z + (rise if self.bend is Bend.OVER else -rise)

    def heights_mm(
        self, low_s_mm: float, high_s_mm: float, offset_mm: float
    ) -> tuple[float, float]:
        """The least and the greatest height of that line between two places on the run."""
        places = [low_s_mm, high_s_mm]
        # Between them it turns level only over or under the arc's centre, or along a level rail.
        level = self.centre[0]
        if low_s_mm < level < high_s_mm:
            places.append(level)
        heights = [self.z_at(s, offset_mm) for s in places]
        return min(heights), max(heights)

    def under_s_mm(self, offset_mm: float) -> tuple[float, float]:
        """From where to where the fitting reaches on the run, so far over its axis."""
        low, high = sorted(s for s, _ in self.ends(offset_mm, self.reach_mm))
        return low, high

    def arc_s_mm(self, offset_mm: float) -> tuple[float, float]:
        """From where to where its arc reaches on the run, so far over its axis."""
        low, high = sorted(s for s, _ in self.ends(offset_mm, self.tangent_mm))
        return low, high

    def top_z(self, s_mm: float) -> float:
        """Height of its upper side at a place on the run."""
        return self.z_at(s_mm, self.half_mm)

    def outline(self) -> tuple[tuple[Point, ...], tuple[float, ...]]:
        """Its outline as seen from the side, and each corner's bulge to the next.

        A bulge is the tangent of a quarter of the arc's angle, above zero where the arc runs
        counter-clockwise: how a DXF polyline holds an arc.
        """
        up, down = self.half_mm, -self.half_mm
        mouths, arcs = self.ends(up, self.reach_mm), self.ends(up, self.tangent_mm)
        under, under_arcs = self.ends(down, self.reach_mm), self.ends(down, self.tangent_mm)
        corners = (
            mouths[0],
            arcs[0],
            arcs[1],
            mouths[1],
            under[1],
            under_arcs[1],
            under_arcs[0],
            under[0],
        )
        bulge = math.tan(self.turn_rad / 4)
        # From its own side to the other; going uphill over a top turns clockwise.
        way = self.inward if self.bend is Bend.OVER else -self.inward
        return corners, (0.0, way * bulge, 0.0, 0.0, 0.0, -way * bulge, 0.0, 0.0)
