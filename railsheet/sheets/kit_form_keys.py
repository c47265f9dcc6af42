"""What a kit file's tables ask for, told in the words its form has beside each box."""

from __future__ import annotations

from railsheet.sheets.form_paper import Box, KeyTable

# What fills the bays, by the word a kit file has for it, and how the form's title says it.
FILLS = {
    "punched": "punched rails",
    "drilled": "rails drilled to fit",
    "cut": "balusters cut to fit",
    "panel": "factory panels",
    "cable": "cables",
    "solid": "panes",
}

KIT = KeyTable(
    "[kit]",
    (
        Box("name", "what the system is called on the sheets"),
        Box("source", "of these dimensions"),
        Box("units", "ft-in or mm"),
        Box("finish", "of every rail"),
        Box("spare_rate", "small parts bought over the count, 0.05"),
        Box("order_of_work", "a list, one line a step: overleaf"),
    ),
)
POST = KeyTable(
    "[post]",
    (
        Box("name", "the post with its plate"),
        Box("section", "square or round"),
        Box("width", "side of the post, or across a round one"),
        Box("stock_height", "plate's underside to the top, as supplied"),
        Box("reveal", "how far it is to stand over the top rail"),
    ),
)
PLATE = KeyTable(
    "[plate]",
    (
        Box("along", "along the run"),
        Box("across", "across the step"),
        Box("thickness", "thickness"),
        Box("edge_distance", "least, plate to a nose or edge"),
        Box("back_clearance", "least, plate to the riser behind"),
        Box("fasteners", "how many to a plate"),
        Box("fastener", "as its maker or the engineer says"),
        Box("hole", "each one", within=("along", "across", "size")),
    ),
)
COVER = KeyTable(
    "[cover]",
    (
        Box("name", "plate cover"),
        Box("height", "its height"),
        Box("cap", "the post's cap"),
    ),
)
# What stands in it is named by the parts, so it has lines to write on and no keys.
PACK = "[pack]"

_BAR = Box("stock", "each length, or", within=("length", "price"))
_ALIKE = Box("faces_alike", "true where front and back look the same")
_BALUSTER_WORDS = {
    "punched": ("the baluster", "as supplied"),
    "drilled": ("the baluster", "as supplied"),
    "cut": ("the baluster's stock", "of one stock length, before it is cut"),
    "panel": ("the picket", "of one picket"),
}
_SEAT = {
    "punched": "punched face to the stop a baluster stands on",
    "drilled": "drilled face to the stop a baluster stands on",
    "cut": "the plough's depth; 0 for a plain rail",
    "panel": "0: pickets are pinned at the rail's axis",
    "cable": "0: nothing stands in the rail",
    "solid": "the groove's depth",
}
_HOLES = KeyTable(
    "[holes]",
    (
        Box("pitch", "both rails, centre to centre: measure ten, divide"),
        Box("size", "opening along the rail"),
    ),
)
_OPENING = Box("greatest_opening", "clear; at a post too")
_OVER_ALL = Box("over_all", "over both rails, plumb")
_FILLET = KeyTable(
    "[infill.fillet]",
    (
        Box("name", "none: leave the table out"),
        Box("thickness", "square to the rail"),
        Box("stock", "the lengths supplied, all of them"),
    ),
)
_INFILL = {
    "drilled": (Box("hole", "drilled, along the rail"), _OPENING),
    "cut": (Box("ends", "square or raked"), _OVER_ALL, _OPENING),
    "panel": (
        Box("panel", "the panel in words"),
        Box("axes_apart", "along a picket, rail's axis to rail's axis"),
        Box("greatest_rack", "degrees, the steepest it racks to"),
    ),
    "cable": (
        Box("name", "the cable or rod"),
        Box("diameter", "across it"),
        Box("bore", "the hole through a post that it passes"),
        Box("tension", "least kept in each, newtons"),
        Box("push", "newtons that press the sphere"),
        Box("sphere", "the one that must not pass"),
        Box("fitting", "the end fitting, two to a cable"),
        Box("brace", "what holds them apart between posts"),
        Box("brace_width", "of one, along the run"),
        Box("greatest_free", "clear of posts and braces, along it"),
        _OVER_ALL,
    ),
    "solid": (
        Box("name", "the pane, as its maker says"),
        Box("thickness", "of the pane"),
        Box("side_clearance", "level, post's face to the pane's edge"),
        Box("bite_top", "into the top rail, square to it"),
        Box("bite_bottom", "into the bottom rail, square to it"),
        Box("greatest_side", "longest edge it can be bought with"),
        _OVER_ALL,
    ),
}
_GAP = Box("end_gap", "post to next baluster:", within=("least", "most"))
_LIMITS = (
    Box("greatest_span", "clear between posts, as the maker says"),
    Box("least_bay", "clear, of a bay beside full panels"),
    Box("greatest_rake", "degrees, as the maker says"),
    Box("fit_tolerance", "how far a fitted part may be off"),
)


def punched_bar(fills: str) -> bool:
    """Whether the rails come with holes in them."""
    return fills in ("punched", "panel")


def rail_table(rail: str, fills: str) -> KeyTable:
    """``top_rail`` or ``bottom_rail``."""
    boxes = [
        Box("name", "the rail, and the face toward its infill"),
        Box("depth", "upright size, square to the rail"),
        Box("width", "size across"),
        Box("seat", _SEAT[fills]),
        _BAR,
        _ALIKE,
    ]
    if punched_bar(fills):
        boxes.insert(4, Box("first_hole", "bar's end to its first hole's centre"))
    return KeyTable(f"[{rail}]", tuple(boxes))


def infill_tables(fills: str) -> tuple[KeyTable, ...]:
    """What fills a bay: the infill with its kind, fillet, holes and baluster, where it has them."""
    kind = Box("kind", f'"{fills}"')
    tables = [KeyTable("[infill]", (kind, *_INFILL.get(fills, ())))]
    if fills == "cut":
        tables.append(_FILLET)
    if punched_bar(fills):
        tables.append(_HOLES)
    if fills in _BALUSTER_WORDS:
        name, length = _BALUSTER_WORDS[fills]
        boxes = (
            Box("name", name),
            Box("width", "its side, or across a round one"),
            Box("length", length),
            Box("least_seat", "least its shallow corner stands in a rail"),
        )
        tables.append(KeyTable("[baluster]", boxes))
    return tuple(tables)


def limits_table(fills: str) -> KeyTable:
    """What the maker allows."""
    return KeyTable("[limits]", (_GAP, *_LIMITS) if punched_bar(fills) else _LIMITS)
