"""A whole job as one stock plan: every piece cut from a bar, from which one, in which order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from railsheet.cuts.alike_bars import AlikeBars, CutBar, alike_bars, numbered
from railsheet.cuts.drops import drops_after, name_remainders
from railsheet.cuts.fill_stock import (
    fill_lengths,
    fill_piece,
    fill_profiles,
    fill_section,
    from_lengths,
)
from railsheet.cuts.pieces import FillPiece, RailPiece
from railsheet.cuts.rail_stock import (
    cutting_piece,
    pitch_of,
    rail_lengths,
    rail_places,
    rail_section,
)
from railsheet.cuts.rules_of_thumb import ByRule, by_rules
from railsheet.cuts.saw_order import SawOrder, saw_order
from railsheet.cuts.stock_model import (
    CuttingList,
    Drop,
    Saw,
    Section,
    StockInputError,
)
from railsheet.cuts.stock_plan import plan_stock
from railsheet.cuts.stock_result import Laid, SectionPlan, StockPlan
from railsheet.errors import BadInput
from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.notice import Notice, stop
from railsheet.tolerance import SAME_MM

if TYPE_CHECKING:
    from railsheet.cuts.handrail_cuts import ExtraStock

STOCK_EFFORT = 1.0
"""How hard a plan is sought where nobody says; small jobs are proven with far less."""


@dataclass(frozen=True)
class Rack:
    """The drops on hand, and the file that lists them."""

    file: str
    drops: tuple[Drop, ...]


NO_RACK = Rack("", ())


@dataclass(frozen=True)
class SectionCuts:
    """One profile's plan.

    Attributes:
        plan: which piece from which bar, and how good that is known to be.
        order: the same in cutting order.
        bars: the bars in that order, numbered through the job.
        by_rule: what cutting by rule of thumb would take.
        punched_down: whether its bars lie punched face down; None where they are not punched.
        faces_alike: whether front and back look the same.
        spared: whether bars are bought over the count, at the kit's spare rate.
    """

    plan: SectionPlan
    order: SawOrder
    bars: tuple[CutBar, ...]
    by_rule: tuple[ByRule, ...]
    punched_down: bool | None
    faces_alike: bool
    spared: bool = False

    @property
    def alike(self) -> tuple[AlikeBars, ...]:
        """The bars, neighbours that are cut alike together."""
        return alike_bars(self.bars)


@dataclass(frozen=True)
class JobStock:
    """A job's stock plan.

    Attributes:
        sections: those with something to cut.
        drops_after: the rack once all of it is cut.
        untouched: drops of the rack that are not cut.
    """

    saw: Saw
    sections: tuple[SectionCuts, ...]
    drops_after: tuple[Drop, ...]
    untouched: tuple[Drop, ...]

    @property
    def placed(self) -> dict[str, tuple[CutBar, Laid]]:
        """Each piece's bar and place on it, by its mark; of alike pieces, the last one's."""
        return {
            piece.mark: (bar, piece)
            for section in self.sections
            for bar in section.bars
            for piece in bar.pieces
        }

    @property
    def cut(self) -> Counter[str]:
        """How many pieces of each mark are cut from bars."""
        return Counter(
            piece.mark for section in self.sections for bar in section.bars for piece in bar.pieces
        )

    def bars_of(self, mark: str) -> tuple[CutBar, ...]:
        """The bars that pieces of one mark are cut from, in cutting order."""
        return tuple(
            bar
            for section in self.sections
            for bar in section.bars
            if any(piece.mark == mark for piece in bar.pieces)
        )

    @property
    def uncut(self) -> frozenset[str]:
        """The marks of pieces that no bar takes."""
        return frozenset(u.mark for section in self.sections for u in section.plan.uncut)

    def notices(
        self, pieces: Iterable[RailPiece], fills: Iterable[FillPiece] = ()
    ) -> tuple[Notice, ...]:
        """A notice for each of these pieces that no bar takes once trims and holes are allowed for.

        Those longer than every bar are told of by the layout and `cut_pieces` already.
        """
        rails = tuple(
            stop(
                "rail stock",
                f"{piece.mark}, {{length}} long, fits no bar once trims and holes are allowed "
                "for; the longest is {longest}: this flight needs a post between",
                length=piece.rail.length_mm,
                longest=piece.rail.kit.stock_mm[-1],
            )
            for piece in pieces
            if piece.mark in self.uncut and piece.on_bar.stock_mm is not None
        )
        filled = tuple(
            stop(
                f"{fill.piece.group} stock",
                f"{fill.mark}, {fill.piece.name}, {{length}} long, fits no bar once both ends are "
                "trimmed; the longest is {longest}",
                length=fill.piece.length_mm,
                longest=fill.piece.stock_mm[-1],
            )
            for fill in fills
            if fill.mark in self.uncut and fill.piece.length_mm <= fill.piece.stock_mm[-1] + SAME_MM
        )
        return rails + filled


def plan_job(
    job: Job,
    work: Sequence[tuple[FlightSpec, Sequence[RailPiece]]],
    rack: Rack = NO_RACK,
    effort: float = STOCK_EFFORT,
    fills: Iterable[FillPiece] = (),
    extra: Sequence[ExtraStock] = (),
) -> JobStock:
    """Plan the cutting of a job's rails, of what fills its bays, and of its handrails.

    A bar is cut with every rail lying as its sheet draws it, unless turning some of them saves
    something: pieces that all lie alike are harder to mistake, and the saw stays at its angle.

    Args:
        work: each flight with the rails to cut from bars.
        rack: drops on hand; those of other profiles and finishes are left alone.
        effort: as in `plan_stock`.
        fills: what fills the bays; what is not cut from bars is left alone.
        extra: pieces with sections and bars of their own.

    Raises:
        BadInput: two parts of one name are not one section, or a drop cannot be what it says.
    """
    kit = job.kit
    saw = Saw(job.saw.kerf_mm, job.saw.end_trim_mm, job.saw.keep_mm)
    places = rail_places(kit, work)
    lies = {kit.rail(place).name: place for place in places}
    filling = from_lengths(fills)
    profiles = fill_profiles(kit, filling, lies)
    sections = (
        *(rail_section(kit, kit.rail(place)) for place in places),
        *(fill_section(kit, piece) for piece in profiles),
        *(each.section for each in extra),
    )
    drops = _usable(rack, sections)
    cutting = CuttingList(
        sections=sections,
        pieces=(
            *(
                cutting_piece(
                    spec, piece, kit, punched_down=lies[piece.rail.kit.name] is RailPlace.TOP
                )
                for spec, pieces in work
                for piece in pieces
            ),
            *(fill_piece(kit, fill) for fill in filling),
            *(piece for each in extra for piece in each.pieces),
        ),
        lengths=(
            *(length for place in places for length in rail_lengths(kit, kit.rail(place))),
            *(length for piece in profiles for length in fill_lengths(kit, piece)),
            *(length for each in extra for length in each.lengths),
        ),
        drops=drops,
        saw=saw,
    )
    try:
        plan = _marked(_plan(cutting, effort), {fill.mark for fill in filling})
        rules = [by_rules(cutting, section) for section in sections]
    except StockInputError as error:
        raise BadInput(job.file, "the pieces to cut", "", str(error)) from None
    lying = (
        *(_lying(kit, place) for place in places),
        *(_Lying(None, True, piece.spared) for piece in profiles),
        *(_Lying(None, True, False) for _ in extra),
    )
    return _in_order(lying, plan, rules, saw, rack)


def _plan(cutting: CuttingList, effort: float) -> StockPlan:
    """The plan that lays all pieces alike, section by section, where no other cuts for less."""
    free = plan_stock(cutting, effort / 2)
    alike = replace(cutting, pieces=tuple(replace(p, may=p.may[:1]) for p in cutting.pieces))
    straight = plan_stock(alike, effort / 2)
    chosen = []
    for one, other in zip(straight.sections, free.sections, strict=True):
        if (len(one.uncut), one.cost) <= (len(other.uncut), other.cost):
            # What bounds every plan bounds this one.
            better = len(one.uncut) == len(other.uncut)
            best = replace(one, bound=other.bound) if better else one
        else:
            best = other
        chosen.append(replace(best, by_clock=one.by_clock or other.by_clock))
    return StockPlan(tuple(chosen))


def _marked(plan: StockPlan, alike: Collection[str]) -> StockPlan:
    """A plan whose alike pieces all carry their one mark, as they are labelled."""

    def mark(name: str) -> str:
        base, _, _ = name.rpartition("/")
        return base if base in alike else name

    return StockPlan(
        tuple(
            replace(
                section,
                bars=tuple(
                    replace(bar, pieces=tuple(replace(p, mark=mark(p.mark)) for p in bar.pieces))
                    for bar in section.bars
                ),
                uncut=tuple(replace(u, mark=mark(u.mark)) for u in section.uncut),
            )
            for section in plan.sections
        )
    )


@dataclass(frozen=True)
class _Lying:
    """How a section's bars lie, as `SectionCuts` has it, and whether more are bought."""

    punched_down: bool | None
    faces_alike: bool
    spared: bool


