"""What fills a bay as the stock plan takes it: balusters cut to fit, and fillets."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from railsheet.cuts.pieces import FillPiece
from railsheet.cuts.stock_model import Piece, Section, StockLength
from railsheet.errors import BadInput
from railsheet.job.kit import Kit
from railsheet.layout.infill.parts import InfillPiece


def from_lengths(fills: Iterable[FillPiece]) -> tuple[FillPiece, ...]:
    """Those that are cut from bars; a cable comes off its coil."""
    return tuple(fill for fill in fills if fill.piece.stock_mm)


def fill_profiles(
    kit: Kit, fills: Sequence[FillPiece], taken: Iterable[str]
) -> tuple[InfillPiece, ...]:
    """One piece of each section that is cut, in the order they first come.

    Args:
        taken: the names of the sections that rails are cut from.

    Raises:
        BadInput: two sections go by one name, so that one could be cut from the other's bar.
    """
    rails = set(taken)
    found: dict[str, InfillPiece] = {}
    for piece in (fill.piece for fill in fills):
        one = found.setdefault(piece.name, piece)
        if piece.name in rails or (one.depth_mm, one.stock_mm) != (piece.depth_mm, piece.stock_mm):
            raise BadInput(
                kit.file,
                f"{piece.group} > name",
                piece.name,
                "two sections of one name are cut from one bar: give the other its own name",
            )
    return tuple(found.values())


def fill_section(kit: Kit, piece: InfillPiece) -> Section:
    """The section a piece is cut from."""
    return Section(piece.name, kit.finish, piece.depth_mm)


def fill_lengths(kit: Kit, piece: InfillPiece) -> tuple[StockLength, ...]:
    """The bars a piece can be cut from, shortest first."""
    return tuple(StockLength(piece.name, kit.finish, length) for length in piece.stock_mm)


def fill_piece(kit: Kit, fill: FillPiece) -> Piece:
    """A bay's alike pieces as the stock plan takes them.

    Both cuts lean one way, so a piece turned half round in its own plane is the same piece, and
    neighbours on a bar share a cut: one attitude is all it takes.
    """
    piece = fill.piece
    return Piece(
        mark=fill.mark,
        profile=piece.name,
        finish=kit.finish,
        length_mm=piece.length_mm,
        left_rad=piece.saw_rad,
        right_rad=piece.saw_rad,
        quantity=piece.count,
    )
