"""The week's order: what to buy, from whom, how many packs; placing it and taking it in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING
from uuid import uuid4

from consumables.desk.opening import Desk, Receipt
from consumables.desk.plan_tables import plan_tables
from consumables.errors import NotFound, Refused
from consumables.items.catalogue import Offer
from consumables.ledger.events import (
    Event,
    OrderClosed,
    OrderPlaced,
)
from consumables.ledger.orders import OrderBalance
from consumables.store.shop_store import Session
from consumables.words import counted

if TYPE_CHECKING:
    from consumables.reorder.order_list import OrderList


@dataclass(frozen=True)
class OpenLine:
    """One line of an order that is on its way; units in the item's unit."""

    offer_id: str
    item_id: str
    name: str
    packs: int
    ordered: int
    arrived: int
    outstanding: int
    cost: Decimal


@dataclass(frozen=True)
class OpenOrder:
    """An order that is placed and not all there; `state` is placed or part delivered."""

    order_id: str
    supplier: str
    placed_on: date
    expected_by: date
    state: str
    lines: tuple[OpenLine, ...]


def week_order(desk: Desk, as_of: date | None = None) -> OrderList:
    """This week's order list, each line with its reason; nothing is placed by looking."""
    from consumables.reorder.week_order import week_order as plan_week

    day = as_of or desk.today()
    found = plan_week(
        **plan_tables(desk),
        as_of=day,
        review_days=_days_to_next_order(desk, day),
        target=desk.settings.target_service,
    )
    uncounted = _uncounted(desk)
    return replace(found, notes=(uncounted, *found.notes)) if uncounted else found


def _days_to_next_order(desk: Desk, day: date) -> int:
    """To the shop's own order day at least `review_days` - 6 days ahead: an order made between
    two order days has only to last until the next one."""
    settings = desk.settings
    ahead = (settings.order_weekday - day.weekday()) % 7 or 7
    return ahead + 7 * ((settings.review_days - 1) // 7)


def _uncounted(desk: Desk) -> str:
    with desk.store.reading() as session:
        names = sorted({desk.name_of(lot.item_id) for lot in session.lots() if lot.doubted})
    if not names:
        return ""
    listed = ", ".join(names[:5]) + (" and others" if len(names) > 5 else "")
    return f"Count first, an older copy was put back: {counted(len(names), 'item')} ({listed})."


def days_of_cover(desk: Desk) -> Mapping[str, float | None]:
    """How many days what is on the shelf lasts, by item; None where nothing uses it."""
    from consumables.reorder.week_order import stock_projection

    tables = plan_tables(desk)
    tables = {name: table for name, table in tables.items() if name not in ("offers", "suppliers")}
    found = stock_projection(**tables, as_of=desk.today())
    known = found["days_of_cover"].astype(object).where(found["days_of_cover"].notna(), None)
    return dict(zip(found["item"], known, strict=True))


def place(
    desk: Desk,
    order_list: OrderList,
    supplier_ids: Sequence[str] | None = None,
    packs: Mapping[str, int] | None = None,
) -> list[Receipt]:
    """Write down that the list (or some suppliers of it) was ordered; one order a supplier.

    `packs` overrides the packs of an offer; 0 leaves it out.
    """
    wanted: dict[str, dict[str, int]] = {}
    for line in order_list.lines:
        count = (packs or {}).get(line.offer, line.packs)
        if count > 0 and (supplier_ids is None or line.supplier in supplier_ids):
            wanted.setdefault(line.supplier, {})[line.offer] = count
    if uncounted := _uncounted(desk):
        raise Refused(f"{uncounted} Then look at the list again and place it.")
    if not wanted:
        raise Refused("There is nothing to place: the list is empty, or every line was taken out.")
    return [place_packs(desk, supplier, counts) for supplier, counts in sorted(wanted.items())]


def amend(desk: Desk, order_list: OrderList, packs: Mapping[str, int]) -> OrderList:
    """The list with her own packs by offer, priced anew; nothing is placed by looking."""
    from consumables.reorder.amend import amended

    return amended(order_list, packs, desk.catalogue.offers, desk.catalogue.suppliers)


def place_packs(desk: Desk, supplier_id: str, packs: Mapping[str, int]) -> Receipt:
    """Write down one order to one supplier, packs by offer."""
    offers = {offer.offer_id: offer for offer in desk.catalogue.offers}
    strange = [o for o in packs if o not in offers or offers[o].supplier_id != supplier_id]
    if strange or not packs:
        raise NotFound(f"{supplier_id} makes no offer {', '.join(strange) or '(none named)'}.")
    order_id = f"order-{desk.today():%y%m%d}-{supplier_id}-{uuid4().hex[:3]}"
    lines = tuple(
        (
            name,
            offers[name].item_id,
            count,
            count * offers[name].pack_size,
            _price(offers[name], count),
        )
        for name, count in sorted(packs.items())
    )
    total = sum((count * price for _, _, count, _, price in lines), Decimal(0))

    def decide(_session: Session) -> list[Event]:
        return [OrderPlaced(order_id, supplier_id, desk.today(), lines)]

    sentence = (
        f"Placed {order_id}: {counted(len(lines), 'line')}, {total:.2f} {desk.settings.currency}."
    )
    return desk.do("order", sentence, decide)


def open_orders(desk: Desk) -> list[OpenOrder]:
    """Orders on their way, the oldest first."""
    with desk.store.reading() as session:
        orders: list[OrderBalance] = session.marks("order")
    return sorted((_open(desk, order) for order in orders), key=lambda order: order.placed_on)


def close_order(desk: Desk, order_id: str, because: str) -> Receipt:
    """Nothing more will come of an order."""

    def decide(_session: Session) -> list[Event]:
        return [OrderClosed(order_id, because)]

    return desk.do("close-order", f"{order_id} closed: {because}.", decide)


def _price(offer: Offer, packs: int) -> Decimal:
    from consumables.reorder.purchases import price_of

    return price_of(offer, packs) / packs


def _open(desk: Desk, order: OrderBalance) -> OpenOrder:
    suppliers = {supplier.supplier_id: supplier for supplier in desk.catalogue.suppliers}
    supplier = suppliers.get(order.supplier_id)
    slowest = max(supplier.lead_days) if supplier else 7
    return OpenOrder(
        order.order_id,
        supplier.name if supplier else order.supplier_id,
        order.placed_on,
        order.placed_on + timedelta(days=slowest),
        order.state,
        tuple(
            OpenLine(
                line.offer_id,
                line.item_id,
                desk.name_of(line.item_id),
                line.packs,
                line.ordered,
                line.arrived,
                line.outstanding,
                line.pack_price * line.packs,
            )
            for line in order.lines
        ),
    )
