"""Enter a job's stock plan into the book of figures."""

from __future__ import annotations

from collections.abc import Iterable

from railsheet.cuts.alike_bars import CutBar
from railsheet.cuts.job_stock import JobStock, SectionCuts
from railsheet.cuts.pieces import FillPiece, Pieces, RailPiece
from railsheet.cuts.purchase import Purchase
from railsheet.cuts.rules_of_thumb import Rule
from railsheet.cuts.stock_result import Laid
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import enter_alone, fill_key, rail_key
from railsheet.job.saw import SawSpec
from railsheet.layout.rail_ends import End

RULE_KEYS = {
    Rule.LIST_ORDER: "list_order",
    Rule.FIRST_FIT: "first_fit",
    Rule.BEST_FIT: "best_fit",
}


def section_key(number: int) -> str:
    """Where the figures of a section of the plan stand, counted from 1."""
    return f"stock.{number}"


def bar_key(bar: CutBar) -> str:
    """Where a bar's figures stand."""
    return f"stock.bar.{bar.number}"


def enter_stock(book: FigureBook, stock: JobStock, saw: SawSpec) -> None:
    """Enter the plan: its bars, cuts and drops, and what rules of thumb would take."""
    if not stock.sections:
        return
    book.length("saw.kerf", saw.kerf_mm, "the saw's kerf, square to the cut")
    book.length("saw.end_trim", saw.end_trim_mm, "least off each end of a bar")
    book.length("saw.keep", saw.keep_mm, "shortest drop that is kept")
    for number, section in enumerate(stock.sections, start=1):
        _section(book, section_key(number), section)
        for bars in section.alike:
            _bar(book, bars.first, bars.words)


