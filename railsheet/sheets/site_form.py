"""The measuring form of a flight: what each letter is, boxes to write in, what to look at."""

from __future__ import annotations

import math

from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import SMALL_MM, new_document
from railsheet.sheets.form_paper import Box, FormPage, boxes_high_mm, rows_in, start_page
from railsheet.sheets.paper import Paper, Rect, sheet_layouts

# The drawn flight: four risers, whatever the real one has. mm of paper.
_RISE, _RUN, _STEPS = 18.0, 26.0, 4
_OVERHANG, _THICK = 3.0, 3.0

_LEGEND = (
    "R  each riser, plumb, from the lower surface up to the upper one; R 1 starts at the bottom.",
    "T  each run, level, from the front of one nose to the front of the next.",
    "H  total rise *, plumb, bottom surface to deck.   L  total run *, level, nose 1 to last nose.",
    "U  running total up * from the bottom surface to each nose: hold once, read often.",
    "A  running total along * from nose 1 to each further nose.",
    "S  nose to nose along the slope.   D  a diagonal over several steps *, as D 1-4.",
    "P  degrees from level of a straightedge on two noses, as P 1-4.",
    "Z  from a level line (laser, water level) down to a surface or nose; name the line, as wall.",
    "N  how far each nose stands out over the riser below.   K  tread thickness at its nose.",
    "W  width of the steps.   G  how far a slab lies below the bottom surface.",
    "E  nose to the post's face that the rail meets.   I  step's side edge to the base plate.",
    "V  height of a post that stands already, from what it stands on.",
)
_LOOK = (
    "Post landing: is there solid ground under each base plate, flat and as large as the plate?",
    "What is under the deck where the top post lands: joist, blocking, concrete, nothing?",
    "Can a fastener be reached, and what lies under it: pipe, cable, membrane, heating?",
    "Obstructions along the rail: wall, downpipe, light, door or gate swing, planting.",
    "The same step on the other side: does it read the same, or does the stair lean?",
    "Is every tread level, front to back and side to side?",
    "Which code governs here, and what does the authority having jurisdiction ask?",
    "Both ends of the tape read from the same mark; hook and its play seen to.",
    "A photograph from the side, square to the run, with the tape in it.",
)


def site_form(paper: Paper, risers: int) -> tuple[Paperspace, ...]:
    """The form's sheets for a flight of so many risers, on upright paper."""
    doc = new_document("mm", 1.0)
    frame = paper.frame
    tall = frame.top - frame.bottom - 22.0
    per_page = rows_in(tall - 8.0)
    tables = math.ceil((risers + 1) / per_page)
    of = tables + 2
    title = f"Measuring form: a flight of {risers} risers"
    _letters(start_page(doc, paper, "Letters", title, 1, of))
    for part in range(tables):
        page = start_page(doc, paper, f"Steps {part + 1}", f"{title}: the steps", part + 2, of)
        _steps(page, risers, part * per_page, min((part + 1) * per_page, risers + 1))
    _rest(start_page(doc, paper, "Posts", f"{title}: totals, posts, looking", of, of), risers)
    return sheet_layouts(doc)


def _letters(page: FormPage) -> None:
    room = page.room
    y = room.top
    middle = room.centre[0] + 3.0
    for left, right in (
        ("name", "place"),
        ("date", "measured_by"),
        ("units", "read_to, on the tape"),
    ):
        for words, start, end in ((left, room.left, middle - 6.0), (right, middle, room.right)):
            page.text(words, (start - 1.6, y - 3.0), height_mm=SMALL_MM)
            page.line((start + 32.0, y - 4.5), (end, y - 4.5), "TEXT")
        y -= 6.5
    _elevation(page, room.left + 62.0, room.bottom + 102.0)
    _plan(page, room.left + 30.0, room.bottom + 49.0)
    bottom = room.bottom + 42.0
    page.text("* worth taking: it checks others", (room.right, bottom), where="left", bold=True)
    y = bottom - 2.0
    for words in _LEGEND:
        page.text(words, (room.left - 1.6, y - 1.5), height_mm=SMALL_MM)
        y -= 3.5


def _nose(x0: float, y0: float, number: int) -> tuple[float, float]:
    return x0 + (number - 1) * _RUN, y0 + number * _RISE


def _elevation(page: FormPage, x0: float, y0: float) -> None:
    noses = [_nose(x0, y0, i) for i in range(1, _STEPS + 1)]
    outline = [(x0 - 44.0, y0)]
    for x, y in noses:
        outline += [
            (x + _OVERHANG, outline[-1][1]),
            (x + _OVERHANG, y - _THICK),
            (x, y - _THICK),
            (x, y),
        ]
    outline.append((noses[-1][0] + 46.0, noses[-1][1]))
    page.outline(outline, close=False)
    page.text("bottom surface", (x0 - 44.0, y0 + 2.2), height_mm=SMALL_MM)
    for number, (x, y) in enumerate(noses, start=1):
        page.text(f"nose {number}", (x + 1.0, y - _THICK - 3.5), height_mm=SMALL_MM)
        page.span((x - 6.0, y - _RISE), (x - 6.0, y), f"R {number}", "left")
        page.line((x - 7.5, y), (x, y))
        page.line((x, y0), (x, y0 - 16.5 if number in (1, _STEPS) else y0 - 8.5), "HIDDEN")
        if number < _STEPS:
            far = noses[number]
            page.span((x, far[1] + 4.0), (far[0], far[1] + 4.0), f"T {number}", "above")
            page.line((x, y), (x, far[1] + 5.5))
    _totals(page, x0, y0, noses)
    _slanted(page, noses)
    _level_line(page, x0, y0, noses)
    _posts(page, x0, y0, noses)
    _nosing(page, x0 + 66.0, y0 + 8.0)


