"""The week's order list: what to buy from whom, and for every line in plain words why."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

import numpy as np

from consumables.reorder.explain import (
    caution,
    drift_note,
    if_left_out,
    late_note,
    order_note,
    shelf_note,
    why_now,
    why_this,
)
from consumables.reorder.outlook import Outlook, cover_of, outlook
from consumables.reorder.purchases import OrderPlan, PlanLine, SupplierOrder
from consumables.reorder.week import Week


@dataclass(frozen=True)
class OrderLine:
    """One line of the list with everything that explains it."""

    supplier: str
    offer: str
    item: str
    packs: int
    pack_size: int
    units: int
    cost: Decimal
    level: int  # s: buy when usable and on order fall under it
    outlook: Outlook
    why_now: str
    why_this: str
    if_left_out: str
    caution: str  # '' or what to look out for


@dataclass(frozen=True)
class OrderTotal:
    """What one supplier's order comes to; `note` says what its minimum or fee did."""

    supplier: str
    name: str
    goods: Decimal
    shipping: Decimal
    total: Decimal
    below_minimum: Decimal
    note: str


@dataclass(frozen=True)
class NearLine:
    """An item that is not ordered now but will be soon."""

    item: str
    name: str
    position: int
    level: int
    days_of_cover: int | None


@dataclass(frozen=True)
class Drift:
    """A service that in practice uses another quantity than its set-up says."""

    service: str
    item: str
    set_up: int
    practice: float
    services_seen: int
    sentence: str


@dataclass(frozen=True)
class OrderList:
    """The list of one week; lines and totals by supplier, then item; `near` by days of cover."""

    as_of: date
    next_order_on: date
    target: float
    lines: tuple[OrderLine, ...]
    totals: tuple[OrderTotal, ...]
    near: tuple[NearLine, ...]
    drift: tuple[Drift, ...]
    notes: tuple[str, ...]

    @property
    def total(self) -> Decimal:
        return sum((total.total for total in self.totals), Decimal(0))


def order_list(week: Week, plan: OrderPlan) -> OrderList:
    """Tell a plan as a list that explains itself."""
    as_of = week.stand.as_of
    routes = {
        (week.needs[item].item, supplier): route
        for route, (item, supplier) in enumerate(
            zip(week.market.routes.item, week.market.supplier, strict=True)
        )
    }
    return OrderList(
        as_of=as_of,
        next_order_on=as_of + timedelta(days=week.review),
        target=week.target,
        lines=tuple(
            _line(week, order, line, routes[line.offer.item_id, line.offer.supplier_id])
            for order in plan.orders
            for line in order.lines
        ),
        totals=tuple(_total(order) for order in plan.orders),
        near=_near(week, {line.offer.item_id for order in plan.orders for line in order.lines}),
        drift=_drift(week),
        notes=_notes(week, plan),
    )


def _line(week: Week, order: SupplierOrder, line: PlanLine, route: int) -> OrderLine:
    need = week.needs[int(week.market.routes.item[route])]
    seen = outlook(week, route, line.units)
    return OrderLine(
        supplier=line.offer.supplier_id,
        offer=line.offer.offer_id,
        item=line.offer.item_id,
        packs=line.packs,
        pack_size=line.offer.pack_size,
        units=line.units,
        cost=line.cost,
        level=line.level,
        outlook=seen,
        why_now=why_now(line, need, seen, order, week.target),
        why_this=why_this(line),
        if_left_out=if_left_out(seen),
        caution=caution(line, need, seen),
    )


def _total(order: SupplierOrder) -> OrderTotal:
    return OrderTotal(
        supplier=order.supplier.supplier_id,
        name=order.supplier.name or order.supplier.supplier_id,
        goods=order.goods,
        shipping=order.shipping,
        total=order.total,
        below_minimum=order.below_minimum,
        note=order_note(order),
    )


def _near(week: Week, ordered: set[str]) -> tuple[NearLine, ...]:
    """Items that may fall under their level before the next order."""
    found = []
    for at, need in enumerate(week.needs):
        level = max(need.levels.values(), default=need.level_unsold)
        soon = need.position - need.daily_use * week.review < level
        if level and soon and need.item not in ordered:
            name = str(week.stand.items["name"].iloc[at])
            found.append(NearLine(need.item, name, need.position, level, cover_of(week, at)))
    return tuple(sorted(found, key=lambda near: (near.days_of_cover or 0, near.item)))


def _drift(week: Week) -> tuple[Drift, ...]:
    columns = ["service", "item", "set_up", "practice", "services_seen"]
    rows = week.stand.learnt.drift[columns].itertuples(index=False, name=None)
    return tuple(
        Drift(service, item, int(set_up), float(mean), int(seen), drift_note(*row))
        for row in rows
        for service, item, set_up, mean, seen in [row]
    )


def _notes(week: Week, plan: OrderPlan) -> tuple[str, ...]:
    shelf, items = week.stand.shelf, week.stand.items
    outdates = np.bincount(shelf.lots.item, weights=shelf.outdates, minlength=len(items))
    names = dict(zip(items["item"], items["name"], strict=True))
    notes = [f"{names[item]} is due but not ordered. {why}" for item, why in plan.unmet]
    unknown = week.stand.learnt.unknown_rows
    if unknown:
        notes.append(f"{unknown} usage rows name a visit that is not known and taught nothing.")
    for at, (name, unit) in enumerate(zip(items["name"], items["unit"], strict=True)):
        notes.append(shelf_note(name, unit, int(shelf.past[at]), float(outdates[at])))
        notes.append(late_note(name, unit, int(shelf.late[at]), int(shelf.given_up[at])))
    return tuple(filter(None, notes))
