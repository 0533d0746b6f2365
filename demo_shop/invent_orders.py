"""What the invented studio bought: ordered on Mondays, so that the shelf never ran bare.

Stock is followed under the harshest reading of a day: a delivery counts from the next morning, a
lot is not touched on its last day, and a whole lot ages from the day it is first opened.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import TypedDict

from invent_diary import FIRST_DAY, WEEKS_BACK, rows_of
from make_demo_shop import ANCHOR

UNITS_IN = {"": 1, "each": 1, "ml": 1, "g": 1, "l": 1000, "kg": 1000,
            "us_fl_oz": 29.5735295625, "oz": 28.349523125}  # fmt: skip
LAST_ROUND = ANCHOR - timedelta(days=20)  # nobody has ordered for two weeks: time for the tool
LEFT_OUT_LATELY = {"emery-board": 1, "wood-stick": 1}  # item: forgotten rounds, counted back
BARGAINS = {  # bought outside the weekly round; "days left" until the printed use-by date
    # item: (days before the anchor, supplier, packs, days left)
    "dip-liquid": (68, "fenbrake", 4, 56),
    "acrylic-liquid": (24, "fenbrake", 2, 36),
    "foot-scrub": (17, "sedge", 2, 31),
    "cuticle-nipper": (96, "fenbrake", 2, None),
}

Draws = dict[date, Counter[str]]  # {day: {item: units}}


class Row(TypedDict):
    """One line of a delivery, as past_deliveries.csv has it."""

    order: str
    supplier: str
    ordered_on: date
    arrived_on: date
    item: str
    quantity: int
    use_by: date | None
    lot: str
    unit_cost: Decimal


@dataclass
class Lot:
    """Units of one item with one last day; `opened_on` starts the period after opening."""

    left: int
    use_by: date | None
    opened_on: date | None
    days_once_open: int | None

    @property
    def last_day(self) -> date:
        """The earlier of the printed date and the end of the period after opening."""
        once_open = (
            self.opened_on + timedelta(days=self.days_once_open)
            if self.opened_on and self.days_once_open
            else date.max
        )
        return min(self.use_by or date.max, once_open)


@dataclass(frozen=True)
class Offer:
    """One pack of one supplier, counted in the item's own unit."""

    supplier: str
    units: int
    price: Decimal
    break_packs: int
    break_price: Decimal

    def pack_price(self, packs: int) -> Decimal:
        """What each of that many packs costs."""
        return self.break_price if self.break_packs and packs >= self.break_packs else self.price

    def packs_for(self, units: float) -> int:
        """Whole packs that hold at least that many units."""
        return math.ceil(units / self.units)

    def cost_of(self, units: float) -> Decimal:
        """What that many units cost in whole packs."""
        packs = self.packs_for(units)
        return packs * self.pack_price(packs)


Basket = dict[str, tuple[Offer, int]]  # {item: (offer, packs)}


def buy(folder: Path, draws: Draws, rng: Random) -> list[Row]:
    """Every delivery of the half year, ordered on Mondays from what the shelf then held."""
    return Stockroom(folder, draws).run(rng)


