"""A picture of parts as lines: what is visible of their edges, flat, seen from one way."""

from __future__ import annotations

from dataclasses import dataclass

FlatPoint = tuple[float, float]


@dataclass(frozen=True)
class ViewLine:
    """One visible edge, or what is visible of it.

    Attributes:
        kind: the part's kind, as `PartKind` has its value.
        points: x to the right and y up in the picture, mm of the real thing, foreshortened.
    """

    kind: str
    points: tuple[FlatPoint, ...]


@dataclass(frozen=True)
class SeenPost:
    """A post in a picture.

    Attributes:
        mark: its piece mark.
        foot, top: the middles of its foot and of its top, as `ViewLine.points`.
    """

    mark: str
    foot: FlatPoint
    top: FlatPoint


@dataclass(frozen=True)
class PartsInView:
    """What stands together, seen from one way.

    Attributes:
        title: what it is: ``Run A``.
        lines: sorted, each once.
        posts: by mark.
        missing: bays whose infill the solids lack, whole or in part, in words.
    """

    title: str
    lines: tuple[ViewLine, ...]
    posts: tuple[SeenPost, ...] = ()
    missing: tuple[str, ...] = ()


# What of a job stands together where no reading ties the rest to it in plan: runs, then handrails.
JobInView = tuple[PartsInView, ...]
