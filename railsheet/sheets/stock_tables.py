"""The stock plan in tables: bars to cut, cutting order, what it saves, what to buy."""

from __future__ import annotations

from collections.abc import Sequence

from railsheet.cuts.alike_bars import AlikeBars
from railsheet.cuts.job_stock import JobStock, SectionCuts
from railsheet.cuts.purchase import Purchase
from railsheet.cuts.saw_order import Cut
from railsheet.figures.book import FigureBook
from railsheet.figures.stock import RULE_KEYS, bar_key, cut_key, proof_text, section_key
from railsheet.sheets.tables import TextTable
from railsheet.units.length import Unit


def _unit(book: FigureBook) -> str:
    return "" if book.tape.unit is Unit.INCH else " (mm)"


def buying_table(lines: Sequence[Purchase], book: FigureBook) -> TextTable:
    """Everything to buy for the whole job; the same rows go into parts.csv."""
    rows = []
    for number, line in enumerate(lines, start=1):
        key = f"buy.{number}"
        packs = ""
        if line.pack is not None:
            packs = f"{book.text(f'{key}.packs')} of {book.text(f'{key}.pack')}"
        rows.append(
            (
                line.group,
                line.item,
                book.text(f"{key}.length") if line.length_mm is not None else "",
                book.text(f"{key}.needed"),
                book.text(f"{key}.buy"),
                packs,
            )
        )
    return TextTable(
        title="To buy for the whole job",
        headers=("Kind", "Part", f"Length{_unit(book)}", "Needed", "To buy", "Packs"),
        rows=tuple(rows),
        right=frozenset({2, 3, 4, 5}),
        shares=(13, 49, 11, 8, 8, 11),
    )


def saving_table(stock: JobStock, book: FigureBook) -> tuple[TextTable, ...]:
    """The plan against cutting by rule of thumb, in bars and in length; none with nothing cut."""
    if not stock.sections:
        return ()
    rows = []
    for number, section in enumerate(stock.sections, start=1):
        key = section_key(number)
        name = section.plan.section.profile
        plan = f"the plan: {proof_text(book, number, section)}"
        rows.append((name, plan, book.text(f"{key}.bars"), book.text(f"{key}.bought")))
        for rule in section.by_rule:
            at = f"{key}.{RULE_KEYS[rule.rule]}"
            words = rule.rule.value
            if rule.uncut:
                words += f"; on no bar: {book.text(f'{at}.uncut')}"
            rows.append(("", words, book.text(f"{at}.bars"), book.text(f"{at}.bought")))
    return (
        TextTable(
            title="The stock plan against rules of thumb",
            headers=("Profile", "Cut by", "Bars to buy", f"End to end{_unit(book)}"),
            rows=tuple(rows),
            right=frozenset({2, 3}),
            shares=(34, 38, 12, 16),
        ),
    )


def order_of_cuts(stock: JobStock, book: FigureBook) -> tuple[TextTable, ...]:
    """Every cut in order, profile by profile; the same rows go into saw.csv."""
    tables = []
    for section in stock.sections:
        rows = []
        for bars in section.alike:
            rows += [_cut_row(bars, cut, book) for cut in bars.first.cuts.cuts]
        tables.append(
            TextTable(
                title=f"Cuts in order: {section.plan.section.profile}",
                headers=(
                    "Cut",
                    "Bar",
                    "Saw, off square",
                    f"From bar's left{_unit(book)}",
                    "Frees",
                    "Starts",
                    "Look",
                ),
                rows=tuple(rows),
                right=frozenset({0, 1, 2, 3}),
                shares=(6, 6, 12, 13, 13, 13, 37),
            )
        )
    return tuple(tables)


def _cut_row(bars: AlikeBars, cut: Cut, book: FigureBook) -> tuple[str, ...]:
    key = cut_key(bars.first, cut.number)
    return (
        f"{cut.number}",
        bars.numbers,
        # Never beside a bare number, with which a fraction could be read as one figure.
        f"{book.text(f'{key}.saw')}{_way(cut)}{_bevel_words(bars, cut, book)}",
        book.text(f"{key}.at"),
        cut.ends or "",
        cut.starts or "",
        "; ".join(cut_remarks(bars, cut, book)),
    )


def _way(cut: Cut) -> str:
    if not cut.lean_rad:
        return ""
    return " right" if cut.lean_rad > 0 else " left"


def _bevel_words(bars: AlikeBars, cut: Cut, book: FigureBook) -> str:
    """A compound cut's bevel, and which face its long point lies on; nothing for other cuts."""
    if not cut.bevel_rad:
        return ""
    where = "up" if cut.bevel_rad > 0 else "on the table"
    return f", bevel {book.text(f'{cut_key(bars.first, cut.number)}.bevel')}, long point {where}"


def cut_words(bars: AlikeBars, cut: Cut, book: FigureBook, *, square: bool) -> str:
    """A cut's number and setting, as they stand beside its distance on the drawing.

    ``square``: every cut of the bar is, and its heading says so.
    """
    if square:
        return f"cut {cut.number}"
    return f"cut {cut.number}, {book.text(f'{cut_key(bars.first, cut.number)}.saw')}{_way(cut)}"


def cut_remarks(bars: AlikeBars, cut: Cut, book: FigureBook, *, leaving: bool = True) -> list[str]:
    """What to look to at a cut: the saw set anew, a piece to tape, a thin slice, the bar's end.

    ``leaving``: whether what the last cut leaves is among them.
    """
    key = cut_key(bars.first, cut.number)
    remarks = []
    if cut.swings:
        words = "swing the saw to the other side" if cut.mirrors else "set the saw"
        bevel = _bevel_words(bars, cut, book)
        remarks.append(f"{words}: {book.text(f'{key}.saw')}{_way(cut)}{bevel}")
    elif cut.bevel_rad:
        remarks.append(f"compound{_bevel_words(bars, cut, book)}")
    if cut.check_mm is not None:
        remarks.append(f"check: {cut.ends} tapes {book.text(f'{key}.check')}")
    if cut.skims:
        remarks.append("a slice thinner than two blades: feed slowly")
    if leaving and cut is bars.first.cuts.cuts[-1]:
        remarks.append(f"leaves {drop_words(bars, book)}")
    return remarks


def drop_words(bars: AlikeBars, book: FigureBook) -> str:
    """What is left of a bar: a named drop, or scrap."""
    left = book.text(f"{bar_key(bars.first)}.left")
    return f"{left}, keep as {bars.drops}" if bars.drops else f"{left}, scrap"


def section_words(number: int, section: SectionCuts, book: FigureBook) -> str:
    """A section's plan in a line."""
    plan = section.plan
    words = f"{plan.section.profile}, {plan.section.finish}: {proof_text(book, number, section)}"
    if section.punched_down is not None:
        words += f"; bars lie punched face {'down' if section.punched_down else 'up'}"
    if not section.faces_alike:
        words += ", walking side toward you"
    return words


def mirror_words(section: SectionCuts) -> str:
    """Pairs that are one another's mirror image; empty where there are none.

    Where front and back look the same, a piece laid the other way about is no other piece.
    """
    laid = {piece.mark: piece.attitude for bar in section.bars for piece in bar.pieces}
    pairs = [
        f"{a} and {b}"
        for a, b in section.order.mirrored
        if not (section.faces_alike and laid[a].mirrors_angles != laid[b].mirrors_angles)
    ]
    return f"Mirrored pairs, do not mix: {', '.join(pairs)}" if pairs else ""
