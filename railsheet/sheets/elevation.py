"""The elevation of one flight: what stands where, dimensioned for setting out."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import face_key, post_key
from railsheet.layout.notice import Weight
from railsheet.layout.notices import ground_words
from railsheet.layout.post import Post
from railsheet.layout.railing import Bay
from railsheet.sheets.dimensions import TEXT_GAP_MM
from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.flight_part import FlightPart, whole_flight
from railsheet.sheets.heights import heights_at_noses
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.panel import Line
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, RunningMark
from railsheet.sheets.profile import nose_word
from railsheet.sheets.schedule import FlightWork, RunWork

# How far under the flight the figures along it begin.
_ALONG_MM = 4.0


def dimension_part(pen: Pen, work: FlightWork, part: FlightPart) -> None:
    """Dimension a part of a flight; no figure of it stands on another part's sheet."""
    at = work.mark
    for bay, (low, high) in zip(part.bays, pairwise(part.posts), strict=True):
        _level_row(pen, part, bay, (low, high), at)
    # After the row of gaps: a height's ground covers the extension line it stands on.
    heights_at_noses(pen, part.railing, at, part.noses)
    _posts(pen, part, at)
    _noses(pen, part, at)
    _rake(pen, part, at)
    for post in part.posts[1:-1]:
        _line_post_name(pen, post)


def _level_row(pen: Pen, part: FlightPart, bay: Bay, between: tuple[Post, Post], at: str) -> None:
    """A bay's clear distance, its gaps, and one spacing."""
    low, high = between
    line, key = bay.line, f"{at}.bay.{bay.number}"
    start, stop = bay.downhill_face_mm, bay.uphill_face_mm
    crown = part.railing.crown_z_mm
    pen.dim(
        (start, low.surface_z_mm),
        (stop, high.surface_z_mm),
        (start, part.reach.bottom - pen.paper(_clear_depth_mm(pen, part, at))),
        LEVEL,
        f"{key}.clear",
        note="clear",
    )
    row = bay.infill.row
    if row is None:
        return
    first, last = row.centres_mm[0] - row.width_mm / 2, row.centres_mm[-1] + row.width_mm / 2
    pen.dim(
        (start, crown(low)),
        (first, line.z_at(first)),
        (first, _over_heights(pen, part, bay, low)),
        LEVEL,
        f"{key}.gap",
        note="gap",
        outside="start",
    )
    pen.dim(
        (last, line.z_at(last)),
        (stop, crown(high)),
        (last, crown(high) + pen.paper(10 if high.through else 5)),
        LEVEL,
        f"{key}.gap",
        note="gap",
        # Past a line post the rail goes on and would lie under the figure.
        outside="start" if high.through else "end",
    )
    if len(row.centres_mm) < 2:
        return
    middle = len(row.centres_mm) // 2
    before, after = row.centres_mm[middle - 1], row.centres_mm[middle]
    pen.dim(
        (before, line.z_at(before)),
        (after, line.z_at(after)),
        (before, line.z_at(after) + pen.paper(17)),
        LEVEL,
        f"{key}.spacing",
        note="centres",
        outside="start",
    )


def _clear_depth_mm(pen: Pen, part: FlightPart, at: str) -> float:
    """How far under the flight the clear distances stand: below the longest figure along it."""
    texts = [pen.book.text(f"{at}.nose.{number}.s") for number, _ in part.noses]
    longest = max((text_width_mm(text, FIGURE_MM) for text in texts), default=0.0)
    return max(25.0, _ALONG_MM + longest + FIGURE_MM + 3 * TEXT_GAP_MM)


def _over_heights(pen: Pen, part: FlightPart, bay: Bay, low: Post) -> float:
    """A level over the bottom post that clears the heights written at the noses beside it."""
    # Over a line post stands the gap of the bay below it already.
    over = 16 if low.through else 8
    levels = [part.railing.crown_z_mm(low) + pen.paper(over), 0.0]
    for _, nose in part.noses:
        from_face = nose.s_mm - bay.downhill_face_mm
        if 0 < from_face < pen.paper(14):
            # A height right at the face stands in the gap's own words: they go over it.
            lift = 24 if from_face < pen.paper(4) else 14
            levels.append(bay.line.z_at(nose.s_mm) + pen.paper(lift))
    return max(levels)


