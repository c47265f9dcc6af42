"""One limit of a code, and the situation that decides whether it applies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from railsheet.checks.amount import Kind
from railsheet.checks.judge import Sense


class Quantity(Enum):
    """What a limit is a limit on. The checks measure exactly these."""

    RISER_HEIGHT = "riser_height"
    RISER_VARIATION = "riser_variation"
    TREAD_DEPTH = "tread_depth"
    TREAD_VARIATION = "tread_variation"
    NOSING_PROJECTION = "nosing_projection"
    NOSING_VARIATION = "nosing_variation"
    TWICE_RISER_PLUS_TREAD = "twice_riser_plus_tread"
    PITCH = "pitch"
    OPEN_RISER_OPENING = "open_riser_opening"
    OPEN_RISER_OVERLAP = "open_riser_overlap"
    STAIR_WIDTH = "stair_width"
    HANDRAILS = "handrails"
    HANDRAIL_HEIGHT = "handrail_height"
    HANDRAIL_CLEARANCE = "handrail_clearance"
    HANDRAIL_PROJECTION = "handrail_projection"
    HANDRAIL_CLEAR_BELOW = "handrail_clear_below"
    HANDRAIL_RETURN_GAP = "handrail_return_gap"
    HANDRAIL_REACH_TOP = "handrail_reach_top"
    HANDRAIL_REACH_BOTTOM = "handrail_reach_bottom"
    HANDRAIL_REACH_TOP_NOSING = "handrail_reach_top_nosing"
    HANDRAIL_REACH_BOTTOM_NOSING = "handrail_reach_bottom_nosing"
    HANDRAIL_EXTENSION_TOP = "handrail_extension_top"
    HANDRAIL_EXTENSION_BOTTOM = "handrail_extension_bottom"
    GRIP_DIAMETER = "grip_diameter"
    GRIP_PERIMETER = "grip_perimeter"
    GRIP_SECTION = "grip_section"
    GRIP_RECESS_START = "grip_recess_start"
    GRIP_RECESS_DEPTH = "grip_recess_depth"
    GRIP_RECESS_DEPTH_WITHIN = "grip_recess_depth_within"
    GRIP_RECESS_CONTINUES_TO = "grip_recess_continues_to"
    GRIP_WIDTH_ABOVE_RECESS = "grip_width_above_recess"
    UNGUARDED_DROP = "unguarded_drop"
    GUARD_HEIGHT = "guard_height"
    GUARD_OPENING = "guard_opening"
    TRIANGLE_OPENING = "triangle_opening"
    POST_SPAN = "post_span"
    RAIL_RAKE = "rail_rake"
    PLATE_EDGE = "plate_edge"
    PLATE_BACK = "plate_back"
    RAIL_OVER_NOSE = "rail_over_nose"
    CONCENTRATED_LOAD = "concentrated_load"
    UNIFORM_LOAD = "uniform_load"
    INFILL_LOAD = "infill_load"
    INFILL_PRESSURE = "infill_pressure"

    @property
    def kind(self) -> Kind:
        """What the quantity is an amount of."""
        return _KINDS.get(self, Kind.LENGTH)

    @property
    def words(self) -> str:
        """Its name in words, for a table."""
        return self.value.replace("_", " ")

    @property
    def can_be_nothing(self) -> bool:
        """Whether a bound of nothing makes sense: at least flush, at least over the riser."""
        return self in (
            Quantity.HANDRAIL_REACH_TOP,
            Quantity.HANDRAIL_REACH_BOTTOM,
            Quantity.HANDRAIL_REACH_TOP_NOSING,
            Quantity.HANDRAIL_REACH_BOTTOM_NOSING,
            Quantity.RAIL_OVER_NOSE,
        )


_KINDS: Mapping[Quantity, Kind] = {
    Quantity.PITCH: Kind.ANGLE,
    Quantity.RAIL_RAKE: Kind.ANGLE,
    Quantity.HANDRAILS: Kind.COUNT,
    # The one length a code gives in tread depths.
    Quantity.HANDRAIL_EXTENSION_BOTTOM: Kind.COUNT,
    Quantity.CONCENTRATED_LOAD: Kind.FORCE,
    Quantity.UNIFORM_LOAD: Kind.LINE_LOAD,
    Quantity.INFILL_LOAD: Kind.FORCE,
    Quantity.INFILL_PRESSURE: Kind.PRESSURE,
}


class Place(Enum):
    """Where along a walk a figure was taken."""

    STAIR = "stair"
    FLAT = "flat"


class Edge(Enum):
    """What is beside the walk there."""

    OPEN = "open"
    WALL = "wall"


class Grip(Enum):
    """The section of a handrail, as the codes sort them."""

    ROUND = "round"
    OBLONG = "oblong"
    RECESSED = "recessed"


@dataclass(frozen=True)
class Situation:
    """What is known of the place a figure was taken at; None is not known.

    A fact left None never decides anything quietly: a limit that hangs on it comes back as
    undecided, with the fact's name.

    Attributes:
        place: on a stair, or on a level walk.
        edge: an open edge, or a wall.
        dwelling: within or serving one dwelling.
        outdoors: outside the building.
        serves_as_handrail: the top of the guard is also the handrail.
        open_risers: there are no riser boards.
        grip: the handrail's section.
        drop_mm: greatest drop beside the walk, as the code measures it.
        width_mm: clear width of the stair.
        tread_depth_mm: least tread depth in the flight.
        risers: risers in the flight.
        storeys: storeys of the building above grade.
    """

    place: Place | None = None
    edge: Edge | None = None
    dwelling: bool | None = None
    outdoors: bool | None = None
    serves_as_handrail: bool | None = None
    open_risers: bool | None = None
    grip: Grip | None = None
    drop_mm: float | None = None
    width_mm: float | None = None
    tread_depth_mm: float | None = None
    risers: int | None = None
    storeys: int | None = None


class Test(Enum):
    """How a condition compares the situation's fact with its own value."""

    IS = "is"
    OVER = "over"
    UNDER = "under"
    FROM = "from"
    UP_TO = "up to"


