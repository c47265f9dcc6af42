"""Rails held in brackets: cut square where the bracket pivots, plumb where it is fixed."""

from __future__ import annotations

from railsheet.job.kit_bracket import BracketKit, EndCut
from railsheet.layout.ends.kind import EndKind, EndPlace, plumb_end, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.rail_ends import End, RailEnd, along
from railsheet.layout.turned_post import end_bracket


def _kit(at: EndPlace) -> BracketKit:
    return end_bracket(at.kit, at.place, at.skew)


def _end(at: EndPlace) -> RailEnd:
    return _square(at) if _kit(at).cut is EndCut.SQUARE else _plumb(at)


def _square(at: EndPlace) -> RailEnd:
    """A square cut in a pivoting bracket: the bracket turns with the rail about its pin."""
    bracket = _kit(at)
    pin_u = along(at.face_s_mm + at.end.inward * bracket.stand_off_mm, 0.0, at.rake_rad)
    mouth = pin_u + at.end.inward * bracket.reach_mm
    half = bracket.body_depth_mm / 2
    return RailEnd(
        end=at.end,
        cut=EndCut.SQUARE,
        face_s_mm=at.face_s_mm,
        u_axis_mm=pin_u + at.end.inward * (bracket.reach_mm - bracket.insertion_mm),
        mouth_axis_mm=mouth,
        insertion_mm=bracket.insertion_mm,
        held_by="bracket",
        lean=0.0,
        body=((mouth, -half), (mouth, half), (pin_u, half), (pin_u, -half)),
        pin=(pin_u, bracket.stand_off_mm / 3),
        holder=_hand(at),
    )


def _plumb(at: EndPlace) -> RailEnd:
    """A plumb cut in a fixed bracket: reach and insertion are level."""
    bracket = _kit(at)
    half = bracket.body_depth_mm / 2
    mouth_s = at.face_s_mm + at.end.inward * bracket.reach_mm

    def corner(s_mm: float, offset_mm: float) -> tuple[float, float]:
        return along(s_mm, offset_mm, at.rake_rad), offset_mm

    return plumb_end(
        at,
        bracket.reach_mm - bracket.insertion_mm,
        bracket.reach_mm,
        "bracket",
        (
            corner(mouth_s, -half),
            corner(mouth_s, half),
            corner(at.face_s_mm, half),
            corner(at.face_s_mm, -half),
        ),
        holder=_hand(at),
    )


def _mount(at: EndPlace) -> Mount:
    bracket = _kit(at)
    pin_s = at.face_s_mm + at.end.inward * bracket.stand_off_mm
    return Mount(
        place=at.place,
        word="mount",
        centre_z_mm=at.axis_z(pin_s),
        height_mm=bracket.mount_height_mm,
        width_mm=bracket.mount_width_mm,
        across_mm=(bracket.across_least_mm, bracket.across_most_mm),
    )


def _hand(at: EndPlace) -> str:
    bracket = _kit(at)
    return bracket.rising if at.end is End.DOWNHILL else bracket.falling


def _parts(at: EndPlace) -> tuple[Part, ...]:
    bracket = _kit(at)
    return (
        Part("bracket", _hand(at), 1),
        Part("mount", bracket.mount, 1),
        *screw_parts(bracket.screws),
    )


BRACKET = EndKind(_end, _mount, _parts)