def _posts(pen: Pen, part: FlightPart, at: str) -> None:
    kit = part.railing.kit
    for post, outward in ((part.posts[0], -1), (part.posts[-1], 1)):
        outer = post.centre_s_mm + outward * kit.plate.along_mm / 2
        datum = (outer, post.surface_z_mm)
        # At a match line the noses' heights stand in the same row; elsewhere past the last nose.
        noses = _nose_heights(part, at) if outward > 0 and not part.last else ()
        marks = _post_heights(part, post, outward, at)
        pen.running(datum, marks, outward * pen.paper(9), "y", noses)
        _post_name(pen, post, post.centre_s_mm + outward * kit.post.width_mm / 2, outward)


def _post_heights(
    part: FlightPart, post: Post, outward: int, at: str
) -> tuple[RunningMark, RunningMark, RunningMark]:
    face = part.face(post)
    of_face = face_key(at, post, face)
    edge = post.centre_s_mm + outward * part.railing.kit.post.width_mm / 2
    return (
        RunningMark((edge, face.underside_z_mm), f"{of_face}.underside"),
        RunningMark((edge, face.rail_top_z_mm), f"{of_face}.rail_top"),
        RunningMark((edge, post.top_z_mm), f"{post_key(at, post)}.height"),
    )


def _nose_heights(part: FlightPart, at: str) -> tuple[RunningMark, ...]:
    return tuple(
        RunningMark((nose.s_mm, nose.z_mm), f"{at}.nose.{number}.z") for number, nose in part.noses
    )


def _post_name(pen: Pen, post: Post, edge: float, outward: int) -> None:
    name = post.words
    at = (edge + outward * pen.paper(2.5), (post.underside_z_mm + post.rail_top_z_mm) / 2)
    pen.note(name, at, rotation_rad=PLUMB, align=MTextEntityAlignment.MIDDLE_CENTER, height_mm=2.5)


def _line_post_name(pen: Pen, post: Post) -> None:
    """A line post's name under its tread: beside it there is no room between the balusters."""
    pen.note(
        post.words,
        (post.centre_s_mm, post.surface_z_mm - pen.paper(4)),
        align=MTextEntityAlignment.TOP_CENTER,
        mask=True,
    )


def _noses(pen: Pen, part: FlightPart, at: str) -> None:
    """Each nose from the datum, nose 1 on the bottom surface, along below and up at the right."""
    reach = part.reach
    datum = (part.railing.stair.nose(1).s_mm, 0.0)
    along = [
        RunningMark((nose.s_mm, nose.z_mm), f"{at}.nose.{number}.s") for number, nose in part.noses
    ]
    pen.running(datum, along, reach.bottom - pen.paper(_ALONG_MM), "x")
    post = () if part.last else _post_heights(part, part.posts[-1], 1, at)
    pen.running((0.0, 0.0), _nose_heights(part, at), reach.right + pen.paper(10), "y", post)


def _rake(pen: Pen, part: FlightPart, at: str) -> None:
    """The rake, on a piece of the rail's line drawn beside the uphill post."""
    line, high = part.railing.line, part.posts[-1]
    s = high.centre_s_mm + part.railing.kit.post.width_mm / 2 + pen.paper(10)
    leg = pen.paper(20)
    # Midway up the post, between the figures of the bottom rail and those of the cut.
    face = part.face(high)
    middle = (face.underside_z_mm + face.rail_top_z_mm) / 2
    vertex = (s, middle - leg * line.slope / 2)
    level, raked = (s + leg, vertex[1]), (s + leg, vertex[1] + leg * line.slope)
    pen.line(vertex, level, "DIM")
    pen.line(vertex, raked, "DIM")
    pen.angle(vertex, level, raked, pen.paper(13), f"{at}.rake")


def attention(work: RunWork, book: FigureBook) -> tuple[Line, ...]:
    """What must be settled, then what is worth knowing."""
    if not work.notices:
        return ()
    lines = [Line("Attention", heading=True)]
    for notice in work.notices:
        stops = notice.weight is Weight.STOP
        words = notice.text(book.tape)
        sentence = words[0].upper() + words[1:] + "."
        lines.append(
            Line(f"STOP: {sentence}" if stops else sentence, layer="FINDING" if stops else "TEXT")
        )
    return tuple(lines)


