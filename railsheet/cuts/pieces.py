"""Every piece that goes under the saw, with its mark."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.cuts.on_bar import OnBar, place_on_bar, place_together
from railsheet.job.kit import RailPlace
from railsheet.job.model import Place, Side
from railsheet.layout.infill.door import supply_of
from railsheet.layout.infill.parts import InfillPiece
from railsheet.layout.notice import Notice, stop
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay, Rail, Railing, Return

_RAIL_LETTERS = {RailPlace.TOP: "TR", RailPlace.BOTTOM: "BR"}
_RETURN_LETTERS = {End.UPHILL: "UR", End.DOWNHILL: "DR"}


@dataclass(frozen=True)
class RailPiece:
    """A rail to cut, or what goes on from one.

    Attributes:
        mark: its mark.
        bay: its bay's number.
        on_bar: its place on the bar.
        beyond: what it is of its bay's top rail's end; None where it is a rail of the bay itself.
    """

    mark: str
    bay: int
    rail: Rail
    on_bar: OnBar
    beyond: Return | None = None

    @property
    def words(self) -> str:
        """What it is in its bay."""
        rail = f"{self.rail.place.value} rail"
        return rail if self.beyond is None else f"{rail}, {self.beyond.word}"

    def end_word(self, end: End) -> str:
        """One of its ends in a word."""
        return end.value if self.beyond is None else self.beyond.words_of(end)

    def left_face(self, side: Side) -> str:
        """Its left face going up the run, which lies toward one with its uphill end at the left.

        Args:
            side: the run's.
        """
        if self.beyond is not None:
            return self.beyond.left_face
        # Standing on the steps and facing a rail on the left going up, uphill is to the right:
        # with uphill at the left one looks at its outer face.
        return "outer face" if side is Side.LEFT else "walking-side face"


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
    rails += tuple(
        RailPiece(
            return_mark(mark, bay, each),
            bay.number,
            each.rail,
            place_on_bar(each.rail, 0.0),
            each,
        )
        for bay in railing.bays
        for each in bay.returns
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


def return_mark(run: str, bay: Bay, piece: Return) -> str:
    """The mark of what goes on from a bay's top rail, in the run of a mark."""
    return f"{run}{bay.number}-{_RETURN_LETTERS[piece.end]}"


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