def _totals(page: FormPage, x0: float, y0: float, noses: list[tuple[float, float]]) -> None:
    first, third, last = noses[0], noses[2], noses[-1]
    page.span((x0 - 24.0, y0), (x0 - 24.0, third[1]), "U 3 *", "left")
    page.line((x0 - 25.5, third[1]), third, "HIDDEN")
    page.span((first[0], y0 - 7.0), (third[0], y0 - 7.0), "A 3 *")
    page.span((first[0], y0 - 15.0), (last[0], y0 - 15.0), "L *")
    right = last[0] + 40.0
    page.span((right, y0), (right, last[1]), "H *", "right")
    page.line((last[0] + 8.0, y0), (right + 1.5, y0), "HIDDEN")


def _slanted(page: FormPage, noses: list[tuple[float, float]]) -> None:
    rake = math.atan2(_RISE, _RUN)
    up = -math.sin(rake), math.cos(rake)

    def off(point: tuple[float, float], by: float) -> tuple[float, float]:
        return point[0] + by * up[0], point[1] + by * up[1]

    first, last = noses[0], noses[-1]
    start, end = off(first, 34.0), off(last, 34.0)
    page.line(first, off(first, 35.5), "HIDDEN")
    page.line(last, off(last, 35.5), "HIDDEN")
    page.span(start, end, "D 1-4 *")
    low, high = off(noses[2], 21.0), off(noses[3], 21.0)
    page.line(noses[2], off(noses[2], 22.5), "HIDDEN")
    page.span(low, high, "S 3")
    corner = off(first, 28.0)
    page.line(corner, off(noses[1], 28.0), "CENTRE")
    page.line(corner, (corner[0] + 13.0, corner[1]), "CENTRE")
    page.text("P 1-4", (corner[0] + 7.0, corner[1]), where="below", bold=True)


def _level_line(page: FormPage, x0: float, y0: float, noses: list[tuple[float, float]]) -> None:
    level = noses[-1][1] + 40.0
    page.line((x0 - 40.0, level), (noses[-1][0] + 34.0, level), "CENTRE")
    page.text("level line: a laser, a water level", (x0 - 40.0, level + 2.5), height_mm=SMALL_MM)
    page.span((x0 - 36.0, y0), (x0 - 36.0, level), "Z 0", "left")
    x, y = noses[-1]
    page.span((x + 3.0, y), (x + 3.0, level), "Z 4", "right")


def _posts(page: FormPage, x0: float, y0: float, noses: list[tuple[float, float]]) -> None:
    x, y = noses[-1]
    face = x + 15.0
    page.rect(Rect(face - 3.0, y, face + 8.0, y + 1.2))
    page.rect(Rect(face, y + 1.2, face + 5.0, y + 34.0))
    page.span((x, y + 5.0), (face, y + 5.0), "E", "on")
    page.line((x, y), (x, y + 6.5))
    page.span((face + 12.0, y), (face + 12.0, y + 34.0), "V", "right")
    page.line((face + 5.0, y + 34.0), (face + 13.5, y + 34.0))
    slab = y0 - 9.0
    page.outline([(x0 - 44.0, y0), (x0 - 44.0, slab), (x0 - 58.0, slab)], close=False)
    page.span((x0 - 50.0, slab), (x0 - 50.0, y0), "G", "left")
    page.line((x0 - 51.5, y0), (x0 - 44.0, y0))
    page.text("slab", (x0 - 58.0, slab - 2.0), height_mm=SMALL_MM)


def _nosing(page: FormPage, x: float, y: float) -> None:
    """A nose, drawn larger."""
    page.outline(
        [(x + 8, y), (x + 8, y + 14), (x, y + 14), (x, y + 22), (x + 34, y + 22)],
        close=False,
    )
    page.outline([(x + 8, y + 14), (x + 34, y + 14)], "HIDDEN", close=False)
    page.span((x, y + 9), (x + 8, y + 9), "N", "below")
    page.line((x, y + 14), (x, y + 7.5))
    page.span((x + 20, y + 14), (x + 20, y + 22), "K", "right")
    page.text("a nose, larger", (x + 9.0, y + 1.5), height_mm=SMALL_MM)


