"""Pieces that are the same piece under several marks, so that one drawing serves them all."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from railsheet.cuts.pieces import PostPiece, RailPiece
from railsheet.layout.post import PostFace
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing

# Far below any saw, far above the rounding of equal bays placed one after another.
_SAME_DIGITS = 3
_SAME_RAD = 9
# More than so many are told by the first and the last.
_NAMED = 12

_Piece = TypeVar("_Piece")


class _HasRailing(Protocol):
    """Anything that has a run's railing."""

    @property
    def railing(self) -> Railing:
        """The run solved."""


_Run = TypeVar("_Run", bound=_HasRailing)


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
        if len(self.others) <= _NAMED:
            return f"Alike: {', '.join(self.others)}. "
        return f"Alike: {len(self.others)} more, {self.others[0]} to {self.others[-1]}. "


def alike_rails(rails: Sequence[RailPiece]) -> tuple[Alike[RailPiece], ...]:
    """Rails of one place, length, cuts, holes and place on the bar together."""

    def shape(piece: RailPiece) -> Hashable:
        rail = piece.rail
        return (
            rail.place,
            piece.beyond and piece.beyond.left_face,
            rail.kit.name,
            *((rail.end(end).cut, round(rail.end(end).saw_rad, _SAME_RAD)) for end in End),
            round(rail.length_mm, _SAME_DIGITS),
            *(
                tuple(round(t, _SAME_DIGITS) for t in (cut.lean, cut.slant, cut.cope_mm))
                for cut in (rail.downhill, rail.uphill)
            ),
            tuple((round(hole.from_uphill_mm, _SAME_DIGITS), hole.baluster) for hole in rail.holes),
            round(piece.on_bar.trim_mm, _SAME_DIGITS),
            piece.on_bar.stock_mm,
        )

    return _together(rails, shape, lambda piece: piece.mark)


def alike_faces(
    faces: Sequence[tuple[tuple[_Run, PostPiece], PostFace]],
) -> tuple[Alike[tuple[tuple[_Run, PostPiece], PostFace]], ...]:
    """Faces of posts of one kind, side, cut, hand and marks together, whichever run they are of."""

    def shape(shown: tuple[tuple[_Run, PostPiece], PostFace]) -> Hashable:
        (run, piece), face = shown
        post = piece.post
        foot = post.surface_z_mm
        heights = [
            post.height_mm,
            face.underside_z_mm - foot,
            face.rail_top_z_mm - foot,
            *(mount.centre_z_mm - foot for mount in face.mounts),
        ]
        railing = run.railing
        return (
            # On a flight each post has its own plate in plan.
            "" if railing.level else (railing.spec.mark, post.name),
            railing.spec.side,
            post.spec.kind,
            post.owned,
            post.through,
            post.spec.place,
            face.end,
            *face.parts,
            round(post.top_slope, _SAME_DIGITS),
            *(
                (
                    mount.word,
                    *(
                        round(size, _SAME_DIGITS)
                        for size in (
                            mount.height_mm,
                            mount.width_mm,
                            mount.deep_mm,
                            *mount.across_mm,
                        )
                    ),
                )
                for mount in face.mounts
            ),
            *(round(height, _SAME_DIGITS) for height in heights),
            *(round(bore.over_underside_mm, _SAME_DIGITS) for bore in face.bores),
        )

    return _together(faces, shape, lambda shown: shown[0][1].mark)


def _together(
    pieces: Sequence[_Piece], shape: Callable[[_Piece], Hashable], name: Callable[[_Piece], str]
) -> tuple[Alike[_Piece], ...]:
    groups: dict[Hashable, list[_Piece]] = {}
    for piece in pieces:
        groups.setdefault(shape(piece), []).append(piece)
    return tuple(
        Alike(first, tuple(name(piece) for piece in rest)) for first, *rest in groups.values()
    )