def _section(book: FigureBook, key: str, section: SectionCuts) -> None:
    plan = section.plan
    name = plan.section.profile
    book.count(f"{key}.bars", plan.bars_bought, f"{name}: bars to buy")
    book.length(f"{key}.bought", plan.length_bought_mm, f"{name}: bars to buy, end to end")
    book.count(f"{key}.uncut", len(plan.uncut), f"{name}: pieces that no bar takes")
    lengths = sorted({bar.cuts.bar.source.length_mm for bar in section.bars if bar.cuts.bar.bought})
    for index, length in enumerate(lengths, start=1):
        count = sum(bar.cuts.bar.bought and _long(bar) == length for bar in section.bars)
        book.length(f"{key}.buy.{index}.length", length, f"{name}: length of a bar to buy")
        book.count(f"{key}.buy.{index}.count", count, f"{name}: bars to buy of that length")
    gap = plan.cost - plan.bound
    if not plan.proven and plan.bar_cost:
        bars = -(-gap // plan.bar_cost)
        book.count(f"{key}.gap", int(bars), f"{name}: bars over the bound, at the most")
    elif not plan.proven and not plan.priced:
        book.length(f"{key}.gap", float(gap), f"{name}: bought length over the bound, at most")
    elif not plan.proven:
        book.statistic(f"{key}.gap", float(gap), f"{name}: price over the bound, at the most")
    for rule in section.by_rule:
        at = f"{key}.{RULE_KEYS[rule.rule]}"
        what = f"{name}, cut by {rule.rule.value}"
        book.count(f"{at}.bars", rule.bars, f"{what}: bars to buy")
        book.length(f"{at}.bought", rule.length_mm, f"{what}: bars to buy, end to end")
        book.count(f"{at}.uncut", rule.uncut, f"{what}: pieces it places on no bar")


def proof_text(book: FigureBook, number: int, section: SectionCuts) -> str:
    """How good a section's plan is known to be, and whether it may come out otherwise elsewhere."""
    words = _proof_words(book, number, section)
    if section.plan.by_clock:
        words += "; stopped by the clock: another run may plan otherwise"
    return words


def _proof_words(book: FigureBook, number: int, section: SectionCuts) -> str:
    plan = section.plan
    if plan.uncut:
        return f"on no bar: {book.text(f'{section_key(number)}.uncut')}"
    if plan.proven:
        return "proven least"
    gap = f"{section_key(number)}.gap"
    if plan.bar_cost:
        bars = "bar" if book.value(gap) == 1 else "bars"
        return f"within {book.text(gap)} {bars} of the bound"
    if plan.priced:
        return f"within {book.text(gap)} in price of the bound"
    return f"within {book.tape.say(book.value(gap))} of bought length of the bound"


def _long(bar: CutBar) -> float:
    return bar.cuts.bar.source.length_mm


def _bar(book: FigureBook, bar: CutBar, name: str) -> None:
    key = bar_key(bar)
    book.length(f"{key}.length", _long(bar), f"{name}: its length")
    for number, piece in enumerate(bar.pieces, start=1):
        at = f"{key}.piece.{number}"
        book.length(f"{at}.length", piece.length_mm, f"{name}: {piece.mark} over all")
        book.length(f"{at}.start", piece.start_mm, f"{name}: {piece.mark} starts, from its left")
    for cut in bar.cuts.cuts:
        at = cut_key(bar, cut.number)
        what = f"{name}, cut {cut.number}"
        book.length(f"{at}.at", cut.at_mm, f"{what}: from the bar's left end")
        book.angle(f"{at}.saw", abs(cut.lean_rad), f"{what}: off square")
        if cut.bevel_rad:
            book.angle(f"{at}.bevel", abs(cut.bevel_rad), f"{what}: the blade's tilt")
        book.length(f"{at}.kerf", cut.kerf_mm, f"{what}: kerf along the bar")
        if cut.check_mm is not None:
            book.length(f"{at}.check", cut.check_mm, f"{what}: the piece freed must tape")
    book.length(f"{key}.left", bar.cuts.leftover.length_mm, f"{name}: what is left of it")


def cut_key(bar: CutBar, number: int) -> str:
    """Where a cut's figures stand; cuts are counted through a section."""
    return f"{bar_key(bar)}.cut.{number}"


def enter_purchases(book: FigureBook, lines: Iterable[Purchase]) -> None:
    """Enter the buying list, line by line."""
    for number, line in enumerate(lines, start=1):
        key = f"buy.{number}"
        book.count(f"{key}.needed", line.needed, f"{line.item}: needed for the whole job")
        book.count(f"{key}.buy", line.buy, f"{line.item}: to buy, spares included")
        if line.length_mm is not None:
            book.length(f"{key}.length", line.length_mm, f"{line.item}: length of one")
        if line.pack is not None and line.packs is not None:
            book.count(f"{key}.pack", line.pack, f"{line.item}: in a pack")
            book.count(f"{key}.packs", line.packs, f"{line.item}: packs to buy")


def enter_places(book: FigureBook, mark: str, pieces: Pieces, stock: JobStock) -> None:
    """Enter where a flight's rails lie on their bars, and what its infill is cut from.

    A rail on no bar, and one that is not cut from bars, has its place on a bar of its own.
    """
    for fill in pieces.fills:
        for number, length in enumerate(fill_lengths_mm(fill, stock), start=1):
            what = f"{fill.mark}: length of a bar or drop it is cut from"
            book.length(f"{fill_key(mark, fill)}.stock.{number}", length, what)
    for piece in pieces.rails:
        key = f"{rail_key(mark, piece)}.bar"
        placed = stock.placed.get(piece.mark)
        if placed is None:
            enter_alone(book, key, piece, held=piece.mark not in stock.uncut)
            continue
        bar, laid = placed
        book.length(f"{key}.stock", _long(bar), f"{piece.mark}: bar or drop to cut it from")
        book.length(f"{key}.from_left", laid.start_mm, f"{piece.mark}: starts, from its bar's left")
        hole = _uphill_hole(piece, bar, laid, stock)
        if hole is not None:
            what = f"{piece.mark}: bar's hole, from its left, that takes the uphill baluster"
            book.count(f"{key}.hole", hole, what)


def fill_lengths_mm(fill: FillPiece, stock: JobStock) -> tuple[float, ...]:
    """The lengths of the bars that alike pieces are cut from, shortest first; none on no bar."""
    return tuple(sorted({_long(bar) for bar in stock.bars_of(fill.mark)}))


def _uphill_hole(piece: RailPiece, bar: CutBar, laid: Laid, stock: JobStock) -> int | None:
    first = bar.cuts.bar.source.first_hole_mm
    section = next(s.plan.section for s in stock.sections if bar in s.bars)
    if section.pitch_mm is None or first is None or not piece.rail.holes:
        return None
    from_uphill = piece.rail.end_hole(End.UPHILL).from_uphill_mm
    uphill_left = laid.attitude.swaps_ends
    at = laid.start_mm + from_uphill if uphill_left else laid.end_mm - from_uphill
    return round((at - first) / section.pitch_mm) + 1


def place_words(book: FigureBook, mark: str, piece: RailPiece, stock: JobStock, noun: str) -> str:
    """Where on which bar a rail lies, in words."""
    key = f"{rail_key(mark, piece)}.bar"
    bar, laid = stock.placed[piece.mark]
    way = "uphill" if laid.attitude.swaps_ends else "downhill"
    words = f"{bar.mark}, {way} end left, starts {book.text(f'{key}.from_left')} from its left"
    if f"{key}.hole" in book:
        words += f"; its hole {book.text(f'{key}.hole')} is the uphill {noun}'s"
    return words
