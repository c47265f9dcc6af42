"""A sketch of a part on a form: drawn about its own corner, its dimensions by key."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from railsheet.sheets.drawing import SMALL_MM
from railsheet.sheets.form_paper import FormPage, Point, Where
from railsheet.sheets.paper import Rect

# How far a witness line runs on past its dimension, mm of paper.
_PAST_MM = 1.5


@dataclass(frozen=True)
class Sketch:
    """A pen whose zero stands at `x`, `y` of a form's page. All in millimetres of paper."""

    page: FormPage
    x: float
    y: float

    def at(self, point: Point) -> Point:
        """A point of the sketch on the page."""
        return self.x + point[0], self.y + point[1]

    def line(self, start: Point, end: Point, layer: str = "DIM") -> None:
        """A straight line."""
        self.page.line(self.at(start), self.at(end), layer)

    def outline(self, points: Sequence[Point], layer: str, *, close: bool = True) -> None:
        """A run of straight lines."""
        self.page.outline([self.at(p) for p in points], layer, close=close)

    def rect(self, left: float, bottom: float, right: float, top: float, layer: str) -> None:
        """An upright rectangle."""
        room = Rect(self.x + left, self.y + bottom, self.x + right, self.y + top)
        self.page.rect(room, layer)

    def circle(self, middle: Point, radius: float, layer: str) -> None:
        """A circle."""
        self.page.layout.add_circle(self.at(middle), radius, dxfattribs={"layer": layer})

    def arc(self, middle: Point, radius: float, from_deg: float, to_deg: float, layer: str) -> None:
        """An arc, anticlockwise."""
        self.page.layout.add_arc(
            self.at(middle), radius, from_deg, to_deg, dxfattribs={"layer": layer}
        )

    def say(self, words: str, at: Point, where: Where = "right") -> None:
        """Small words that are no key."""
        self.page.text(words, self.at(at), where=where, height_mm=SMALL_MM)

    def key(self, key: str, at: Point, where: Where = "right") -> None:
        """A key lettered by itself."""
        self.page.text(key, self.at(at), where=where, bold=True)

    def lead(self, key: str, to: Point, at: Point, where: Where = "right") -> None:
        """A key with a line that points at what it means."""
        self.line(at, to)
        self.key(key, at, where)

    def slant(self, start: Point, end: Point, key: str, where: Where = "on") -> None:
        """A span in any direction, with its key."""
        self.page.span(self.at(start), self.at(end), key, where)

    def level(
        self,
        left: float,
        right: float,
        y: float,
        key: str,
        where: Where = "above",
        feet: tuple[float | None, float | None] = (None, None),
    ) -> None:
        """A level span at `y`; `feet` are where its witness lines begin."""
        self.slant((left, y), (right, y), key, where)
        for x, foot in zip((left, right), feet, strict=True):
            if foot is not None:
                self.line((x, foot), (x, y + math.copysign(_PAST_MM, y - foot)))

    def plumb(
        self,
        low: float,
        high: float,
        x: float,
        key: str,
        where: Where = "right",
        feet: tuple[float | None, float | None] = (None, None),
    ) -> None:
        """A plumb span at `x`; `feet` are where its witness lines begin."""
        self.slant((x, low), (x, high), key, where)
        for y, foot in zip((low, high), feet, strict=True):
            if foot is not None:
                self.line((foot, y), (x + math.copysign(_PAST_MM, x - foot), y))
