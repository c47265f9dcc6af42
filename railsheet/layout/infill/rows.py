"""Plumb members set out in a row, and their marks on both rails from one datum each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from railsheet.job.kit import RailPlace
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.parts import Corner, Fact, Member, Row
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.rail_ends import along
from railsheet.layout.railing import Hole, Rail, Working


def set_out(frame: BayFrame, rule: RowRule, count: int) -> Row:
    """Place so many members with equal gaps at both posts, each from the face itself."""
    clear = frame.clear_mm
    gap, spacing = rule.gap_mm(clear, count), rule.spacing_at(clear, count)
    first = frame.faces_mm[0] + gap + rule.width_mm / 2
    reach = 2 * spacing
    return Row(
        centres_mm=tuple(first + number * spacing for number in range(count)),
        width_mm=rule.width_mm,
        spacing_mm=spacing,
        gap_mm=gap,
        bands=rule.bands_within(max(clear - reach, 0.0), clear + reach),
    )


Body = Callable[[float], tuple[Corner, ...]]
"""From the s of a member's middle to its whole outline, the parts within the rails included."""


def row_members(frame: BayFrame, row: Row, body: Body) -> tuple[Member, ...]:
    """The members in place, each as thick across the guard as it is wide."""
    half = row.width_mm / 2
    return tuple(
        Member(number, frame.plumb_strip(s - half, s + half), body(s), row.width_mm)
        for number, s in enumerate(row.centres_mm, start=1)
    )


def square_ended(frame: BayFrame, width_mm: float, length_mm: float) -> Body:
    """A square-ended member: its uphill lower corner bears on the bottom rail's stop."""
    seat = frame.bottom.kit.seat_mm

    def body(s: float) -> tuple[Corner, ...]:
        left, right = s - width_mm / 2, s + width_mm / 2
        foot = frame.face_z(RailPlace.BOTTOM, right, seat)
        head = foot + length_mm
        return (left, foot), (right, foot), (right, head), (left, head)

    return body


def raked_ended(frame: BayFrame, width_mm: float) -> Body:
    """A member cut on the rake at both stops."""
    seats = frame.bottom.kit.seat_mm, frame.top.kit.seat_mm

    def body(s: float) -> tuple[Corner, ...]:
        return frame.plumb_strip(s - width_mm / 2, s + width_mm / 2, *seats)

    return body


def marks_on(frame: BayFrame, place: RailPlace, row: Row) -> list[float]:
    """Where each member's middle meets a rail's face, along the rail (u).

    On a rake the face lies off the axis, so its marks stand depth / 2 × tan(rake) from where a
    plumb line meets the axis: uphill on the bottom rail, downhill on the top one.
    """
    offset = frame.rail(place).punched_offset_mm
    return [along(s, offset, frame.rake_rad) for s in row.centres_mm]


def worked(frame: BayFrame, place: RailPlace, row: Row, working: Working, size_mm: float) -> Rail:
    """A rail with a hole, or a mark, for every member of a row and no other."""
    rail = frame.rail(place)
    holes = [
        Hole(rail.from_uphill_mm(u), number)
        for number, u in enumerate(marks_on(frame, place, row), start=1)
    ]
    return replace(rail, working=working, hole_mm=size_mm, holes=tuple(reversed(holes)))


def row_facts(frame: BayFrame, row: Row, noun: str) -> tuple[Fact, ...]:
    """Spacing level and along the rail, and the clear opening."""
    if len(row.centres_mm) < 2:
        return ()
    pitch = along(row.spacing_mm, 0.0, frame.rake_rad)
    return (
        Fact("spacing", f"{noun.capitalize()}s, level, centre to centre:", row.spacing_mm),
        Fact("pitch", f"{noun.capitalize()}s, along the rail, centre to centre:", pitch),
        Fact("opening", f"Clear between {noun}s:", row.opening_mm),
    )