@dataclass(frozen=True)
class ConditionRule:
    """One key that an ``applies`` table may hold.

    Attributes:
        fact: the attribute of ``Situation`` it looks at.
        test: how the two are compared.
        wanted: the type a file writes: an Enum for words, bool, Kind.LENGTH or Kind.COUNT.
        ask: the fact in words, for a sheet that has to say what is missing.
    """

    fact: str
    test: Test
    wanted: type[Enum] | type[bool] | Kind
    ask: str


CONDITION_RULES: Mapping[str, ConditionRule] = {
    "place": ConditionRule("place", Test.IS, Place, "whether this is a stair or a level walk"),
    "side": ConditionRule("edge", Test.IS, Edge, "whether the side is open or a wall"),
    "dwelling": ConditionRule("dwelling", Test.IS, bool, "whether it serves one dwelling"),
    "outdoors": ConditionRule("outdoors", Test.IS, bool, "whether it is outdoors"),
    "serves_as_handrail": ConditionRule(
        "serves_as_handrail", Test.IS, bool, "whether the top of the guard is the handrail"
    ),
    "open_risers": ConditionRule("open_risers", Test.IS, bool, "whether the risers are open"),
    "grip": ConditionRule("grip", Test.IS, Grip, "the handrail's section"),
    "drop_over": ConditionRule("drop_mm", Test.OVER, Kind.LENGTH, "the drop beside the walk"),
    "width_from": ConditionRule("width_mm", Test.FROM, Kind.LENGTH, "the stair's clear width"),
    "width_under": ConditionRule("width_mm", Test.UNDER, Kind.LENGTH, "the stair's clear width"),
    "tread_under": ConditionRule(
        "tread_depth_mm", Test.UNDER, Kind.LENGTH, "the least tread depth"
    ),
    "risers_from": ConditionRule("risers", Test.FROM, Kind.COUNT, "the number of risers"),
    "storeys_to": ConditionRule("storeys", Test.UP_TO, Kind.COUNT, "the storeys above grade"),
}


@dataclass(frozen=True)
class Condition:
    """One entry of an ``applies`` table.

    Attributes:
        key: which rule of ``CONDITION_RULES``.
        value: an Enum member, a bool, a length in mm or a count.
        written: the value as the file has it.
    """

    key: str
    value: Enum | bool | float
    written: str

    @property
    def rule(self) -> ConditionRule:
        """The rule that this entry fills in."""
        return CONDITION_RULES[self.key]

    def holds(self, situation: Situation) -> bool | None:
        """Whether it holds there; None where the situation does not say.

        "More than 30 inches" (``drop_over``) does not hold at exactly 30 in; "less than 11
        inches" (``tread_under``) does not hold at exactly 11 in; a fact within the length tie
        (1e-6 mm) is held to be equal.
        """
        fact = getattr(situation, self.rule.fact)
        if fact is None:
            return None
        test, value = self.rule.test, self.value
        if test is Test.IS:
            return bool(fact == value)
        assert isinstance(value, float)
        tie = Kind.LENGTH.tie if self.rule.wanted is Kind.LENGTH else 0.0
        if test is Test.OVER:
            return bool(fact > value + tie)
        if test is Test.UNDER:
            return bool(fact < value - tie)
        if test is Test.FROM:
            return bool(fact >= value - tie)
        return bool(fact <= value + tie)


@dataclass(frozen=True)
class Bound:
    """One side of a limit.

    Attributes:
        sense: which side is inside.
        value: the limit in the unit its kind has inside (mm, rad, N, N/mm, N/mm^2).
        written: as the code writes it, with its unit.
    """

    sense: Sense
    value: float
    written: str


@dataclass(frozen=True)
class Limit:
    """One limit of a code.

    Attributes:
        key: its name in the profile.
        quantity: what it limits.
        measures: how the code measures it, in words.
        bounds: one bound, or two that make a band.
        clause: where in the code.
        edition: which code and edition the clause is of.
        source: where the figure was read, or would be.
        read: the clause was read there; False is known from memory only, and prints so.
        basis: what was read instead, where ``read`` is False; may be empty.
        exceptions: the clause's exceptions that are not limits of their own here, in words.
        applies: the conditions that must all hold.
        unless: keys of limits that take this one's place where they apply.
        over_mm2: the area an infill load is spread over; None where it acts at a point, and for
            every other limit.
        amended: it was changed or added by a profile that extends another.
    """

    key: str
    quantity: Quantity
    measures: str
    bounds: tuple[Bound, ...]
    clause: str
    edition: str
    source: str
    read: bool
    basis: str
    exceptions: tuple[str, ...]
    applies: tuple[Condition, ...]
    unless: tuple[str, ...]
    over_mm2: float | None
    amended: bool

    @property
    def kind(self) -> Kind:
        """What its figures are amounts of."""
        return self.quantity.kind

    @property
    def text(self) -> str:
        """The limit in words: ``at least 34 in and at most 38 in``."""
        return " and ".join(f"{bound.sense.value} {bound.written}" for bound in self.bounds)
