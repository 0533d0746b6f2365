"""What lies on the shelf today and what is on its way, item by item."""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from consumables.reorder.chances import Floats, Ints
from consumables.reorder.forecast import Forecast
from consumables.reorder.shelf_life import NEVER, Lots, expected_outdates
from consumables.reorder.tables import days_from

LATE_DAYS = 14  # an order this late is no longer counted on


@dataclass(frozen=True)
class Shelf:
    """Stock in units, per item unless said otherwise.

    `on_hand` leaves out what is past its use-by date (`past`). `lots` (in steps, for the
    forecast) and `outdates` (units, per lot) belong together, as does `lot_names`.
    """

    on_hand: Ints
    past: Ints
    first_use_by: Ints  # days from today, NEVER without one
    lots: Lots
    lot_names: tuple[str, ...]
    outdates: Floats
    arriving: Floats  # (items, days) units on order by the day they are due, late ones today
    late: Ints  # on order and due before today
    given_up: Ints  # so late that they are not counted

    @property
    def on_order(self) -> Ints:
        """Everything on order that is counted on."""
        counted: Ints = np.rint(self.arriving.sum(axis=1)).astype(np.int64)
        return counted

    def lost_by(self, days: Ints) -> Floats:
        """Units expected to expire unused within the first days[item] days."""
        near = self.lots.life <= days[self.lots.item]
        lost = np.bincount(self.lots.item[near], self.outdates[near], len(self.on_hand))
        return lost.astype(np.float64)


def read_shelf(
    forecast: Forecast, stock: pd.DataFrame, on_order: pd.DataFrame, as_of: date
) -> Shelf:
    """Read tidy stock and on_order tables; both may name an item several times."""
    index = pd.Index(forecast.items, dtype=object)
    item, units, left = _rows(index, stock, "on_hand", "use_by", as_of)
    life = np.where(np.isnan(left), NEVER, np.nan_to_num(left) + 1).astype(np.int64)
    order = np.lexsort((stock["lot"].to_numpy(dtype=object), life, item))
    good = order[(life[order] > 0) & (units[order] > 0)]
    lots = Lots(item[good], units[good] // forecast.step[item[good]], life[good])
    first = np.full(len(index), NEVER, dtype=np.int64)
    np.minimum.at(first, lots.item, lots.life - 1)
    arriving, late, given_up = _arrivals(forecast, on_order, index, as_of)
    return Shelf(
        on_hand=_total(item, units * (life > 0), len(index)),
        past=_total(item, units * (life <= 0), len(index)),
        first_use_by=np.where(first >= NEVER - 1, NEVER, first),
        lots=lots,
        lot_names=tuple(stock["lot"].to_numpy(dtype=object)[good]),
        outdates=expected_outdates(forecast, lots) * forecast.step[lots.item],
        arriving=arriving,
        late=late,
        given_up=given_up,
    )


def _rows(
    index: pd.Index, table: pd.DataFrame, units: str, day: str, as_of: date
) -> tuple[Ints, Ints, Floats]:
    return (
        index.get_indexer(pd.Index(table["item"], dtype=object)),
        table[units].to_numpy(dtype=np.int64),
        days_from(as_of, table[day]).to_numpy(dtype=np.float64),
    )


def _arrivals(
    forecast: Forecast, on_order: pd.DataFrame, index: pd.Index, as_of: date
) -> tuple[Floats, Ints, Ints]:
    item, units, due = _rows(index, on_order, "units", "due", as_of)
    due = np.nan_to_num(due)
    lost = due < -LATE_DAYS
    arriving = np.zeros((len(index), forecast.horizon))
    day = np.clip(due, 0, forecast.horizon - 1).astype(np.int64)
    np.add.at(arriving, (item[~lost], day[~lost]), units[~lost])
    return (
        arriving,
        _total(item, units * ((due < 0) & ~lost), len(index)),
        _total(item, units * lost, len(index)),
    )


def _total(item: Ints, units: Ints, items: int) -> Ints:
    return np.rint(np.bincount(item, weights=units, minlength=items)).astype(np.int64)
