"""Every piece that goes under the saw, with its mark."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.cuts.on_bar import OnBar, place_on_bar, place_together
from railsheet.job.kit import RailPlace
from railsheet.job.model import Place
from railsheet.layout.infill.door import supply_of
from railsheet.layout.infill.parts import InfillPiece
from railsheet.layout.notice import Notice, stop
from railsheet.layout.railing import Bay, Post, Rail, Railing

_RAIL_LETTERS = {RailPlace.TOP: "TR", RailPlace.BOTTOM: "BR"}


@dataclass(frozen=True)
class RailPiece:
    """A rail to cut: its mark, its bay's number and its place on the bar."""

    mark: str
    bay: int
    rail: Rail
    on_bar: OnBar


@dataclass(frozen=True)
class FillPiece:
    """Alike pieces of a bay's infill to cut: their mark, their bay's number, and what they are."""

    mark: str
    bay: int
    piece: InfillPiece


@dataclass(frozen=True)
class PostPiece:
    """A post to cut, from its plate's underside up.

    Attributes:
        cut_off_mm: what comes off the top; None for a standing post whose height was not read, and
            where there is a wall plate and no post.
    """

    mark: str
    post: Post
    cut_off_mm: float | None

    @property
    def listed(self) -> bool:
        """Whether it is a piece of this run's to cut and to buy."""
        return self.post.made and self.post.owned


@dataclass(frozen=True)
class Pieces:
    """What one flight needs cut, and what the cutting itself calls attention to."""

    rails: tuple[RailPiece, ...]
    fills: tuple[FillPiece, ...]
    posts: tuple[PostPiece, ...]
    notices: tuple[Notice, ...]


def cut_pieces(railing: Railing) -> Pieces:
    """The pieces of one flight: each bay's rails, then the posts, all counted uphill."""
    mark = railing.spec.mark
    rails = tuple(
        RailPiece(
            mark=rail_mark(mark, bay, rail),
            bay=bay.number,
            rail=rail,
            on_bar=on_bar,
        )
        for bay in railing.bays
        for rail, on_bar in zip(bay.rails, _on_bars(railing, bay), strict=True)
    )
    fills = tuple(
        FillPiece(f"{mark}{bay.number}-{piece.suffix}", bay.number, piece)
        for bay in railing.bays
        for piece in bay.infill.pieces
    )
    posts = tuple(
        PostPiece(post_mark(mark, post, number), post, _cut_off(railing, post))
        for number, post in enumerate(railing.posts, start=1)
    )
    notices = tuple(
        stop(
            "rail stock",
            f"{piece.mark} needs {{needs}} of bar; the longest stock is {{longest}}: "
            "this flight needs a post between",
            needs=piece.on_bar.needs_mm,
            longest=piece.rail.kit.stock_mm[-1],
        )
        for piece in rails
        if piece.on_bar.stock_mm is None
    )
    return Pieces(rails, fills, posts, notices)


def rail_mark(run: str, bay: Bay, rail: Rail) -> str:
    """The mark of a bay's rail, in the run of a mark."""
    return f"{run}{bay.number}-{_RAIL_LETTERS[rail.place]}"


def post_mark(run: str, post: Post, number: int) -> str:
    """The mark of a post, counted uphill from 1 in the run of a mark; a shared one has its own."""
    return post.spec.mark or f"{run}-P{number}"


def easing_mark(post: str) -> str:
    """The mark of the easing over a post of a mark."""
    return f"{post}-EZ"


def _on_bars(railing: Railing, bay: Bay) -> tuple[OnBar, ...]:
    supply = supply_of(railing.kit)
    pitch = supply.pitch_mm or 0.0
    if supply.panel:
        return place_together(bay.rails, pitch)
    return tuple(place_on_bar(rail, pitch) for rail in bay.rails)


def _cut_off(railing: Railing, post: Post) -> float | None:
    if not post.made:
        return None
    stands = railing.kit.post.stock_height_mm
    if post.spec.place is Place.STANDING:
        if post.spec.height_mm is None:
            return None
        stands = post.spec.height_mm
    return stands - post.height_mm
