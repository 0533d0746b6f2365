"""An order on its way: what was asked for, what has come, what is still to come."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from consumables.errors import Refused
from consumables.ledger.events import DeliveryReceived, Event, OrderClosed, OrderPlaced


@dataclass(frozen=True)
class OrderedLine:
    """One line; `arrived` may pass `ordered` when a supplier miscounts."""

    offer_id: str
    item_id: str
    packs: int
    ordered: int
    arrived: int
    pack_price: Decimal

    @property
    def outstanding(self) -> int:
        """Units still to come, never below zero."""
        return max(0, self.ordered - self.arrived)


@dataclass(frozen=True)
class OrderBalance:
    """One order to one supplier."""

    order_id: str
    supplier_id: str
    placed_on: date
    lines: tuple[OrderedLine, ...]
    closed: bool = False

    @property
    def state(self) -> str:
        """placed, part delivered, delivered or closed."""
        if self.closed:
            return "closed"
        if all(line.outstanding == 0 for line in self.lines):
            return "delivered"
        return "part delivered" if any(line.arrived for line in self.lines) else "placed"


def change_order(before: OrderBalance | None, event: Event) -> OrderBalance:
    """The order after one more event."""
    if isinstance(event, OrderPlaced):
        return _placed(before, event)
    if before is None:
        raise Refused(f"Order {getattr(event, 'order_id', '?')} was never placed in this shop.")
    match event:
        case DeliveryReceived():
            return _arrived(before, event)
        case OrderClosed():
            return replace(before, closed=True)
        case _:
            return before


def _placed(before: OrderBalance | None, event: OrderPlaced) -> OrderBalance:
    if before is not None:
        raise Refused(f"Order {event.order_id} is placed already.")
    lines = tuple(
        OrderedLine(offer, item, packs, units, 0, price)
        for offer, item, packs, units, price in event.lines
    )
    return OrderBalance(event.order_id, event.supplier_id, event.placed_on, lines)


def _arrived(order: OrderBalance, event: DeliveryReceived) -> OrderBalance:
    if order.closed:
        raise Refused(f"Order {order.order_id} is closed; receive this as a delivery of its own.")
    if all(line.offer_id != event.offer_id for line in order.lines):
        raise Refused(f"Order {order.order_id} has no line for offer {event.offer_id}.")
    lines = tuple(
        replace(line, arrived=line.arrived + event.units)
        if line.offer_id == event.offer_id
        else line
        for line in order.lines
    )
    return replace(order, lines=lines)
