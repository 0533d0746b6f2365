"""What will pass its use-by date before it is used, and how much is worth buying at all.

What expires first is used first, up to and including its use-by day. With lots of q_1, q_2, ...
steps that expire on days T_1 <= T_2 <= ..., Q_j their running total and D(t) the use to day t,
a pointer P_j = max(P_{j-1} + D(T_j) - D(T_{j-1}), Q_j) counts what has been used or has expired;
lot j is expected to leave E(Q_j - P_{j-1} - D(T_j) + D(T_{j-1}))+ unused. The pmf of P_j follows
from that of P_{j-1} by one convolution, use of different days being taken as independent (our
derivation, confirmed by simulation in the tests; first-to-expire issuing as reviewed by Nahmias
1982, Operations Research 30(4)).

The rule for buying: at most the largest quantity of which no more than `WASTE_SHARE` is expected
to expire unused, what is already there and on order being used before it. A new lot counts its
shelf life from the first day it may arrive. The share is our choice.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from consumables.reorder.chances import Floats, Ints, circle_size
from consumables.reorder.demand import mean_and_variance, spell_pmf
from consumables.reorder.forecast import Forecast
from consumables.reorder.visits import Bools

WASTE_SHARE = 0.05
FAR = 8.0  # standard deviations beyond which nothing is expected to be left
NEVER = 1 << 30  # life of a lot without a use-by date


@dataclass(frozen=True)
class Lots:
    """What lies on the shelf and may still be used, in steps; sorted by item, then `life`.

    `life` is the number of days, from today on, on which the lot may be used: 1 for a use-by of
    today, `NEVER` without a date.
    """

    item: Ints
    steps: Ints
    life: Ints


def expected_outdates(forecast: Forecast, lots: Lots) -> Floats:
    """Steps of each lot expected to pass its use-by date unused: (lots,).

    Lots that last longer than the forecast reaches are not judged and count as 0.
    """
    left = np.zeros(len(lots.item))
    dated = np.flatnonzero(lots.life <= forecast.horizon)
    items, rank, shelf = _by_rank(lots, dated)
    if not len(items):
        return left
    near = ~_surely_used(forecast, items, shelf.life, shelf.until).all(axis=1)
    for group, size in _sized(shelf.until[:, -1] + 1, np.asarray(near)):
        lost, _ = _walk(forecast, items[group], shelf.some(group), size)
        mine = np.isin(lots.item[dated], items[group])
        row = np.searchsorted(items[group], lots.item[dated][mine])
        left[dated[mine]] = lost[row, rank[mine]]
    return left


def most_worth_buying(
    forecast: Forecast, lots: Lots, items: Ints, last_day: Ints, on_order: Ints, most: Ints
) -> Ints:
    """Largest purchase in steps, up to `most`, that keeps the rule: (items,).

    `items` are distinct and sorted; a purchase of items[i] may be used on the first `last_day[i]`
    days from today, and `on_order[i]` steps are used before it.
    """
    last_day = np.minimum(last_day, forecast.horizon)
    there = np.bincount(lots.item, weights=lots.steps, minlength=len(forecast.items))
    base = there[items].astype(np.int64) + on_order
    best = most.copy()
    sure = _surely_used(forecast, items, last_day[:, None], (base + most)[:, None])[:, 0]
    for group, size in _sized(base + most + 1, ~sure):
        first = _first_out(lots, items[group], last_day[group])
        _, pointer = _walk(forecast, items[group], first, size)
        since = np.maximum(first.life[:, -1:], 0)
        use = spell_pmf(forecast, items[group], since, last_day[group][:, None], size)[:, 0]
        unused = np.cumsum(np.cumsum(_summed(pointer, use), axis=1), axis=1)
        best[group] = _within_share(unused, base[group], most[group])
    return best


def opened_loss(forecast: Forecast, items: Ints, start: Ints, days: Ints, pack: Ints) -> Floats:
    """Steps of one pack expected to be left when its period after opening ends: (rows,).

    E(pack - D)+ with D the use on the `days` days from day `start` on; one pack is one container.
    """
    stop = np.minimum(start + days, forecast.horizon)[:, None]
    start = np.minimum(start[:, None], stop)
    mean, variance = mean_and_variance(forecast, items, start, stop)
    near = mean[:, 0] - FAR * np.sqrt(variance[:, 0]) <= pack
    loss = np.zeros(len(items))
    for group, size in _sized(pack + 1, near):
        pmf = spell_pmf(forecast, items[group], start[group], stop[group], size)[:, 0]
        unused = np.cumsum(np.cumsum(pmf, axis=1), axis=1)
        loss[group] = unused[np.arange(len(unused)), np.maximum(pack[group] - 1, 0)]
    return loss


@dataclass(frozen=True)
class _Shelf:
    """Lots by rank: `life` and `until` (running total of steps), both (items, ranks)."""

    life: Ints
    until: Ints

    def some(self, rows: Ints) -> "_Shelf":
        return _Shelf(self.life[rows], self.until[rows])


def _by_rank(lots: Lots, which: Ints) -> tuple[Ints, Ints, _Shelf]:
    """Items of the lots, the rank of each lot, and the lots as a table padded to the right."""
    items, row = np.unique(lots.item[which], return_inverse=True)
    rank = np.arange(len(which)) - np.searchsorted(lots.item[which], lots.item[which])
    wide = int(rank.max(initial=0)) + 1
    life = np.zeros((len(items), wide), dtype=np.int64)
    steps = np.zeros_like(life)
    life[row, rank] = lots.life[which]
    steps[row, rank] = lots.steps[which]
    return items, rank, _Shelf(np.maximum.accumulate(life, axis=1), steps.cumsum(axis=1))


def _first_out(lots: Lots, items: Ints, last_day: Ints) -> _Shelf:
    """For each of `items`, its lots that expire before its purchase would."""
    limit = np.zeros(int(max(lots.item.max(initial=0), items.max())) + 1, dtype=np.int64)
    limit[items] = last_day
    which = np.flatnonzero(lots.life < limit[lots.item])
    found, _, shelf = _by_rank(lots, which)
    life = np.zeros((len(items), shelf.life.shape[1]), dtype=np.int64)
    until = np.zeros_like(life)
    at = np.searchsorted(items, found)
    life[at], until[at] = shelf.life, shelf.until
    return _Shelf(life, until)


def _walk(forecast: Forecast, items: Ints, shelf: _Shelf, size: int) -> tuple[Floats, Floats]:
    """Lost steps by rank (items, ranks), and the pmf of the pointer after the last rank."""
    pointer = np.zeros((len(items), size))
    pointer[:, 0] = 1.0
    before = np.zeros((len(items), 1), dtype=np.int64)
    lost = np.zeros(shelf.life.shape)
    for rank in range(shelf.life.shape[1]):
        day, total = shelf.life[:, rank : rank + 1], shelf.until[:, rank : rank + 1]
        pointer = _summed(pointer, spell_pmf(forecast, items, before, day, size)[:, 0])
        behind = np.maximum(total - np.arange(size), 0)
        lost[:, rank] = (pointer * behind).sum(axis=1)
        caught_up = np.where(behind > 0, pointer, 0.0).sum(axis=1)
        pointer = np.where(behind > 0, 0.0, pointer)
        pointer[np.arange(len(items)), total[:, 0]] += caught_up
        before = day
    return lost, pointer


def _summed(first: Floats, second: Floats) -> Floats:
    """Row by row, the first entries of the sum of two independent amounts."""
    size = first.shape[1]
    both = np.fft.rfft(first, 2 * size) * np.fft.rfft(second, 2 * size)
    summed: Floats = np.fft.irfft(both, 2 * size)[:, :size]
    return summed


def _within_share(unused: Floats, base: Ints, most: Ints) -> Ints:
    """`unused` (items, steps): entry m - 1 is E(m - pointer)+; more bought wastes a larger part."""
    bought = np.arange(1, int(most.max(initial=0)) + 1)
    padded = np.concatenate([np.zeros((len(unused), 1)), unused], axis=1)
    rows = np.arange(len(unused))
    at = np.minimum(base[:, None] + bought, unused.shape[1])
    wasted = padded[rows[:, None], at] - padded[rows, base][:, None]
    kept = (wasted <= WASTE_SHARE * bought + 1e-9) & (bought <= most[:, None])
    steps: Ints = kept.sum(axis=1)
    return steps


def _surely_used(forecast: Forecast, items: Ints, life: Ints, until: Ints) -> Bools:
    mean, variance = mean_and_variance(forecast, items, np.zeros_like(life), life)
    return mean - FAR * np.sqrt(variance) > until


def _sized(entries: Ints, wanted: Bools) -> Iterator[tuple[Ints, int]]:
    """Groups of wanted rows with the array size that holds them."""
    sizes = np.array([circle_size(entry) for entry in entries], dtype=np.int64)
    for size in np.unique(sizes[wanted]):
        yield np.flatnonzero(wanted & (sizes == size)), int(size)
