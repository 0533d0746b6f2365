"""What the counts of the shelf found beside the cards: fewer was not written down, more is odd.

A count that finds more than the ledger says is the tell-tale of a thing used twice: its card drew
it, and it is on the shelf still.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from consumables.reports.bounds import (
    MISLED,
    chance_of_finds,
    chance_of_share,
    looked_at_together,
    mean_bounds,
)
from consumables.reports.reuse_gap import MISSING, Answer, Counting

MORE, MORE_LOOK = "more found", "more: look into it"
FEWER, AGREES = "fewer found", "as the ledger says"


@dataclass(frozen=True)
class CountRow:
    """What the counts of one item found, in units; `low` and `high` bound the surplus for each
    unit drawn. `missing` are asked for by cards before its last count and not on them."""

    item_id: str
    counts: int
    counts_above: int
    surplus: int
    shortage: int
    drawn: int
    missing: int
    as_new: int = 0  # of the surplus, on somebody's word
    low: float = 0.0
    high: float = 0.0
    by_slips: float = 1.0
    by_blind_chance: float = 1.0
    state: str = AGREES


def count_rows(
    countings: Sequence[Counting],
    told: Sequence[Answer],
    drawn: Mapping[str, int],
    slips_one_in: int,
) -> tuple[CountRow, ...]:
    """Every counted item, the largest surplus first; `drawn` are units drawn by item."""
    rows = [
        _count_row([one for one in countings if one.item_id == item_id], told, drawn[item_id])
        for item_id in dict.fromkeys(one.item_id for one in countings)
    ]
    surplus, units = sum(row.surplus for row in rows), sum(row.drawn for row in rows)
    by_slips = [chance_of_finds(row.surplus, row.drawn / slips_one_in) for row in rows]
    by_share = [
        chance_of_share(row.surplus, surplus, row.drawn / units) if units else 1.0 for row in rows
    ]
    larger = zip(rows, *looked_at_together(by_slips, by_share), strict=True)
    judged = [_count_judged(row, slips, share) for row, slips, share in larger]
    return tuple(sorted(judged, key=lambda row: (-row.surplus, -row.shortage, row.item_id)))


def _count_row(found: Sequence[Counting], told: Sequence[Answer], drawn: int) -> CountRow:
    last = max(one.at for one in found)
    item_id = found[0].item_id
    above = [one.counted - one.expected for one in found if one.counted > one.expected]
    below = [one.expected - one.counted for one in found if one.counted < one.expected]
    missing = [a for a in told if a.item_id == item_id and a.said == MISSING and a.at <= last]
    return CountRow(
        item_id,
        len(found),
        len(above),
        sum(above),
        sum(below),
        drawn,
        len(missing),
        sum(one.as_new for one in found),
    )


def _count_judged(row: CountRow, slips: float, share: float) -> CountRow:
    state = FEWER if row.shortage else AGREES
    if row.surplus:
        state = MORE_LOOK if min(slips, share) < MISLED else MORE
    bounds, units = mean_bounds(row.surplus), max(1, row.drawn)
    return replace(
        row,
        low=bounds.low / units,
        high=bounds.high / units,
        by_slips=slips,
        by_blind_chance=share,
        state=state,
    )
