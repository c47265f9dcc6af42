"""Rails as the stock plan takes them: sections, lengths and pieces, and how each may lie."""

from __future__ import annotations

from collections.abc import Sequence

from railsheet.cuts.pieces import Pieces, RailPiece
from railsheet.cuts.stock_model import Attitude, Piece, Section, StockLength
from railsheet.errors import BadInput
from railsheet.job.kit import Kit, RailKit, RailPlace
from railsheet.job.model import FlightSpec, Side
from railsheet.layout.infill.door import supply_of
from railsheet.layout.rail_ends import End, RailEnd


def pitch_of(kit: Kit, rail: RailKit) -> float | None:
    """The pitch at which a rail's bars are punched; None where they come plain."""
    supply = supply_of(kit)
    return None if rail.first_hole_mm is None or supply.panel else supply.pitch_mm


def from_bars(kit: Kit, pieces: Pieces) -> tuple[RailPiece, ...]:
    """A flight's rails that are cut from bars: none where they come in panels."""
    return () if supply_of(kit).panel else pieces.rails


def rail_places(
    kit: Kit, work: Sequence[tuple[FlightSpec, Sequence[RailPiece]]]
) -> tuple[RailPlace, ...]:
    """One rail place for each section that has pieces.

    Raises:
        BadInput: two sections go by one name.
    """
    used = {piece.rail.place for _, pieces in work for piece in pieces}
    places: list[RailPlace] = []
    for place in RailPlace:
        if place not in used:
            continue
        same = [other for other in places if kit.rail(other).name == kit.rail(place).name]
        if not same:
            places.append(place)
        elif kit.rail(same[0]) != kit.rail(place):
            raise BadInput(
                kit.file,
                f"{place.value}_rail > name",
                kit.rail(place).name,
                "two rails of one name are cut from one bar: give the other its own name",
            )
    return tuple(places)


def rail_section(kit: Kit, rail: RailKit) -> Section:
    """A rail's section as the stock plan takes it."""
    return Section(rail.name, kit.finish, rail.depth_mm, pitch_of(kit, rail))


def rail_lengths(kit: Kit, rail: RailKit) -> tuple[StockLength, ...]:
    """The lengths a rail's section is sold in."""
    first = rail.first_hole_mm if pitch_of(kit, rail) is not None else None
    return tuple(
        StockLength(rail.name, kit.finish, offer.length_mm, offer.price, first_hole_mm=first)
        for offer in rail.stock
    )


def cutting_piece(spec: FlightSpec, piece: RailPiece, kit: Kit, *, punched_down: bool) -> Piece:
    """A rail as the stock plan takes it: downhill end left, top up.

    The plan's length is over all, from one end's long point to the other's, as the rail's is. A
    rail is preferably laid with its uphill end left, as its sheet draws it.

    Args:
        punched_down: how bars of its section lie; a rail whose infill is on its other side is
            rolled over.
    """
    rail = piece.rail
    hole = None
    pitch = pitch_of(kit, rail.kit)
    if pitch is not None and rail.holes:
        hole = (rail.length_mm - rail.holes[0].from_uphill_mm) % pitch
    rolled = (rail.place is RailPlace.TOP) != punched_down
    uphill_left = Attitude.TURNED_OVER if rolled else Attitude.TURNED
    downhill_left = Attitude.OVER if rolled else Attitude.AS_DRAWN
    may: tuple[Attitude, ...] = (uphill_left, downhill_left)
    if not rail.kit.faces_alike:
        # As drawn, one looks at the walking side of a rail on the left going up, and at the outer
        # face of one on the right; the bar lies with the walking side toward the reader.
        left = spec.side is Side.LEFT
        may = (uphill_left,) if left == rolled else (downhill_left,)
    return Piece(
        mark=piece.mark,
        profile=rail.kit.name,
        finish=kit.finish,
        length_mm=rail.length_mm,
        left_rad=_lean(rail.end(End.DOWNHILL)),
        right_rad=_lean(rail.end(End.UPHILL)),
        hole_mm=hole,
        may=may,
        bevels_rad=(_bevel(rail.end(End.DOWNHILL)), _bevel(rail.end(End.UPHILL))),
    )


def _bevel(end: RailEnd) -> float:
    """An end's bevel as the plan has it: above zero, its long point is on the right going up.

    As drawn, downhill end left and top up, one looks at the face on the right of one going up.
    """
    long_on_right = end.inward_slant > 0
    return end.bevel_rad if long_on_right else -end.bevel_rad


def _lean(end: RailEnd) -> float:
    # A positive lean has the top further uphill, which is the plan's own sense.
    return end.saw_rad if end.lean >= 0 else -end.saw_rad