def key_figures(
    work: FlightWork, book: FigureBook, part: FlightPart | None = None
) -> tuple[Line, ...]:
    """The figures to set out by, of a part or of the whole flight."""
    at, railing = work.mark, work.railing
    part = part or whole_flight(railing)

    def say(key: str) -> str:
        return book.text(f"{at}.{key}")

    def within(key: str) -> str:
        return book.text_within(f"{at}.{key}")

    lines = [
        Line("Set out by", heading=True),
        Line(f"Rake {within('rake')}"),
        *gap_lines(at, book),
        Line(
            f"{say('rail_height_wanted')} wanted over the noses; by {railing.spec.rail_rule.value} "
            f"within {say('deviation')}"
        ),
        Line(f"{say('section_height')} rails over all, plumb"),
    ]
    for bay in part.bays:
        lines += bay_lines(bay, f"{at}.bay.{bay.number}", book)
    for post in part.posts:
        where = "back from" if post.spec.surface == 0 else "from"
        face = "downhill face" if post.through else "face"
        lines.append(
            Line(
                f"{post.title}: {face} {within(f'post.{post.key}.from_nose')} {where} "
                f"{nose_word(post)}"
            )
        )
        if post.slide_mm is not None:
            down, up = (say(f"post.{post.key}.slide_{way}") for way in ("downhill", "uphill"))
            lines.append(Line(f"{post.title} may slide {up} uphill, {down} downhill"))
    return tuple(lines)


def gap_lines(at: str, book: FigureBook) -> Iterator[Line]:
    """The allowed gap at a post, for infill that has one."""
    least, most = f"{at}.gap_least", f"{at}.gap_most"
    if least not in book:
        return
    if book.value(least):
        yield Line(f"Gap at a post: allowed {book.text(least)} to {book.text(most)}")
    else:
        yield Line(f"Openings, the posts' gaps among them: allowed {book.text(most)}")


def bay_lines(bay: Bay, key: str, book: FigureBook) -> Iterator[Line]:
    """One bay's figures to set out by."""
    noun = bay.infill.noun
    words = f"Bay {bay.number}: {book.text_within(f'{key}.clear')} clear"
    if bay.infill.row is not None:
        count, gap = book.text(f"{key}.balusters"), book.text_within(f"{key}.gap")
        words += f", {count} {noun}s, gaps {gap}"
    elif bay.infill.count > 1:
        words += f", {book.text(f'{key}.members')} {noun}s"
    yield Line(words)
    for fact in bay.infill.facts:
        if fact.shown:
            yield Line(f"{fact.words} {book.text(f'{key}.{fact.name}')}")


def window_lines(work: FlightWork, book: FigureBook) -> list[Line]:
    """The post window: where the free post's face may stand."""
    freedom, post = work.railing.freedom, work.railing.free_post
    if freedom is None or post is None:
        return []
    if work.railing.bays[0].infill.row is None:
        # Infill that is cut to any distance leaves the post free wherever its plate may stand.
        return []
    at, noun = work.mark, work.railing.bays[0].infill.noun
    lines = [Line(f"Post window: face of the {post.words}", heading=True)]
    if freedom.chosen is not None:
        up = book.text(f"{at}.window.slide_uphill")
        down = book.text(f"{at}.window.slide_downhill")
        lines.append(Line(f"As drawn (solid band) it may slide {up} uphill, {down} downhill"))
    for window in freedom.near_windows:
        key = f"{at}.window.{window.balusters}"
        used = ", used" if window == freedom.chosen else ""
        count = f"{window.balusters} {noun}s"
        if window.clipped is not None:
            words = f"{book.text(f'{key}.from')} to {book.text(f'{key}.to')} from {nose_word(post)}"
        elif book.value(f"{key}.gaps_from") < 0:
            words = f"no place on {ground_words(post)}"
        else:
            words = (
                f"no place on {ground_words(post)}; its gaps want "
                f"{book.text(f'{key}.gaps_from')} to {book.text(f'{key}.gaps_to')}"
            )
        lines.append(Line(f"{count}: {words}{used}"))
    return lines
