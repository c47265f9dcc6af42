"""Pieces that are the same piece under several marks, so that one drawing serves them all."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from railsheet.cuts.pieces import PostPiece, RailPiece
from railsheet.layout.railing import PostFace

# Far below any saw, far above the rounding of equal bays placed one after another.
_SAME_DIGITS = 3

_Piece = TypeVar("_Piece")


@dataclass(frozen=True)
class Alike(Generic[_Piece]):
    """One piece, and the marks of the others that are cut just like it."""

    piece: _Piece
    others: tuple[str, ...]

    @property
    def short(self) -> str:
        """How many others, after a mark; empty where there are none."""
        return f" and {len(self.others)} alike" if self.others else ""

    @property
    def words(self) -> str:
        """The others in words; empty where there are none."""
        if not self.others:
            return ""
        if len(self.others) <= 3:
            return f"Alike: {', '.join(self.others)}. "
        return f"Alike: {len(self.others)} more, {self.others[0]} to {self.others[-1]}. "


def alike_rails(rails: Sequence[RailPiece]) -> tuple[Alike[RailPiece], ...]:
    """Rails of one place, length, cuts, holes and place on the bar together."""

    def shape(piece: RailPiece) -> Hashable:
        rail = piece.rail
        return (
            rail.place,
            round(rail.length_mm, _SAME_DIGITS),
            round(rail.short_mm, _SAME_DIGITS),
            tuple((round(hole.from_uphill_mm, _SAME_DIGITS), hole.baluster) for hole in rail.holes),
            round(piece.on_bar.trim_mm, _SAME_DIGITS),
            piece.on_bar.stock_mm,
        )

    return _together(rails, shape, lambda piece: piece.mark)


def alike_faces(
    posts: Sequence[PostPiece],
) -> tuple[Alike[tuple[PostPiece, PostFace]], ...]:
    """Faces of posts of one kind, cut, hand and marks together."""
    faces = [(piece, face) for piece in posts for face in piece.post.faces]

    def shape(shown: tuple[PostPiece, PostFace]) -> Hashable:
        piece, face = shown
        post = piece.post
        return (
            # A post that is set out by itself, or shared, is drawn by itself.
            post.name if post.spec.mark or not post.through or post.spec.surface else "",
            face.end,
            round(post.height_mm, _SAME_DIGITS),
            *(round(mount.centre_z_mm - post.surface_z_mm, _SAME_DIGITS) for mount in face.mounts),
            *(round(bore.over_underside_mm, _SAME_DIGITS) for bore in face.bores),
        )

    return _together(faces, shape, lambda shown: shown[0].mark)


def _together(
    pieces: Sequence[_Piece], shape: Callable[[_Piece], Hashable], name: Callable[[_Piece], str]
) -> tuple[Alike[_Piece], ...]:
    groups: dict[Hashable, list[_Piece]] = {}
    for piece in pieces:
        groups.setdefault(shape(piece), []).append(piece)
    return tuple(
        Alike(first, tuple(name(piece) for piece in rest)) for first, *rest in groups.values()
    )
