"""The one door to every kind of rail end: a new kind is a module, and a case here."""

from __future__ import annotations

from railsheet.errors import BadInput
from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_bracket import BracketKit
from railsheet.job.kit_ends import ButtKit, CopedKit, EndKit, HousedKit, OverKit
from railsheet.job.model import PostKind
from railsheet.layout.ends.kind import EndKind, EndPlace
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import RailEnd
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Return


def _kind(end: EndKit) -> EndKind:
    """The kind that a kit's own end is of; only that kind's module is loaded."""
    match end:
        case BracketKit():
            from railsheet.layout.ends.bracket import BRACKET as KIND
        case ButtKit():
            from railsheet.layout.ends.butt import BUTT as KIND
        case HousedKit():
            from railsheet.layout.ends.housed import HOUSED as KIND
        case OverKit():
            from railsheet.layout.ends.over import OVER as KIND
        case CopedKit():
            from railsheet.layout.ends.coped import COPED as KIND
    return KIND


def kind_at(at: EndPlace) -> EndKind:
    """The kind of end that a rail has at a place: the kit's own, its plate on a wall, its return.

    Raises:
        BadInput: the rail comes to a wall, where its own end cannot be: there is no post to lie
            on, to be let into or coped to; or it is to return to a wall, and the kit has no way.
    """
    end = at.kit.end(at.place)
    if at.post is PostKind.WALL:
        if at.kit.wall_plate is not None:
            from railsheet.layout.ends.wall_plate import WALL_PLATE

            return WALL_PLATE
        if isinstance(end, HousedKit | OverKit | CopedKit):
            words = "a plate for rails that come to a wall: there is no post to lie on or fit"
            raise BadInput(at.kit.file, "wall_plate", "", words)
    if at.wall is not None and at.place is RailPlace.TOP:
        if at.kit.top_return is None:
            words = "missing; a post of the job asks for the top rail's return to a wall"
            raise BadInput(at.kit.file, "top_return", "", words)
        from railsheet.layout.ends.returned import RETURNED

        return RETURNED
    return _kind(end)


def rail_end(at: EndPlace) -> RailEnd:
    """The end of a rail at a place."""
    return kind_at(at).end(at)


def piece_beyond(at: EndPlace) -> Return | None:
    """The piece that goes on from a rail's end; None where it has none."""
    return kind_at(at).beyond(at)


def end_mount(at: EndPlace) -> Mount | None:
    """The mark that a rail's end asks for on its post's face."""
    return kind_at(at).mount(at)


def topped(kit: Kit, line: RailLine, post: Post) -> Post:
    """A post with its top cut as the kit's top rail asks."""
    return _kind(kit.top_end).top(kit, line, post)


def turns(kit: Kit, place: RailPlace) -> bool:
    """Whether a kit's rail can be cut to a post's face turned in plan off square to it."""
    return _kind(kit.end(place)).turns


def end_parts(at: EndPlace) -> tuple[Part, ...]:
    """What must be bought for a rail's end."""
    return kind_at(at).parts(at)
