"""A pen on model space: draws in millimetres of the real thing, and dimensions by figure key."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ezdxf.entities import Dimension
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Modelspace

from railsheet.figures.book import FigureBook
from railsheet.sheets.dimensions import Mark, Outside, angular_dim, linear_dim, radius_dim
from railsheet.sheets.drawing import FIGURE_MM, add_note, mm_per_unit, tag
from railsheet.sheets.hatching import SECTION_SPACING_MM, add_fill, add_hatching
from railsheet.sheets.running import running_dims
from railsheet.sheets.scales import Scale

Point = tuple[float, float]

LEVEL, PLUMB = 0.0, math.pi / 2


@dataclass(frozen=True)
class RunningMark:
    """One figure of a running dimension: the point measured, its figure's key, words after it."""

    point: Point
    key: str
    note: str = ""


@dataclass(frozen=True)
class Pen:
    """Draws one view.

    Attributes:
        msp: model space.
        scale: what the view will be shown at.
        book: where every figure's text comes from.
        origin_mm: where this view's (0, 0) lies in model space, mm.
    """

    msp: Modelspace
    scale: Scale
    book: FigureBook
    origin_mm: Point = (0.0, 0.0)

    def at(self, point_mm: Point) -> Point:
        """A point of the view in drawing units."""
        per = self._mm_per_unit
        return (
            (self.origin_mm[0] + point_mm[0]) / per,
            (self.origin_mm[1] + point_mm[1]) / per,
        )

    @property
    def _mm_per_unit(self) -> float:
        assert self.msp.doc is not None
        return mm_per_unit(self.msp.doc)

    def paper(self, paper_mm: float) -> float:
        """Millimetres of the real thing that show as so many millimetres of paper."""
        return paper_mm * self.scale.denominator

    def line(self, start: Point, end: Point, layer: str) -> None:
        """A straight line."""
        self.msp.add_line(self.at(start), self.at(end), dxfattribs={"layer": layer})

    def outline(self, points: Sequence[Point], layer: str, *, close: bool = True) -> None:
        """A run of straight lines, closed unless said otherwise."""
        self.msp.add_lwpolyline(
            [self.at(p) for p in points], close=close, dxfattribs={"layer": layer}
        )

    def rect(self, low: Point, high: Point, layer: str) -> None:
        """An upright rectangle from its lower left to its upper right corner."""
        self.outline([low, (high[0], low[1]), high, (low[0], high[1])], layer)

    def fill(self, points: Sequence[Point], layer: str) -> None:
        """A filled area."""
        add_fill(self.msp, [self.at(p) for p in points], layer=layer)

    def section(self, points: Sequence[Point], layer: str) -> None:
        """The outline of what is cut through, hatched."""
        self.outline(points, layer)
        add_hatching(
            self.msp,
            [self.at(p) for p in points],
            scale=self.scale,
            spacing_mm=SECTION_SPACING_MM,
            layer="SECTION",
        )

    def circle(
        self, centre: Point, radius_mm: float, layer: str, *, key: str | None = None
    ) -> None:
        """A circle, with the key of its diameter's figure."""
        drawn = self.msp.add_circle(
            self.at(centre), radius_mm / self._mm_per_unit, dxfattribs={"layer": layer}
        )
        tag(drawn, key)

    def arc(
        self, centre: Point, radius_mm: float, start_rad: float, stop_rad: float, layer: str
    ) -> None:
        """An arc, counter-clockwise from one way from its centre to another."""
        self.msp.add_arc(
            self.at(centre),
            radius_mm / self._mm_per_unit,
            math.degrees(start_rad),
            math.degrees(stop_rad),
            dxfattribs={"layer": layer},
        )

    def note(
        self,
        text: str,
        at: Point,
        *,
        align: MTextEntityAlignment = MTextEntityAlignment.BOTTOM_LEFT,
        rotation_rad: float = 0.0,
        height_mm: float = FIGURE_MM,
        layer: str = "TEXT",
        bold: bool = False,
        mask: bool = False,
        key: str | None = None,
    ) -> None:
        """Lettering beside the drawing."""
        add_note(
            self.msp,
            text,
            self.at(at),
            scale=self.scale,
            height_mm=height_mm,
            align=align,
            rotation_rad=rotation_rad,
            layer=layer,
            bold=bold,
            mask=mask,
            key=key,
        )

    def dim(
        self,
        start: Point,
        end: Point,
        base: Point,
        angle_rad: float,
        key: str,
        *,
        note: str = "",
        outside: Outside = "auto",
        further_mm: float = 0.0,
        layer: str = "DIM",
    ) -> Dimension:
        """A level, plumb or sloping dimension of a figure."""
        return linear_dim(
            self.msp,
            self.at(start),
            self.at(end),
            self.at(base),
            angle_rad,
            self.book.text(key),
            key,
            self.scale,
            note=note,
            outside=outside,
            further_mm=further_mm,
            layer=layer,
        )

    def running(
        self,
        datum: Point,
        marks: Sequence[RunningMark],
        level_mm: float,
        axis: Literal["x", "y"],
        among: Sequence[RunningMark] = (),
    ) -> None:
        """Running dimensions from one datum.

        ``level_mm``: how far from the datum, across the axis, the figures stand. ``among``: the
        marks of another datum whose figures stand in the same row.
        """
        running_dims(
            self.msp,
            self.at(datum),
            [Mark(self.at(m.point), self.book.text(m.key), m.key, m.note) for m in marks],
            level_mm / self._mm_per_unit,
            self.scale,
            axis=axis,
            among=[self.at(m.point) for m in among],
        )

    def angle(self, vertex: Point, first: Point, second: Point, radius_mm: float, key: str) -> None:
        """An angle from one leg counter-clockwise to the other."""
        angular_dim(
            self.msp,
            self.at(vertex),
            self.at(first),
            self.at(second),
            radius_mm / self._mm_per_unit,
            self.book.text(key),
            key,
            self.scale,
        )

    def radius(
        self, centre: Point, radius_mm: float, way_rad: float, text: Point, key: str
    ) -> None:
        """An arc's radius: its arrow where the way from the centre meets it, its figure apart."""
        radius_dim(
            self.msp,
            self.at(centre),
            radius_mm / self._mm_per_unit,
            way_rad,
            self.at(text),
            self.book.text(key),
            key,
            self.scale,
        )
