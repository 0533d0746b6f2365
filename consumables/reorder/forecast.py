"""Everything learnt about coming use, put together item by item.

An item sees few different kinds of visit: those that use it in the same way are one *profile*,
with one pmf of use per visit (services of one visit added up, what is needed once per visit
counted once). The forecast holds the profiles, who they belong to, and the visits expected.
"""

from dataclasses import dataclass
from datetime import date
from functools import reduce

import numpy as np
import pandas as pd

from consumables.reorder.bookings import Book, expect_visits
from consumables.reorder.chances import Floats, Ints, convolved, moments
from consumables.reorder.loose import LooseUse, learn_loose, loose_events
from consumables.reorder.set_up_pairs import Pairs, find_pairs, read_close_outs, read_usage
from consumables.reorder.tables import days_from
from consumables.reorder.usage import Use, drift, learn_use, step_sizes, usual_quantity
from consumables.reorder.visits import Visits, read_visits

KEPT = ("disinfectable", "replaceable-surface")  # comes back from the wash: a visit uses none up


@dataclass(frozen=True)
class Forecast:
    """Coming use of every item. Profiles are sorted by item; the last one belongs to no item.

    `use` (profiles, steps) is the pmf of one visit, `kinds_in` (profiles, kinds) 1 where a kind
    of visit has the profile, `show` (profiles, buckets) the chance that its booked visits happen
    and `first` (items + 1) where each item's profiles begin.
    """

    items: tuple[str, ...]
    step: Ints  # units in one step, per item
    use: Floats
    owner: Ints
    first: Ints
    kinds_in: Floats
    show: Floats
    book: Book
    loose: LooseUse

    @property
    def horizon(self) -> int:
        """Days that the forecast reaches."""
        return int(self.book.booked.shape[2])


@dataclass(frozen=True)
class Learnt:
    """A forecast with what it was learnt from."""

    forecast: Forecast
    visits: Visits
    pairs: Pairs
    use: Use
    drift: pd.DataFrame
    unknown_rows: int  # usage rows that taught nothing because their visit is not known


def learn(
    items: pd.DataFrame,
    set_ups: pd.DataFrame,
    appointments: pd.DataFrame,
    usage: pd.DataFrame,
    loose_use: pd.DataFrame,
    as_of: date,
) -> Learnt:
    """Learn from tidy tables (see `tables.COLUMNS`); `items` sorted by item.

    Items that come back from the wash are used up by loose use only (retired, lost, broken).
    """
    index = pd.Index(items["item"], dtype=object)
    consumed = set(index[~items["category"].isin(KEPT).to_numpy()])
    visits = read_visits(appointments, set(set_ups["service"]), as_of)
    rows = read_usage(visits, usage[usage["item"].isin(consumed)], index)
    pairs = find_pairs(visits, rows, set_ups[set_ups["item"].isin(consumed)], index)
    step = step_sizes(items, usual_quantity(pairs, len(index)))
    use = learn_use(visits, read_close_outs(visits, rows, pairs), pairs, step)
    day = days_from(as_of, loose_use["on"]).to_numpy(dtype=np.int64)
    recorded = int(max(visits.history_days, -day.min(initial=0)))
    loose = learn_loose(*loose_events(loose_use, day, index), step, recorded)
    book = expect_visits(visits, as_of.weekday())
    return Learnt(
        forecast=assemble(tuple(index), step, pairs, use, book, loose),
        visits=visits,
        pairs=pairs,
        use=use,
        drift=drift(use, pairs, visits.services, index),
        unknown_rows=rows.unknown,
    )


def assemble(
    items: tuple[str, ...], step: Ints, pairs: Pairs, use: Use, book: Book, loose: LooseUse
) -> Forecast:
    """Gather the profiles of every item."""
    begins = np.searchsorted(pairs.item, np.arange(len(items) + 1))
    owner: list[int] = []
    pmfs: list[Floats] = []
    kinds_in: list[Floats] = []
    for item in range(len(items)):
        mine = slice(begins[item], begins[item + 1])
        shown, kind = np.unique(pairs.counts_in[:, mine], axis=0, return_inverse=True)
        for row, held in enumerate(shown):
            if held.any():
                owner.append(item)
                each = [np.trim_zeros(pmf, "b") for pmf in use.pmf[mine][held]]
                pmfs.append(reduce(convolved, each))
                kinds_in.append((kind.reshape(-1) == row).astype(np.float64))
    pmfs.append(np.ones(1))
    kinds_in.append(np.zeros(len(pairs.counts_in)))
    owner_array = np.array([*owner, len(items)], dtype=np.int64)
    members = np.array(kinds_in)
    return Forecast(
        items=items,
        step=step,
        use=_stacked(pmfs),
        owner=owner_array,
        first=np.searchsorted(owner_array, np.arange(len(items) + 1)),
        kinds_in=members,
        show=_profile_show(members, book),
        book=book,
        loose=loose,
    )


def mean_by_day(forecast: Forecast) -> tuple[Floats, Floats, Floats]:
    """Expected use in units, three times (items, days): booked, not booked yet, loose."""
    mean, _ = moments(forecast.use[:-1])
    mean = mean * forecast.step[forecast.owner[:-1]]
    asked = np.zeros((len(forecast.items), forecast.kinds_in.shape[1]))
    np.add.at(asked, forecast.owner[:-1], mean[:, None] * forecast.kinds_in[:-1])
    happening = np.zeros((len(forecast.items), forecast.horizon))
    for bucket in range(forecast.show.shape[1]):
        coming = np.zeros_like(asked)
        shown = (mean * forecast.show[:-1, bucket])[:, None] * forecast.kinds_in[:-1]
        np.add.at(coming, forecast.owner[:-1], shown)
        happening += coming @ forecast.book.booked[:, bucket]
    size, _ = moments(forecast.loose.pmf)
    loose = forecast.loose.daily * size * forecast.step
    every_day = np.repeat(loose[:, None], forecast.horizon, axis=1)
    return happening, asked @ np.diff(forecast.book.mean, axis=1), every_day


def _stacked(pmfs: list[Floats]) -> Floats:
    stack = np.zeros((len(pmfs), max(len(pmf) for pmf in pmfs)))
    for row, pmf in enumerate(pmfs):
        stack[row, : len(pmf)] = pmf
    return stack


def _profile_show(kinds_in: Floats, book: Book) -> Floats:
    """One chance per profile and bucket: the mean over its booked visits.

    Visits with different chances are counted as if all had their mean, which spreads the number
    that happens slightly wider than it is (Hoeffding 1956, Ann. Math. Stat. 27): on the safe side.
    """
    booked = book.booked.sum(axis=2)
    many = kinds_in @ booked
    shown = kinds_in @ (booked * book.show)
    chance: Floats = np.divide(shown, many, out=np.zeros_like(many), where=many > 0)
    return chance
