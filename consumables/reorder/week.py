"""One week worked out: the tables read, the use learnt, the levels found, nothing decided yet."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from consumables.items.catalogue import Offer, Supplier
from consumables.reorder.chances import Floats, Ints
from consumables.reorder.forecast import Forecast, Learnt, learn, mean_by_day
from consumables.reorder.item_levels import Levels, find_levels
from consumables.reorder.market import Market, read_market
from consumables.reorder.needs import build_needs
from consumables.reorder.purchases import Need
from consumables.reorder.shelf import Shelf, read_shelf
from consumables.reorder.tables import BadTable, only_known, only_once, tidy

LONGEST_LEAD_DAYS = 120  # also the longest time between two orders
PACE_DAYS = 28
Tables = Mapping[str, pd.DataFrame]


@dataclass(frozen=True)
class Pace:
    """Expected use in units, each (items, days): booked, not booked yet, outside visits."""

    booked: Floats
    unbooked: Floats
    loose: Floats

    @cached_property
    def total(self) -> Floats:
        return self.booked + self.unbooked + self.loose

    @property
    def daily(self) -> Floats:
        """Mean a day over the next four weeks."""
        daily: Floats = self.total[:, :PACE_DAYS].mean(axis=1)
        return daily

    def cover(self, usable: Ints) -> Ints:
        """Whole days that the usable stock lasts at this pace, at most the days looked at."""
        used = np.cumsum(self.total, axis=1)
        days: Ints = (used <= usable[:, None] + 1e-9).sum(axis=1)
        return days


@dataclass(frozen=True)
class Stand:
    """How the shop stands today; `usable` (items) is on hand less what will expire unused."""

    as_of: date
    items: pd.DataFrame
    learnt: Learnt
    shelf: Shelf
    pace: Pace

    @property
    def forecast(self) -> Forecast:
        return self.learnt.forecast

    def usable(self, days: Ints) -> Ints:
        """Units on hand that are expected to be used or usable on the first days[item] days."""
        left = self.shelf.on_hand - self.shelf.lost_by(days)
        return np.floor(left + 0.5).astype(np.int64)


@dataclass(frozen=True)
class Week:
    """A week ready to be planned."""

    stand: Stand
    market: Market
    offers: list[Offer]
    suppliers: list[Supplier]
    levels: Levels
    usable: Ints
    needs: list[Need]
    review: int
    target: float


def read_tables(given: Mapping[str, pd.DataFrame | None]) -> dict[str, pd.DataFrame]:
    """All tables checked and tidied; items sorted. Raises BadTable."""
    tables = {name: tidy(name, frame) for name, frame in given.items()}
    tables["items"] = tables["items"].sort_values("item", ignore_index=True)
    nameless = tables["items"]["name"] == ""
    tables["items"].loc[nameless, "name"] = tables["items"].loc[nameless, "item"]
    only_once("items", tables["items"], ["item"])
    only_once("set_ups", tables["set_ups"], ["service", "item"])
    for name in set(tables) & {"offers", "set_ups", "stock", "on_order"}:
        only_known(name, tables[name], "item", tables["items"]["item"])
    if "offers" in tables:
        only_once("suppliers", tables["suppliers"], ["supplier"])
        only_once("offers", tables["offers"], ["offer"])
        only_known("offers", tables["offers"], "supplier", tables["suppliers"]["supplier"])
    return tables


def take_stock(tables: Tables, as_of: date) -> Stand:
    """Learn from the past and look at the shelf."""
    learnt = learn(
        tables["items"],
        tables["set_ups"],
        tables["appointments"],
        tables["usage"],
        tables["loose_use"],
        as_of,
    )
    shelf = read_shelf(learnt.forecast, tables["stock"], tables["on_order"], as_of)
    return Stand(as_of, tables["items"], learnt, shelf, Pace(*mean_by_day(learnt.forecast)))


def work_out(tables: Tables, as_of: date, review: int, target: float) -> Week:
    """Everything the plan needs, for a review every `review` days and a target service."""
    if not 0 < target < 1:
        raise BadTable(f"The target service is {target}; it must lie between 0 and 1, e.g. 0.99.")
    if not 1 <= review <= LONGEST_LEAD_DAYS:
        raise BadTable(f"Orders every {review} days cannot be planned; give 1 to 120 days.")
    stand = take_stock(tables, as_of)
    offers = [_offer(row) for row in _records(tables["offers"])]
    suppliers = [_supplier(row) for row in _records(tables["suppliers"])]
    market = read_market(stand.forecast, offers, suppliers)
    levels = find_levels(stand.forecast, market, review, target)
    usable = stand.usable(review + market.latest())
    needs = build_needs(
        stand.forecast, stand.items, offers, market, levels, stand.shelf, usable, stand.pace.daily
    )
    return Week(stand, market, offers, suppliers, levels, usable, needs, review, target)


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    rows = frame.astype(object).where(frame.notna(), None).to_dict("records")
    return [{str(name): cell for name, cell in row.items()} for row in rows]


def _offer(row: dict[str, Any]) -> Offer:
    if row["pack_size"] < 1:
        raise BadTable(
            f"Offer '{row['offer']}' has an empty pack. Its pack_size must be 1 or more."
        )
    return Offer(
        offer_id=row["offer"],
        supplier_id=row["supplier"],
        item_id=row["item"],
        pack_size=int(row["pack_size"]),
        price=row["price"],
        break_packs=None if row["break_packs"] is None else int(row["break_packs"]),
        break_price=row["break_price"],
    )


def _supplier(row: dict[str, Any]) -> Supplier:
    if max(row["lead_days"]) > LONGEST_LEAD_DAYS:
        raise BadTable(
            f"Supplier '{row['supplier']}' may take {max(row['lead_days'])} days to deliver; "
            f"lead_days of more than {LONGEST_LEAD_DAYS} cannot be planned."
        )
    return Supplier(
        supplier_id=row["supplier"],
        name=row["name"],
        lead_days=row["lead_days"],
        minimum_order=row["minimum_order"],
        shipping_fee=row["shipping_fee"],
        free_shipping_from=row["free_shipping_from"],
    )