def _lying(kit: Kit, place: RailPlace) -> _Lying:
    rail = kit.rail(place)
    down = None if pitch_of(kit, rail) is None else place is RailPlace.TOP
    return _Lying(down, rail.faces_alike, False)


def _usable(rack: Rack, sections: tuple[Section, ...]) -> tuple[Drop, ...]:
    known = {(section.profile, section.finish): section for section in sections}
    usable = []
    for drop in rack.drops:
        section = known.get((drop.profile, drop.finish))
        if section is None:
            continue
        place = f"drop {drop.mark} > first_hole"
        if section.pitch_mm is not None and drop.first_hole_mm is None:
            raise BadInput(rack.file, place, "", f"missing; {drop.profile} is punched")
        if section.pitch_mm is None and drop.first_hole_mm is not None:
            raise BadInput(rack.file, place, "", f"{drop.profile} is not punched: leave it out")
        usable.append(drop)
    return tuple(usable)


def _in_order(
    lying: Sequence[_Lying],
    plan: StockPlan,
    rules: Sequence[tuple[ByRule, ...]],
    saw: Saw,
    rack: Rack,
) -> JobStock:
    named = name_remainders(rack.drops, plan)
    cut: list[SectionCuts] = []
    number = 0
    for lies, section, by_rule in zip(lying, plan.sections, rules, strict=True):
        order = saw_order(section, saw)
        bars: list[CutBar] = []
        for cuts in order.bars:
            number += 1
            # Two sections may hold bars that look alike, so a bar is known by itself.
            drop = next((drop for bar, drop in named if bar is cuts.bar), None)
            bars.append(CutBar(number, cuts, drop))
        cut.append(
            SectionCuts(
                section,
                order,
                numbered(bars),
                by_rule,
                lies.punched_down,
                lies.faces_alike,
                lies.spared,
            )
        )
    sources = {bar.source for section in plan.sections for bar in section.bars}
    return JobStock(
        saw=saw,
        sections=tuple(cut),
        drops_after=drops_after(rack.drops, plan),
        untouched=tuple(drop for drop in rack.drops if drop not in sources),
    )
