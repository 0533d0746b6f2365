"""How the reuse gap is worded on the screen: what stands out first, each row with its sentence."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from consumables.screens.record_words import Page
from consumables.screens.widgets.rows import Column, Row, Word
from consumables.words import counted

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.reports.gap_chances import GapRow, ReuseGap
    from consumables.reports.gap_counts import CountRow
    from consumables.reports.reuse_gap import Answer

# What g goes through, the list it is shown in, and its heading.
WAYS = ("service", "item", "technician", "card", "count")
LIST_OF = {"card": "left-out", "count": "counted"}
HEADINGS = {"card": "GAP, SHORT CARDS", "count": "GAP, COUNTS"}
ROWS = (
    Column("state", 15),
    Column("cards of", stretch=True),
    Column("short", 10, right=True),
    Column("0 to 20 %, 95 % sure", 20, from_width=70),
    Column("between", 20, from_width=104),
    Column("by slips", 12, from_width=120),
)
LEFT_OUT = (
    Column("state", 8),
    Column("when", 12, from_width=50),
    Column("item", stretch=True),
    Column("service", 22, from_width=90),
    Column("who", 4, from_width=56),
)
COUNTED = (
    Column("state", 18),
    Column("item", stretch=True),
    Column("more", 5, right=True),
    Column("fewer", 5, right=True, from_width=50),
    Column("counts", 6, right=True, from_width=60),
)
TONES = {
    "look into it": "bad",
    "more: look into it": "bad",
    "above the rest": "act",
    "more found": "act",
    "fewer found": "wait",
    "too few to tell": "wait",
    "nothing missing": "good",
    "as the ledger says": "good",
}


def gap_page(desk: Desk, gap: ReuseGap, way: str, days: int) -> Page:
    """One way of looking at the gap, and each of its rows in full by its key."""
    return replace(_page(desk, gap, way), line=_line(gap, way, days))


def _page(desk: Desk, gap: ReuseGap, way: str) -> Page:
    if way == "card":
        rows = [_card_row(desk, at, found) for at, found in enumerate(gap.missing)]
        words = {str(at): _card_words(desk, found) for at, found in enumerate(gap.missing)}
        return Page(rows[::-1], words)
    if way == "count":
        rows = [_count_row(desk, found) for found in gap.counts]
        return Page(rows, {found.item_id: _count_words(desk, gap, found) for found in gap.counts})
    found_rows = gap.by(way)
    return Page(
        [_row(desk, row) for row in found_rows],
        {row.name: _row_words(desk, gap, row) for row in found_rows},
    )


def _line(gap: ReuseGap, way: str, days: int) -> str:
    heading = HEADINGS.get(way, f"GAP BY {way.upper()}")
    cards = counted(gap.whole.cards, "card")
    whole = f"{gap.whole.short} of {cards} short, {gap.whole.state}"
    return f"{heading}: the last {days} days, {whole}"


def _row(desk: Desk, row: GapRow) -> Row:
    from consumables.reports.gap_words import one_in, percent

    return Row(
        row.name,
        (
            Word(row.state, TONES.get(row.state, "")),
            _name(desk, row),
            f"{row.short} of {row.cards}",
            _picture(row),
            f"{percent(row.low)} - {percent(row.high)}",
            one_in(row.by_slips) if row.short else "-",
        ),
    )


def _picture(row: GapRow) -> str:
    """The share of short cards as a dot on its bounds, one sign for each per cent up to twenty."""
    low, seen, high = (min(19, int(100 * x)) for x in (row.low, row.short / row.cards, row.high))
    signs = ["─" if low <= at <= high else "·" for at in range(20)]
    signs[seen] = "●"
    if row.high >= 0.2:
        signs[19] = "›" if seen < 19 else "●"
    return "".join(signs)


def _row_words(desk: Desk, gap: ReuseGap, row: GapRow) -> str:
    from consumables.reports.gap_words import row_sentence

    units = f"least asked: {row.asked}   drawn: {row.drawn}   flagged: {row.flagged}"
    return f"{row_sentence(row, gap, _name(desk, row))}\n{units}"


def _name(desk: Desk, row: GapRow) -> str:
    known = {"service": desk.service_name, "item": desk.name_of}
    return known[row.by](row.name) if row.by in known else row.name


def _card_row(desk: Desk, at: int, found: Answer) -> Row:
    return Row(
        str(at),
        (
            Word("missing", "act"),
            f"{found.at:%d %b %H:%M}",
            desk.name_of(found.item_id),
            desk.service_name(found.service_id),
            found.technician,
        ),
    )


def _card_words(desk: Desk, found: Answer) -> str:
    return (
        f"{found.at:%a %d %b %Y %H:%M}  {desk.service_name(found.service_id)}: no fresh "
        f"{desk.name_of(found.item_id)} on the card\n"
        f"visit: {found.visit_id}   served: {found.technician}\n"
        "Not used, not written down, or something used twice: a count of the item helps to tell."
    )


def _count_row(desk: Desk, found: CountRow) -> Row:
    return Row(
        found.item_id,
        (
            Word(found.state, TONES.get(found.state, "")),
            desk.name_of(found.item_id),
            str(found.surplus),
            str(found.shortage),
            str(found.counts),
        ),
    )


def _count_words(desk: Desk, gap: ReuseGap, found: CountRow) -> str:
    from consumables.reports.gap_words import TELL_TALE, count_sentence

    told = count_sentence(found, gap, desk.name_of(found.item_id))
    return f"{told}\n{TELL_TALE}" if found.surplus else told
