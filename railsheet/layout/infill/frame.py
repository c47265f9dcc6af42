"""The space that infill has to fill: between two post faces and two parallel rails."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.job.kit import Kit, RailPlace
from railsheet.layout.infill.parts import Corner
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Rail
from railsheet.layout.section import Section


@dataclass(frozen=True)
class BayFrame:
    """One bay before it is filled. Lengths in mm, run frame.

    Attributes:
        line: the top of the top rail.
        faces_mm: s of the downhill and the uphill post face.
        top, bottom: the rails as they are cut, without holes.
    """

    kit: Kit
    line: RailLine
    section: Section
    faces_mm: tuple[float, float]
    top: Rail
    bottom: Rail

    @property
    def clear_mm(self) -> float:
        """Level, from post face to post face."""
        return self.faces_mm[1] - self.faces_mm[0]

    @property
    def rake_rad(self) -> float:
        """The rails' angle from horizontal."""
        return self.section.rake_rad

    def rail(self, place: RailPlace) -> Rail:
        """One of the two rails."""
        return self.top if place is RailPlace.TOP else self.bottom

    def face_z(self, place: RailPlace, s_mm: float, into_mm: float = 0.0) -> float:
        """Height of a rail's face toward the infill at a place on the run.

        Args:
            place: which rail.
            s_mm: the place.
            into_mm: how deep within the rail, square to it.
        """
        rail = self.rail(place)
        way = 1 if place is RailPlace.TOP else -1
        offset = rail.punched_offset_mm + way * into_mm
        return self.line.z_at(s_mm) - rail.axis_drop_mm + offset / math.cos(self.rake_rad)

    def plumb_strip(
        self, left_mm: float, right_mm: float, into_bottom_mm: float = 0.0, into_top_mm: float = 0.0
    ) -> tuple[Corner, Corner, Corner, Corner]:
        """A plumb strip from the bottom rail's face to the top rail's, or from within them.

        Args:
            left_mm, right_mm: its two plumb edges.
            into_bottom_mm, into_top_mm: how deep it stands in either rail, square to it.

        Returns:
            Lower downhill corner, lower uphill, upper uphill, upper downhill.
        """
        low, high = RailPlace.BOTTOM, RailPlace.TOP
        return (
            (left_mm, self.face_z(low, left_mm, into_bottom_mm)),
            (right_mm, self.face_z(low, right_mm, into_bottom_mm)),
            (right_mm, self.face_z(high, right_mm, into_top_mm)),
            (left_mm, self.face_z(high, left_mm, into_top_mm)),
        )