def _plan(page: FormPage, x: float, y: float) -> None:
    """A step from above, its side edge at the top."""
    step = Rect(x, y, x + 90.0, y + 24.0)
    page.rect(step, "STAIR")
    page.text("nose", (x, y + 12.0), where="left", height_mm=SMALL_MM)
    page.text("a step from above; uphill to the right", (x, y - 2.2), height_mm=SMALL_MM)
    page.text("side edge where the rail stands", (x + 50.0, y + 26.0), height_mm=SMALL_MM)
    plate = Rect(x + 24.0, y + 6.5, x + 34.0, y + 16.5)
    page.rect(plate)
    page.rect(Rect(x + 26.5, y + 9.0, x + 31.5, y + 14.0))
    page.span((x + 29.0, plate.top), (x + 29.0, step.top), "I", "right")
    page.span((x, y + 3.5), (x + 31.5, y + 3.5), "E")
    page.line((x + 31.5, y + 2.0), (x + 31.5, y + 9.0))
    page.span((x + 97.0, step.bottom), (x + 97.0, step.top), "W", "right")
    for level in (step.bottom, step.top):
        page.line((step.right, level), (x + 98.5, level))


def _steps(page: FormPage, risers: int, first: int, last: int) -> None:
    heads = (
        "R riser up to it",
        "U running up *",
        "T run on to the next",
        "A running along *",
        "S slope to the next",
        "Z below line",
        "N nosing",
    )
    rows: list[list[str | None]] = []
    for nose in range(first, last):
        if nose == 0:
            rows.append([None, None, None, None, None, "Z 0", None])
            continue
        onward = nose < risers
        rows.append(
            [
                f"R {nose}",
                f"U {nose}" if nose > 1 else None,
                f"T {nose}" if onward else None,
                f"A {nose}" if nose > 1 else None,
                f"S {nose}" if onward else None,
                f"Z {nose}",
                f"N {nose}",
            ]
        )
    end = page.grid(heads, rows, page.room.left, page.room.top)
    page.paragraph(
        "One row for each nose, from the bottom up. R and T alone lay a flight out, and then "
        'nothing checks them. A box left empty is "" in the job file. N is 0 where a nose is '
        "flush; one reading of it lays out, but only one at each nose shows how they vary. Z "
        "stands there by the name of its line: a letter, then letters or digits, such as wall. "
        "Name of this line:",
        page.room.left,
        end - 2.0,
        page.room.size[0],
        SMALL_MM,
    )


def _rest(page: FormPage, risers: int) -> None:
    room = page.room
    half = (room.size[0] - 6.0) / 2
    right = room.left + half + 6.0
    steps = (
        Box("H", "total rise", worth=True),
        Box("L", "total run", worth=True),
        Box(f"D 1-{risers}", "diagonal, nose to nose", worth=True),
        Box(f"P 1-{risers}", "degrees from level"),
        Box("K", "tread thickness"),
        Box("W", "width of the steps"),
        Box("open_risers", "see through: true or false"),
        Box("side", "rail going up: left or right"),
        Box("rail_height", "wanted over the noses"),
        Box("band", "least and most height"),
    )
    bottom = (
        Box("stands_on", "landing, slab, tread 1, ..."),
        Box("place", "free, set or standing"),
        Box("E", "nose to its uphill face"),
        Box("I", "side edge to its plate"),
        Box("G", "slab below bottom surface"),
        Box("V", "height, if it stands already"),
    )
    top = (
        Box("stands_on", "deck, or a tread"),
        Box("place", "free, set or standing"),
        Box("E", "nose to its downhill face"),
        Box("I", "side edge to its plate"),
        Box("V", "height, if it stands already"),
    )
    site = (
        Box("edge", "open or wall, on the rail's side"),
        Box("D", "greatest drop beside the steps"),
        Box("B", "drop beside the bottom surface"),
    )
    y = page.heading("The flight", room.left, room.top)
    left_end = page.boxes(steps, room.left, y, half)
    y = page.heading("bottom_post", right, room.top)
    y = page.boxes(bottom, right, y, half)
    y = page.heading("top_post", right, y - 2.0)
    y = page.boxes(top, right, y, half)
    y = page.heading("site", right, y - 2.0)
    right_end = page.boxes(site, right, y, half)
    y = min(left_end, right_end) - 3.0
    y = page.heading("Where one reading more is worth its minute *", room.left, y)
    y = page.paragraph(
        "Nothing shows a misread single riser or run but a reading that spans it. Running totals "
        "up and along check every step, and find the wrong one; a total rise and a total run show "
        "that something is wrong; a diagonal ties the two together. Write down what the tape "
        "shows, not what it ought to show.",
        room.left,
        y,
        room.size[0],
        SMALL_MM,
    )
    y = page.heading("Before leaving, look at", room.left, y - 2.0)
    for words in _LOOK:
        page.rect(Rect(room.left, y - 3.2, room.left + 3.0, y - 0.2), "TEXT")
        y = page.paragraph(words, room.left + 6.0, y - 0.4, room.size[0] - 6.0, SMALL_MM) - 1.2
    sketch = Rect(room.left, room.bottom, room.right, y - 6.0)
    if sketch.size[1] > boxes_high_mm(2):
        page.text("Sketch, and what else was seen", (room.left - 1.6, y - 3.0), bold=True)
        page.rect(sketch, "TEXT")
