"""Which service uses which item, and what each closed visit shows of it.

A *pair* is one service with one item it uses: a set-up line, or something recent practice uses
outside the set-up.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from consumables.reorder.chances import Floats, Ints
from consumables.reorder.visits import Bools, Status, Visits

LIVE_DAYS = 60  # an item outside the set-up counts while it was used this recently


@dataclass(frozen=True)
class UsageRows:
    """The usage table as numbers: one entry per row whose visit and item are known.

    `service` is -1 where the row names none.
    """

    visit: Ints
    item: Ints
    service: Ints
    units: Floats
    unknown: int  # rows left out because their visit is not known


@dataclass(frozen=True)
class Pairs:
    """Services and items that belong together, sorted by item, then service.

    `counts_in` is (kinds of visit, pairs): true where the pair is needed in that kind. `only`
    is (kinds, items): the one pair that counts for an item in a kind, -1 if none or several.
    """

    service: Ints
    item: Ints
    set_up: Ints  # units
    counts_in: Bools
    only: Ints
    several: Bools

    def __len__(self) -> int:
        return len(self.service)


@dataclass(frozen=True)
class CloseOuts:
    """What closed visits show: one entry per (visit, pair), in a fixed sequence."""

    visit: Ints
    pair: Ints
    units: Floats


def read_usage(visits: Visits, usage: pd.DataFrame, items: pd.Index) -> UsageRows:
    """Number the usage rows; rows of unknown visits or items are left out."""
    visit = visits.names.get_indexer(pd.Index(usage["visit"], dtype=object))
    item = items.get_indexer(pd.Index(usage["item"], dtype=object))
    services = pd.Index(visits.services, dtype=object)
    service = services.get_indexer(pd.Index(usage["service"], dtype=object))
    units = usage["quantity"].to_numpy(dtype=np.float64)
    known = (visit >= 0) & (item >= 0)
    lost = int((visit < 0).sum())
    return UsageRows(visit[known], item[known], service[known], units[known], lost)


def find_pairs(visits: Visits, rows: UsageRows, set_ups: pd.DataFrame, items: pd.Index) -> Pairs:
    """Set-up lines of `items`, and what recent practice uses outside them."""
    services = pd.Index(visits.services, dtype=object)
    recent = (rows.service >= 0) & (visits.day[rows.visit] >= -LIVE_DAYS)
    lines = pd.DataFrame(
        {
            "item": items.get_indexer(pd.Index(set_ups["item"], dtype=object)),
            "service": services.get_indexer(pd.Index(set_ups["service"], dtype=object)),
            "set_up": set_ups["quantity"].to_numpy(dtype=np.int64),
            "once": set_ups["once_per_visit"].to_numpy(dtype=bool),
        }
    )
    outside = pd.DataFrame({"item": rows.item[recent], "service": rows.service[recent]})
    outside = outside.drop_duplicates().assign(set_up=0, once=False)
    both = pd.concat([lines[lines["item"] >= 0], outside], ignore_index=True)
    both = both.drop_duplicates(["item", "service"]).sort_values(["item", "service"])
    service, item, set_up = (
        both[name].to_numpy(dtype=np.int64) for name in ("service", "item", "set_up")
    )
    counts_in = _counts_in(visits.holds[:, service], item, set_up, both["once"].to_numpy(bool))
    only, several = _only_pair(counts_in, item, len(items))
    return Pairs(service, item, set_up, counts_in, only, several)


def read_close_outs(visits: Visits, rows: UsageRows, pairs: Pairs) -> CloseOuts:
    """What every closed visit shows of every pair that counts in its kind.

    A served visit is closed when it has at least one usage row; a pair it does not show counts
    as 0, from the first day its item appears in any close-out. Where a quantity cannot be given
    to one service, that visit tells nothing about that item.
    """
    visit, pair = _cells(visits, rows, pairs)
    kind = visits.kind[rows.visit]
    table = np.full((pairs.only.shape[1], len(visits.services) + 1), -1, dtype=np.int64)
    table[pairs.item, pairs.service] = np.arange(len(pairs))
    row_pair = table[rows.item, rows.service]  # no service reads the last column, which is -1
    own = row_pair >= 0
    own[own] = pairs.counts_in[kind[own], row_pair[own]]
    row_pair = np.where(own, row_pair, pairs.only[kind, rows.item])
    lost = ~own & pairs.several[kind, rows.item]
    key = visit * len(pairs) + pair
    units = _summed(rows.visit * len(pairs) + row_pair, rows.units, row_pair >= 0, key)
    items = pairs.only.shape[1]
    unclear = np.unique(rows.visit[lost] * items + rows.item[lost])
    clear = ~np.isin(visit * items + pairs.item[pair], unclear)
    return CloseOuts(visit[clear], pair[clear], units[clear])


def _counts_in(held: Bools, item: Ints, set_up: Ints, once: Bools) -> Bools:
    """(kinds, pairs): a pair counts where its service is held; of an item needed once per
    visit only the service that asks for most counts (ties: the first by name)."""
    counts = held.copy()
    for shared in np.unique(item[once]):
        mine = np.flatnonzero(item == shared)
        once_here = (held[:, mine] & once[mine]).any(axis=1, keepdims=True)
        asks = np.where(held[:, mine], set_up[mine], -1)
        most = asks.argmax(axis=1)[:, None] == np.arange(len(mine))
        counts[:, mine] &= most | ~np.asarray(once_here)
    return counts


def _only_pair(counts_in: Bools, item: Ints, items: int) -> tuple[Ints, Bools]:
    many = np.zeros((len(counts_in), items), dtype=np.int64)
    total = np.zeros((len(counts_in), items), dtype=np.int64)
    kind, pair = np.nonzero(counts_in)
    np.add.at(many, (kind, item[pair]), 1)
    np.add.at(total, (kind, item[pair]), pair)
    return np.where(many == 1, total, -1), many > 1


def _cells(visits: Visits, rows: UsageRows, pairs: Pairs) -> tuple[Ints, Ints]:
    """Every closed visit with every pair it could show."""
    closed = np.zeros(len(visits.day), dtype=bool)
    closed[rows.visit] = True
    who = np.flatnonzero(closed & (visits.status == Status.SERVED))
    per_kind = [np.flatnonzero(row) for row in pairs.counts_in]
    many = np.array([len(found) for found in per_kind], dtype=np.int64)[visits.kind[who]]
    visit = np.repeat(who, many)
    shown = [per_kind[kind] for kind in visits.kind[who]]
    pair = np.concatenate([np.zeros(0, dtype=np.int64), *shown]).astype(np.int64)
    first = np.full(pairs.only.shape[1], np.iinfo(np.int64).max)
    np.minimum.at(first, rows.item, visits.day[rows.visit])
    known = visits.day[visit] >= first[pairs.item[pair]]
    return visit[known], pair[known]


def _summed(row_keys: Ints, units: Floats, counted: Bools, keys: Ints) -> Floats:
    """Units by key, for `keys` that are sorted and distinct; keys without a row get 0."""
    at = np.searchsorted(keys, row_keys[counted])
    inside = np.flatnonzero(at < len(keys))
    hit = inside[keys[at[inside]] == row_keys[counted][inside]]
    return np.bincount(at[hit], units[counted][hit], len(keys)).astype(np.float64)
