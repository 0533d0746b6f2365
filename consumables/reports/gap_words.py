"""The reuse gap in plain sentences: about cards and counts, never about a person."""

from collections.abc import Callable

from consumables.reports.gap_chances import APART, FULL, LOOK, SLIPS, GapRow, ReuseGap
from consumables.reports.gap_counts import MORE_LOOK, CountRow
from consumables.words import counted

RULE = (
    "Reckoned with today's set-ups and the book in force: of each single-use thing that a service "
    "is set up with, every visit draws at least one anew."
)
TELL_TALE = (
    "More on the shelf than the cards leave is what a thing used twice leaves behind. A delivery "
    "not written down and a card closed for more than was used look the same: rule these out first."
)
_ENDS = {
    SLIPS: "as slips go",
    LOOK: "slips alone hardly do this, look into it",
}
Name = Callable[[str], str]


def whole_sentence(gap: ReuseGap) -> str:
    """The whole period in one sentence."""
    if not gap.whole.cards:
        return "No visit of these days asks for a single-use thing; nothing can be said."
    return _short_cards(gap.whole, gap.slips_one_in)


def row_sentence(row: GapRow, gap: ReuseGap, name: str) -> str:
    """One service, item or technician in a sentence or two."""
    told = [f"{name}: {_short_cards(row, gap.slips_one_in)}"]
    if row.flagged:
        told.append(f"{counted(row.flagged, 'more is', 'more are')} on cards as flagged uses.")
    if row.stood_in:
        told.append(f"For {row.stood_in} another thing of the same kind stood in.")
    return " ".join(told)


def standing_out(gap: ReuseGap, name_of: Name, service_name: Name) -> list[str]:
    """The rows that ask to be looked into, a sentence or two each."""
    names = {"service": service_name, "item": name_of}
    return [
        row_sentence(row, gap, names.get(row.by, str)(row.name))
        for row in gap.rows
        if row.state in (LOOK, APART)
    ]


def paragraph(gap: ReuseGap, name_of: Name, service_name: Name) -> list[str]:
    """All that there is to say of a period, for a record that is read from top to bottom."""
    return [
        f"{counted(gap.served, 'visit')} served. {whole_sentence(gap)}",
        *standing_out(gap, name_of, service_name),
        *count_sentences(gap, name_of),
        RULE,
    ]


def count_sentence(row: CountRow, gap: ReuseGap, name: str) -> str:
    """What the counts of one item say of it."""
    told = []
    if row.surplus:
        told.append(_surplus(row, gap.slips_one_in))
    if row.as_new:
        told.append(f"{row.as_new} of them put on the shelf as new since, on somebody's word.")
    if row.shortage:
        told.append(f"{row.shortage} fewer than the ledger says.")
    if not told:
        told.append(f"{counted(row.counts, 'count')}, as the ledger says.")
    if row.missing:
        told.append(_did_they_leave(row))
    return f"{name}: " + " ".join(told)


def count_sentences(gap: ReuseGap, name_of: Name) -> list[str]:
    """What was counted, the surpluses first, and what should be."""
    told = [count_sentence(row, gap, name_of(row.item_id)) for row in gap.counts]
    if any(row.surplus for row in gap.counts):
        told.append(TELL_TALE)
    seen = {row.item_id for row in gap.counts}
    open_items = dict.fromkeys(a.item_id for a in gap.missing if a.item_id not in seen)
    if open_items:
        names = "; ".join(name_of(item_id) for item_id in open_items)
        told.append(
            f"Not counted in these days: {names}. A count tells whether what the cards left out "
            "has left the shelf."
        )
    if gap.not_counted:
        names = "; ".join(name_of(item_id) for item_id in gap.not_counted)
        told.append(f"Nothing can be said of {names}: its surface is not an item of its own.")
    return told


def percent(share: float) -> str:
    """A share as 20.4 %; what is smaller than a tenth of a per cent says so."""
    return "under 0.1 %" if 0 < share < 0.0005 else f"{100 * share:.1f} %"


def one_in(chance: float) -> str:
    """A chance as 1 in 133; what is no wonder at all says so."""
    if chance > 0.5:
        return "easily"
    return "under 1 in a million" if chance < 1e-6 else f"1 in {1 / chance:.0f}"


def _would_do(what: str, chance: float) -> str:
    if chance > 0.5:
        return f"would easily do {what}"
    return f"would do {what} {_times(chance)}"


def _times(chance: float) -> str:
    return "less than 1 time in a million" if chance < 1e-6 else f"1 time in {1 / chance:.0f}"


def _short_cards(row: GapRow, slips_one_in: int) -> str:
    if row.state == FULL:
        return f"No short card among {row.cards}; up to {percent(row.high)} could be, at 95 %."
    bounds = f"between {percent(row.low)} and {percent(row.high)} at 95 %"
    # In a list the chance is one of the whole list: some row always comes out worst.
    what = "this" if row.by == "shop" else "as much somewhere in the list"
    slips = f"slips of 1 in {slips_one_in} {_would_do(what, row.by_slips)}"
    return f"{row.short} of {counted(row.cards, 'card')} short: {bounds}; {slips}: {_end(row)}."


def _end(row: GapRow) -> str:
    if row.state == APART:
        rest = _times(row.by_blind_chance)
        return f"as slips go, yet more than the other rows (blind chance: {rest}), look into it"
    return _ENDS.get(row.state, "too few cards to tell slips from a habit")


def _surplus(row: CountRow, slips_one_in: int) -> str:
    more = f"{row.surplus} more than the ledger says"
    where = f"in {row.counts_above} of {counted(row.counts, 'count')}"
    if not row.drawn:
        return f"{more} ({where}), and no visit drew any in these days."
    bounds = f"{100 * row.low:.1f} to {100 * row.high:.1f} for each 100 drawn at 95 %"
    slips = f"slips of 1 in {slips_one_in} {_would_do('as much for some item', row.by_slips)}"
    if row.by_blind_chance <= 0.5:
        slips += f", blind chance {_times(row.by_blind_chance)}"
    end = "look into it" if row.state == MORE_LOOK else "as slips go"
    return f"{more} ({where}): {bounds}; {slips}: {end}."


def _did_they_leave(row: CountRow) -> str:
    left_out = f"The cards before the last count left out {row.missing}"
    gone = max(0, row.shortage - row.surplus)
    if gone >= row.missing:
        return f"{left_out}, and they are gone from the shelf: taken, not written down."
    stayed = "none of them" if not gone else f"only {gone} of them"
    return (
        f"{left_out}, and {stayed} left the shelf: "
        "as far as counts tell, not used or something used twice."
    )
