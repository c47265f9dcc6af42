"""True dimensions: the figure shown is the caller's, the figure held is what the geometry measures.

A DIMENSION drawn here shows the text of the cut list until a CAD program redraws it; from then on
it shows its own measurement, in the job's rounding. The two agree or the drawing is wrong, and the
key each carries lets a test hold one against the other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.entities.dimension import Dimension
from ezdxf.entities.dimstyleoverride import DimStyleOverride
from ezdxf.entities.mtext import MText
from ezdxf.layouts.layout import Modelspace
from ezdxf.math import Vec2

from railsheet.sheets.drawing import (
    FIGURE_MM,
    REGULAR,
    document_rounding,
    document_unit,
    fraction_places,
    mtext_escape,
    per_paper_mm,
    tag,
)
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.scales import Scale

# On paper, mm: what reads well at arm's length on a bench. Common practice, no source.
TICK_MM = 0.9
ARROW_MM = 2.0
LEG_MM = 1.0
EXTENSION_GAP_MM = 1.0
EXTENSION_BEYOND_MM = 1.2
TEXT_GAP_MM = 0.8
# Least clear space beside a figure between its extension lines.
TEXT_SIDE_MM = 0.4

Point = tuple[float, float]
Outside = Literal["auto", "start", "end", "beyond", "none"]


def dimension_style(doc: Drawing, scale: Scale) -> str:
    """Name of the dimension style for views at `scale`, made the first time it is asked for."""
    name = f"RS-{scale.denominator:g}"
    if name in doc.dimstyles:
        return name
    unit, rounding = document_unit(doc), document_rounding(doc)
    style = doc.dimstyles.new(name)
    attributes: dict[str, object] = {
        # Sizes below are millimetres of paper; DIMSCALE brings them into model space.
        "dimscale": scale.true(1.0, unit),
        "dimtxsty": REGULAR,
        "dimtxt": FIGURE_MM,
        "dimgap": TEXT_GAP_MM,
        "dimtsz": TICK_MM,
        "dimasz": ARROW_MM,
        "dimexo": EXTENSION_GAP_MM,
        "dimexe": EXTENSION_BEYOND_MM,
        "dimtad": 1,
        "dimjust": 0,
        "dimtih": 0,
        "dimtoh": 0,
        "dimtix": 1,
        "dimtofl": 1,
        "dimtmove": 2,
        "dimtfill": 1,
        "dimclrt": 256,
        "dimclrd": 256,
        "dimclre": 256,
        "dimlwd": -1,
        "dimlwe": -1,
        "dimrnd": rounding,
        "dimlfac": 1.0,
        "dimaunit": 0,
        "dimadec": 1,
        "dimazin": 2,
        "dimdsep": ord("."),
    }
    if unit == "in":
        attributes |= {"dimlunit": 5, "dimdec": fraction_places(rounding), "dimfrac": 2}
    else:
        places = next(n for n in range(9) if math.isclose(rounding, round(rounding, n)))
        attributes |= {"dimlunit": 2, "dimdec": places, "dimzin": 8}
    for attribute, value in attributes.items():
        style.dxf.set(attribute, value)
    if not doc.header["$DIMSTYLE"].startswith("RS-"):
        # What a draughtsman adds follows the drawing's first view.
        style.copy_to_header(doc)
    return name


def _finish(pending: DimStyleOverride, key: str, note: str) -> Dimension:
    pending.render()
    dimension = pending.dimension
    block = dimension.get_geometry_block()
    assert block is not None
    for part in block:
        # ezdxf leaves the lines on layer 0, whose pen a reader may or may not replace.
        if part.dxf.layer == "0":
            part.dxf.layer = dimension.dxf.layer
    # With no text of its own a dimension shows what it measures; `<>` stands for that beside words.
    dimension.dxf.text = f"<> {mtext_escape(note)}" if note else ""
    tag(dimension, key)
    return dimension


def _shown(text: str, note: str) -> str:
    return mtext_escape(f"{text} {note}" if note else text)


def linear_dim(
    msp: Modelspace,
    p1: Point,
    p2: Point,
    base: Point,
    angle_rad: float,
    text: str,
    key: str,
    scale: Scale,
    *,
    note: str = "",
    layer: str = "DIM",
    outside: Outside = "auto",
    further_mm: float = 0.0,
) -> Dimension:
    """A dimension of the distance from p1 to p2 along one direction.

    Args:
        msp: model space.
        p1: first point measured, drawing units.
        p2: second point measured, drawing units.
        base: any point of the dimension line.
        angle_rad: direction of the dimension line: 0 level, pi/2 plumb.
        text: the figure as the tables print it.
        key: the figure's key.
        scale: the scale the view will show it at.
        note: words after the figure, kept when a CAD program recomputes it.
        layer: layer name.
        outside: where the text goes if it is wider than the distance: past p2 (`end`, also
            `auto`), before p1 (`start`), or over the line all the same (`none`);
            past p2 in any case (`beyond`).
        further_mm: how much further out text goes that stands outside, mm of paper.
    """
    assert msp.doc is not None
    degrees = math.degrees(angle_rad)
    shown = _shown(text, note)
    pending = msp.add_linear_dim(
        base=base,
        p1=p1,
        p2=p2,
        angle=degrees,
        text=shown,
        dimstyle=dimension_style(msp.doc, scale),
        dxfattribs={"layer": layer},
    )
    along = Vec2.from_angle(angle_rad)
    words = f"{text} {note}".strip()
    _move_out(pending, Vec2(p1), Vec2(p2), Vec2(base), along, words, outside, further_mm)
    return _finish(pending, key, note)


def _move_out(
    pending: DimStyleOverride,
    p1: Vec2,
    p2: Vec2,
    base: Vec2,
    along: Vec2,
    text: str,
    outside: Outside,
    further_mm: float = 0.0,
) -> None:
    """Put text too wide for its dimension beside it, upright as the dimension line reads."""
    mm = float(pending.get("dimscale"))
    near, far = sorted((p - base).dot(along) for p in (p1, p2))
    width = text_width_mm(text, FIGURE_MM) * mm
    fits = width + 2.0 * TEXT_SIDE_MM * mm <= far - near
    if outside == "none" or (fits and outside != "beyond"):
        return
    up = along.orthogonal()
    if up.y < -1e-9 or (abs(up.y) <= 1e-9 and up.x > 0.0):
        up = -up
    lift = (FIGURE_MM / 2.0 + TEXT_GAP_MM) * mm
    reach = width / 2.0 + (TICK_MM + TEXT_GAP_MM + further_mm) * mm
    at_near = (outside == "start") == ((p2 - p1).dot(along) >= 0.0)
    s = near - reach if at_near else far + reach
    pending.set_location(base + along * s + up * lift, leader=False, relative=False)


@dataclass(frozen=True)
class Mark:
    """One figure of a running dimension.

    Attributes:
        point: the point measured, drawing units.
        text: the figure as the tables print it.
        key: the figure's key.
        note: words after the figure, kept when a CAD program recomputes it.
    """

    point: Point
    text: str
    key: str
    note: str = ""


def ordinate_x_dim(
    msp: Modelspace,
    datum: Point,
    mark: Mark,
    leader_end: Point,
    scale: Scale,
    *,
    rotation_rad: float = 0.0,
    layer: str = "DIM",
) -> Dimension:
    """The distance of a point from a datum along the local x axis, at the end of a leader.

    Args:
        msp: model space.
        datum: where the figure is zero, drawing units.
        mark: the point and its figure.
        leader_end: where the leader ends and the text begins, drawing units.
        scale: the scale the view will show it at.
        rotation_rad: direction of the local x axis.
        layer: layer name.
    """
    return _ordinate(msp, 1, datum, mark, leader_end, scale, rotation_rad, layer)


def ordinate_y_dim(
    msp: Modelspace,
    datum: Point,
    mark: Mark,
    leader_end: Point,
    scale: Scale,
    *,
    rotation_rad: float = 0.0,
    layer: str = "DIM",
) -> Dimension:
    """The distance of a point from a datum along the local y axis; see `ordinate_x_dim`."""
    return _ordinate(msp, 0, datum, mark, leader_end, scale, rotation_rad, layer)


def _ordinate(
    msp: Modelspace,
    x_type: Literal[0, 1],
    datum: Point,
    mark: Mark,
    leader_end: Point,
    scale: Scale,
    rotation_rad: float,
    layer: str,
) -> Dimension:
    assert msp.doc is not None
    leader = Vec2(leader_end) - Vec2(mark.point)
    pending = msp.add_ordinate_dim(
        feature_location=mark.point,
        offset=leader,
        dtype=x_type,
        origin=datum,
        text=_shown(mark.text, mark.note),
        dimstyle=dimension_style(msp.doc, scale),
        override={"dimasz": LEG_MM, "dimtad": 0},
        dxfattribs={"layer": layer},
    )
    # The DXF reference counts group 51 clockwise. ezdxf's own rotation argument would turn the
    # feature about the datum and the leader about the origin.
    pending.dimension.dxf.horizontal_direction = -math.degrees(rotation_rad)
    dimension = _finish(pending, mark.key, mark.note)
    # ezdxf guesses a text's width; with the true one the text starts where the leader ends.
    axis = Vec2.from_angle(rotation_rad + (math.pi / 2.0 if x_type else 0.0))
    outward = leader.dot(axis)
    mm = per_paper_mm(msp, scale)
    shown = f"{mark.text} {mark.note}".strip()
    reach = (text_width_mm(shown, FIGURE_MM) / 2.0 + TEXT_GAP_MM) * mm
    place = Vec2(leader_end) + axis * math.copysign(reach, outward)
    block = dimension.get_geometry_block()
    assert block is not None
    for label in block:
        if not isinstance(label, MText):
            continue
        label.dxf.insert = place.vec3
        # A degree past upright still reads from the right, as a plumb figure must.
        if 91.0 < label.dxf.rotation % 360.0 < 271.0:
            label.dxf.rotation += 180.0
    dimension.dxf.text_midpoint = place.vec3
    return dimension


def angular_dim(
    msp: Modelspace,
    centre: Point,
    p1: Point,
    p2: Point,
    radius: float,
    text: str,
    key: str,
    scale: Scale,
    *,
    layer: str = "DIM",
) -> Dimension:
    """A dimension of the angle from p1 counter-clockwise to p2, seen from `centre`.

    Args:
        msp: model space.
        centre: the vertex, drawing units.
        p1: a point of the first leg.
        p2: a point of the second leg.
        radius: of the dimension arc, drawing units.
        text: the figure as the tables print it.
        key: the figure's key.
        scale: the scale the view will show it at.
        layer: layer name.
    """
    assert msp.doc is not None
    start = (Vec2(p1) - Vec2(centre)).angle
    turn = ((Vec2(p2) - Vec2(centre)).angle - start) % math.tau
    middle = Vec2.from_angle(start + turn / 2.0)
    mm = per_paper_mm(msp, scale)
    pending = msp.add_angular_dim_3p(
        base=Vec2(centre) + middle * radius,
        center=centre,
        p1=p1,
        p2=p2,
        text=mtext_escape(text),
        text_rotation=0.0,
        dimstyle=dimension_style(msp.doc, scale),
        override={"dimtsz": 0.0, "dimtih": 1, "dimtad": 0},
        dxfattribs={"layer": layer},
    )
    # Level text beyond the arc never sits on the legs of a small angle.
    width = text_width_mm(text, FIGURE_MM) * mm
    reach = radius + 2.0 * TEXT_GAP_MM * mm
    reach += (abs(middle.x) * width + abs(middle.y) * FIGURE_MM * mm) / 2.0
    pending.set_location(Vec2(centre) + middle * reach, leader=False, relative=False)
    return _finish(pending, key, "")


def radius_dim(
    msp: Modelspace,
    centre: Point,
    radius: float,
    way_rad: float,
    location: Point,
    text: str,
    key: str,
    scale: Scale,
    *,
    layer: str = "DIM",
) -> Dimension:
    """A dimension of an arc's radius, its arrow on the arc and its figure off it.

    Args:
        msp: model space.
        centre: the arc's, drawing units.
        radius: the arc's, drawing units.
        way_rad: from the centre to where the arrow stands.
        location: where the figure stands, drawing units.
        text: the figure as the tables print it.
        key: the figure's key.
        scale: the scale the view will show it at.
        layer: layer name.
    """
    assert msp.doc is not None
    pending = msp.add_radius_dim(
        center=centre,
        radius=radius,
        angle=math.degrees(way_rad),
        location=location,
        text=f"R {mtext_escape(text)}",
        dimstyle=dimension_style(msp.doc, scale),
        override={"dimtsz": 0.0, "dimtoh": 1, "dimtih": 1, "dimtad": 0, "dimtofl": 0},
        dxfattribs={"layer": layer},
    )
    return _finish(pending, key, "")


def measured(dimension: Dimension) -> float:
    """What a dimension's own geometry measures: drawing units, or radians for an angle."""
    value = dimension.get_measurement()
    if dimension.dimtype in (2, 5):
        assert not hasattr(value, "x")
        return math.radians(float(value))
    if dimension.dimtype == 6:
        rotation = math.radians(-dimension.dxf.get("horizontal_direction", 0.0))
        local = Vec2(value).rotate(-rotation)
        return float(abs(local.x if dimension.dxf.dimtype & 64 else local.y))
    return float(value)
