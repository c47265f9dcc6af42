"""A site's posts and level runs, as the job file gives them."""

from __future__ import annotations

import math
import re
from itertools import combinations

from railsheet.errors import BadInput
from railsheet.job.model import (
    BEARING_SIGMA_RAD,
    Bays,
    Diagonal,
    LevelSpec,
    PlanPost,
    PostKind,
    Side,
)
from railsheet.job.site import read_level_site
from railsheet.job.source import Table
from railsheet.job.wall_return import read_wall_return
from railsheet.units.length import MM_PER_INCH

_PLACE_MM = 400_000.0
_LENGTH_MM = (12 * MM_PER_INCH, _PLACE_MM)
_HEIGHT_MM = (20 * MM_PER_INCH, 60 * MM_PER_INCH)
_FLOOR_MM = (0.0, 2000 * MM_PER_INCH)
_EDGE_MM = (0.0, 24 * MM_PER_INCH)
_THICK_MM = (0.25 * MM_PER_INCH, 24 * MM_PER_INCH)
_STANDING_MM = (12 * MM_PER_INCH, 120 * MM_PER_INCH)
POST_MARK = re.compile(r"[A-Z][A-Z0-9]{0,4}")
RUN_MARK = re.compile(r"[A-Z][A-Z0-9]{0,3}")


def read_posts(root: Table) -> tuple[PlanPost, ...]:
    """The ``[[post]]`` tables, by mark.

    Raises:
        BadInput: a post named twice, or anything misspelt or out of range.
    """
    posts = [_post(t) for t in root.tables("post", "[[post]]")] if root.has("post") else []
    for (one, first), (other, second) in combinations(enumerate(posts, start=1), 2):
        if first.mark == second.mark:
            places = ", with two places" if first.at_mm != second.at_mm else ""
            allowed = f"named by [[post]] {one} and {other}{places}: once is enough"
            raise BadInput(root.file, "post > mark", first.mark, allowed)
    return tuple(sorted(posts, key=lambda post: post.mark))


def _post(table: Table) -> PlanPost:
    kind = PostKind(table.choice("kind", [k.value for k in PostKind], PostKind.POST.value))
    at = table.lengths("at", "x, then y", 0.0, _PLACE_MM) if table.has("at") else None
    if at is not None and len(at) != 2:
        raise table.bad("at", "two lengths from the site's datum: x, then y")
    height = table.length_or_none("V", *_STANDING_MM)
    if height is None and kind is PostKind.EXISTING:
        raise table.bad("V", "missing; an existing post needs its height over its surface")
    if height is not None and kind is not PostKind.EXISTING:
        raise table.bad("V", "only an existing post has a height already")
    if table.has("return") and kind not in (PostKind.POST, PostKind.EXISTING):
        raise table.bad("return", "only past a post: a rail that ends at the wall needs none", "")
    post = PlanPost(
        read_mark(table, "mark", POST_MARK),
        kind,
        None if at is None else (at[0], at[1]),
        height,
        read_wall_return(table),
    )
    table.done()
    return post


def read_mark(table: Table, key: str, pattern: re.Pattern[str]) -> str:
    """A post's or a run's mark.

    Raises:
        BadInput: it is missing or not a mark.
    """
    written = table.text(key, "a mark: a capital letter, then capitals or digits")
    if not pattern.fullmatch(written):
        raise table.bad(key, "a capital letter, then a few capitals or digits")
    return written


def read_floor(table: Table) -> float | None:
    """The key ``F``: a run's floor over the site's datum, mm; None where it is not stated."""
    return table.length_or_none("F", *_FLOOR_MM)


def read_bearing(table: Table) -> float | None:
    """A run's way in plan, rad; None where it is not given."""
    if not table.has("bearing"):
        return None
    return math.radians(
        table.number("bearing", -360, 360, "degrees counter-clockwise from the site's x")
    )


def read_bearing_sigma(root: Table) -> float:
    """What a bearing is good to, rad: ``[plan] bearings_good_to``, degrees, where it is given."""
    if not root.has("plan"):
        return BEARING_SIGMA_RAD
    table = root.table("plan")
    degrees = table.number("bearings_good_to", 0.001, 10.0, "degrees, one standard deviation")
    table.done()
    return math.radians(degrees)


def read_diagonals(root: Table) -> tuple[Diagonal, ...]:
    """The ``[[diagonal]]`` tables, by their posts.

    Raises:
        BadInput: anything missing, misspelt or out of range, or one diagonal given twice.
    """
    if not root.has("diagonal"):
        return ()
    found: dict[tuple[str, str], Diagonal] = {}
    for table in root.tables("diagonal", "[[diagonal]] for each check between two posts"):
        start, end = read_mark(table, "from", POST_MARK), read_mark(table, "to", POST_MARK)
        if start == end:
            raise table.bad("to", "a diagonal goes from one post to another")
        between = min(start, end), max(start, end)
        if between in found:
            raise table.bad("to", f"the diagonal between {start} and {end} is given twice")
        found[between] = Diagonal(*between, table.length("D", *_LENGTH_MM))
        table.done()
    return tuple(found[between] for between in sorted(found))


def read_levels(root: Table) -> tuple[LevelSpec, ...]:
    """The ``[[level]]`` tables, by mark.

    Raises:
        BadInput: anything that is missing, misspelt or out of range.
    """
    if not root.has("level"):
        return ()
    levels = [_level(t) for t in root.tables("level", "[[level]] for each level run")]
    return tuple(sorted(levels, key=lambda level: level.mark))


def _bays(table: Table) -> Bays:
    if table.choice("bays", ("equal", "full panels"), "equal") == "equal":
        if table.has("made_up"):
            raise table.bad("made_up", 'only beside bays = "full panels"')
        return Bays.EQUAL
    at = table.choice("made_up", ("start", "end"), "end")
    return Bays.FULL_AT_START if at == "end" else Bays.FULL_AT_END


def _level(table: Table) -> LevelSpec:
    level = LevelSpec(
        mark=read_mark(table, "mark", RUN_MARK),
        side=Side(table.choice("side", [s.value for s in Side])),
        rail_height_mm=table.length("rail_height", *_HEIGHT_MM),
        start=read_mark(table, "from", POST_MARK),
        end=read_mark(table, "to", POST_MARK),
        length_mm=table.length_or_none("L", *_LENGTH_MM),
        bearing_rad=read_bearing(table),
        floor_mm=read_floor(table),
        in_from_side_mm=table.length_or_none("I", *_EDGE_MM),
        thickness_mm=table.length("K", *_THICK_MM),
        site=read_level_site(table),
        bays=_bays(table),
    )
    table.done()
    if level.start == level.end:
        raise table.bad("to", "a run goes from one post to another")
    return level