class Stockroom:
    """The shelf day by day, and the orders that keep it filled."""

    def __init__(self, folder: Path, draws: Draws) -> None:
        self.items = {row["item"]: row for row in rows_of(folder / "items.csv")}
        self.suppliers = {row["supplier"]: row for row in rows_of(folder / "suppliers.csv")}
        self.offers = _offers(folder)
        self.draws = draws
        self.weekly = _weekly(draws)
        self.shelf: dict[str, list[Lot]] = defaultdict(list)
        self.on_the_way: list[Row] = []
        self.deliveries: list[Row] = []
        for row in rows_of(folder / "opening_stock.csv"):
            if row["tagged"] != "yes":
                opened_on = date.fromisoformat(row["opened_on"]) if row["opened_on"] else None
                use_by = date.fromisoformat(row["use_by"]) if row["use_by"] else None
                self._shelve(row["item"], int(row["quantity"]), use_by, opened_on)

    def _shelve(
        self, item: str, units: int, use_by: date | None, opened_on: date | None = None
    ) -> None:
        once_open = self.items[item]["after_opening_days"]
        self.shelf[item].append(
            Lot(units, use_by, opened_on, int(once_open) if once_open else None)
        )

    def run(self, rng: Random) -> list[Row]:
        """Open each day in turn: order, draw, then put the day's parcels on the shelf."""
        for n in range((ANCHOR - FIRST_DAY).days):
            day = FIRST_DAY + timedelta(days=n)
            self._buy_bargains(day, rng)
            if day.weekday() == 0 and day <= LAST_ROUND:
                self._order_round(day, rng)
            for item, units in self.draws[day].items():
                self._draw(item, units, day)
            self._unpack(day)
        return self.deliveries

    def _buy_bargains(self, day: date, rng: Random) -> None:
        for item, (before, supplier, packs, days_left) in BARGAINS.items():
            if day == ANCHOR - timedelta(days=before):
                use_by = day + timedelta(days=days_left) if days_left else None
                self._send(supplier, {item: (self._offer(item, supplier), packs)}, day, rng, use_by)

    def _draw(self, item: str, units: int, day: date) -> None:
        """First to expire first; running dry means the invented orders were badly invented."""
        for lot in sorted(self.shelf[item], key=lambda lot: lot.last_day):
            if units and lot.left and day < lot.last_day:
                lot.opened_on = lot.opened_on or day
                part = min(units, lot.left)
                lot.left, units = lot.left - part, units - part
        if units:
            raise ValueError(f"The invented shop ran out of {item} on {day}.")

    def _position(self, item: str, day: date) -> int:
        """Units that will still be good in ten days, with those on the way."""
        good = day + timedelta(days=10)
        on_hand = sum(lot.left for lot in self.shelf[item] if lot.last_day > good)
        return on_hand + sum(row["quantity"] for row in self.on_the_way if row["item"] == item)

    def _order_round(self, day: date, rng: Random) -> None:
        """One basket a supplier, up to a month's use and a floor for each item that runs low."""
        baskets: dict[str, Basket] = {supplier: {} for supplier in self.suppliers}
        for item in self._wanted(day):
            weekly = self.weekly[item]
            floor = max(int(self.items[item]["keep_at_least"] or 0), 3 * weekly**0.5)
            short_by = 4.5 * weekly + floor - self._position(item, day)
            if short_by > 1.5 * weekly:
                offer = self._choose(item, short_by, rng)
                baskets[offer.supplier][item] = (offer, offer.packs_for(short_by))
        for supplier, basket in baskets.items():
            self._send(supplier, self._filled_up(supplier, basket, day), day, rng)

    def _wanted(self, day: date) -> list[str]:
        rounds_left = (LAST_ROUND - day).days // 7
        return [item for item in self.weekly if rounds_left >= LEFT_OUT_LATELY.get(item, 0)]

    def _choose(self, item: str, units: float, rng: Random) -> Offer:
        """Mostly the cheapest way to that many units, now and then another supplier's."""
        by_cost = sorted(self.offers[item], key=lambda offer: offer.cost_of(units))
        return rng.choice(by_cost) if rng.random() < 0.3 else by_cost[0]

    def _offer(self, item: str, supplier: str) -> Offer:
        return next(offer for offer in self.offers[item] if offer.supplier == supplier)

    def _filled_up(self, supplier: str, basket: Basket, day: date) -> Basket:
        """Up to the minimum order with single packs of whatever would run out first."""
        minimum, basket = Decimal(self.suppliers[supplier]["minimum_order"]), dict(basket)
        sold = {
            item: offer
            for item in self._wanted(day)
            for offer in self.offers[item]
            if offer.supplier == supplier
        }

        def weeks_of_cover(item: str) -> float:
            offer, packs = basket.get(item, (sold[item], 0))
            return (self._position(item, day) + packs * offer.units) / self.weekly[item]

        while basket and _worth(basket) < minimum:
            item = min(sold, key=weeks_of_cover)
            offer, packs = basket.get(item, (sold[item], 0))
            basket[item] = (offer, packs + 1)
        return basket

    def _send(
        self, supplier: str, basket: Basket, day: date, rng: Random, use_by: date | None = None
    ) -> None:
        """The order leaves now; its parcel comes after the supplier's invented number of days."""
        chances = [pair.split(":") for pair in self.suppliers[supplier]["lead_days"].split()]
        days = rng.choices([int(d) for d, _ in chances], [float(chance) for _, chance in chances])
        arrives, sent = day + timedelta(days=days[0]), self.deliveries + self.on_the_way
        order = len({row["order"] for row in sent}) + 1
        self.on_the_way += [
            Row(
                order=f"o{order:03d}",
                supplier=supplier,
                ordered_on=day,
                arrived_on=arrives,
                item=item,
                quantity=packs * offer.units,
                use_by=use_by or self._printed_use_by(item, arrives, rng),
                lot=f"L{len(sent) + n:04d}",
                unit_cost=round(offer.pack_price(packs) / offer.units, 4),
            )
            for n, (item, (offer, packs)) in enumerate(basket.items(), start=1)
        ]

    def _printed_use_by(self, item: str, arrives: date, rng: Random) -> date | None:
        """Some of the shelf life has passed at the supplier's."""
        shelf_life, share = self.items[item]["shelf_life_days"], 0.6 + 0.35 * rng.random()
        return arrives + timedelta(days=int(int(shelf_life) * share)) if shelf_life else None

    def _unpack(self, day: date) -> None:
        arrived = [row for row in self.on_the_way if row["arrived_on"] == day]
        self.on_the_way = [row for row in self.on_the_way if row["arrived_on"] != day]
        for row in arrived:
            self._shelve(row["item"], row["quantity"], row["use_by"])
        self.deliveries += arrived


def _weekly(draws: Draws) -> dict[str, float]:
    """Mean units a week of every item that is drawn."""
    total: Counter[str] = Counter()
    for of_the_day in draws.values():
        total.update(of_the_day)
    return {item: units / WEEKS_BACK for item, units in total.items()}


def _offers(folder: Path) -> dict[str, list[Offer]]:
    offers = defaultdict(list)
    for row in rows_of(folder / "offers.csv"):
        units = round(int(row["pack_size"]) * UNITS_IN[row["pack_unit"]])
        price, packs = Decimal(row["price"]), int(row["break_packs"] or 0)
        offers[row["item"]].append(
            Offer(row["supplier"], units, price, packs, Decimal(row["break_price"] or price))
        )
    return offers


def _worth(basket: Basket) -> Decimal:
    return sum((offer.pack_price(packs) * packs for offer, packs in basket.values()), Decimal(0))
