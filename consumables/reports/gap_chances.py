"""Whether short cards and odd counts are slips of the pen or a habit, as far as numbers can tell.

Each row is held against two things: the shop's ordinary slips (so many cards in a hundred are
short by oversight), and the other rows of its list. All chances of one list are made larger for
being looked at together (Holm 1979), so that a long list raises no false alarm by its length.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from consumables.reports.bounds import (
    MISLED,
    chance_in_part,
    chance_of_short,
    looked_at_together,
    rate_bounds,
)
from consumables.reports.gap_counts import CountRow, count_rows
from consumables.reports.reuse_gap import (
    FLAGGED,
    MISSING,
    STOOD_IN,
    Answer,
    CardTold,
    Counting,
    Rule,
    answers,
)

SLIPS_ONE_IN = 100  # our own choice: one card in a hundred is short by oversight
NOT_RULED_OUT = 5  # our own choice: bounds that reach five times the slips tell nothing yet

FULL, SLIPS, UNSURE = "nothing missing", "as slips go", "too few to tell"
APART, LOOK = "above the rest", "look into it"
WAYS = ("service", "item", "technician")


@dataclass(frozen=True)
class GapRow:
    """The cards of one service, item or technician; of the whole shop where `by` is shop.

    Numbers of units: `asked` is the least the rule asks for, `drawn` all that the ledger says
    these cards took from the counted stock. `low` and `high` bound the share of short cards;
    `by_slips` and `by_blind_chance` are chances, made larger by Holm's method within a list.
    """

    by: str  # shop | service | item | technician
    name: str
    cards: int
    short: int
    asked: int
    drawn: int
    flagged: int
    stood_in: int
    missing: int
    low: float = 0.0
    high: float = 1.0
    by_slips: float = 1.0  # ordinary slips would leave as many cards short, or more
    by_blind_chance: float = 1.0  # as many or more would fall here, strewn over all rows
    state: str = FULL


@dataclass(frozen=True)
class ReuseGap:
    """The visits of a period and what their cards and the counts leave open."""

    served: int  # visits
    slips_one_in: int
    whole: GapRow  # its cards are those of the visits that ask for anything
    rows: tuple[GapRow, ...]  # by service, by item, by technician; the surest first
    missing: tuple[Answer, ...]
    counts: tuple[CountRow, ...]
    not_counted: tuple[str, ...] = ()  # cores whose surface is no item of its own

    def by(self, way: str) -> tuple[GapRow, ...]:
        """The rows of one list: service | item | technician."""
        return tuple(row for row in self.rows if row.by == way)


def reckon(
    cards: Sequence[CardTold],
    rule: Rule,
    countings: Sequence[Counting] = (),
    slips_one_in: int = SLIPS_ONE_IN,
) -> ReuseGap:
    """The reuse gap of these served visits; `slips_one_in`: of so many cards one is short by
    oversight."""
    told = [answer for card in cards for answer in answers(card, rule)]
    drawn = _drawn(cards, told)
    whole = _row("shop", "", told, sum(drawn["item"].values()))
    rows = [_judged(_rows(way, told, drawn[way]), slips_one_in) for way in WAYS]
    return ReuseGap(
        len(cards),
        slips_one_in,
        _judged([whole], slips_one_in)[0],
        tuple(row for listed in rows for row in listed),
        tuple(answer for answer in told if answer.said == MISSING),
        count_rows(countings, told, drawn["item"], slips_one_in),
    )


def _drawn(cards: Iterable[CardTold], told: Iterable[Answer]) -> Mapping[str, Counter[str]]:
    """Units of the asked-for items that left the counted stock, in each of the three ways."""
    known = {answer.item_id for answer in told}
    drawn: dict[str, Counter[str]] = {way: Counter() for way in WAYS}
    for card in cards:
        for use in card.uses:
            if use.item_id in known and not use.flagged:
                drawn["service"][use.service_id] += use.units
                drawn["item"][use.item_id] += use.units
                drawn["technician"][card.technician] += use.units
    return drawn


_KEY: Mapping[str, Callable[[Answer], str]] = {
    "service": lambda answer: answer.service_id,
    "item": lambda answer: answer.item_id,
    "technician": lambda answer: answer.technician,
}


def _rows(way: str, told: Iterable[Answer], drawn: Mapping[str, int]) -> list[GapRow]:
    groups: dict[str, list[Answer]] = {}
    for answer in told:
        groups.setdefault(_KEY[way](answer), []).append(answer)
    return [_row(way, name, found, drawn.get(name, 0)) for name, found in groups.items()]


def _row(way: str, name: str, told: Sequence[Answer], drawn: int) -> GapRow:
    said = Counter(answer.said for answer in told)
    short = {answer.visit_id for answer in told if answer.said == MISSING}
    return GapRow(
        way,
        name,
        len({answer.visit_id for answer in told}),
        len(short),
        len(told),
        drawn,
        said[FLAGGED],
        said[STOOD_IN],
        said[MISSING],
    )


def _judged(rows: Sequence[GapRow], slips_one_in: int) -> list[GapRow]:
    cards, short = sum(row.cards for row in rows), sum(row.short for row in rows)
    by_slips = [chance_of_short(row.short, row.cards, 1 / slips_one_in) for row in rows]
    by_blind_chance = [chance_in_part(row.short, row.cards, short, cards) for row in rows]
    judged = []
    for row, slips, blind in zip(rows, *looked_at_together(by_slips, by_blind_chance), strict=True):
        bounds = rate_bounds(row.short, row.cards)
        state = _state(row.short, bounds.high, slips, blind, slips_one_in)
        judged.append(
            replace(
                row,
                low=bounds.low,
                high=bounds.high,
                by_slips=slips,
                by_blind_chance=blind,
                state=state,
            )
        )
    return sorted(judged, key=lambda row: (-row.low, row.name))


def _state(short: int, high: float, slips: float, blind: float, slips_one_in: int) -> str:
    if not short:
        return FULL
    if slips < MISLED:
        return LOOK
    if blind < MISLED:
        return APART
    return UNSURE if high * slips_one_in > NOT_RULED_OUT else SLIPS
