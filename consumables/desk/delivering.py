"""A delivery arrives, whole or in part: counted in as lots, new tools tagged for a first wash."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

from consumables.desk.opening import Desk, Receipt
from consumables.desk.tagging import free_tags
from consumables.errors import NotFound, Refused
from consumables.items.item import Item
from consumables.ledger.events import DeliveryReceived, Event, LotReceived, PieceTagged
from consumables.ledger.pieces import PieceBalance
from consumables.store.shop_store import Session
from consumables.words import Category, Unit, amount


def receive(
    desk: Desk,
    order_id: str,
    offer_id: str,
    units: int,
    use_by: date | None = None,
    supplier_lot: str = "",
    doubts: Sequence[str] = (),
) -> Receipt:
    """Take in part or all of one line of an order; kept things are tagged and wait for a wash.

    `doubts` are what a scanned label left open: whole sentences, told again as cautions.
    """
    with desk.store.reading() as session:
        orders = {order.order_id: order for order in session.marks("order", only_open=False)}
    line = next(
        (n for o in [orders.get(order_id)] if o for n in o.lines if n.offer_id == offer_id), None
    )
    if line is None:
        raise NotFound(
            f"No line {offer_id} is in order {order_id}; `consumables order open` lists them."
        )
    arrived = DeliveryReceived(order_id, offer_id, line.item_id, units)
    per_unit = line.pack_price * line.packs / line.ordered
    receipt = _take_in(desk, line.item_id, units, use_by, supplier_lot, per_unit, [arrived])
    left = _still_open(desk.item(line.item_id).unit, line.outstanding, units)
    return _doubted(receipt, (*left, *doubts))


def receive_unordered(
    desk: Desk,
    item_id: str,
    units: int,
    use_by: date | None = None,
    supplier_lot: str = "",
    unit_cost: Decimal = Decimal(0),
    doubts: Sequence[str] = (),
) -> Receipt:
    """Take in something that was bought without an order."""
    receipt = _take_in(desk, item_id, units, use_by, supplier_lot, unit_cost, [])
    return _doubted(receipt, doubts)


def _still_open(unit: Unit, awaited: int, arrived: int) -> tuple[str, ...]:
    """What a short or a generous parcel leaves to be settled with the supplier."""
    if arrived < awaited:
        return (f"{amount(awaited - arrived, unit)} of this line still to come.",)
    if arrived > awaited:
        return (
            f"{amount(arrived - awaited, unit)} more than was ordered: count again, and `undo` "
            "if it was a slip.",
        )
    return ()


def _doubted(receipt: Receipt, doubts: Sequence[str]) -> Receipt:
    return replace(receipt, cautions=(*receipt.cautions, *doubts))


def _take_in(
    desk: Desk,
    item_id: str,
    units: int,
    use_by: date | None,
    supplier_lot: str,
    unit_cost: Decimal,
    first: list[Event],
) -> Receipt:
    item = desk.item(item_id)
    _refuse_odd_delivery(desk, item, units, use_by)
    day, cautions = _use_by(desk, item, use_by)

    def decide(session: Session) -> list[Event]:
        lots = [
            LotReceived(item_id, name, held, day, None, supplier_lot, unit_cost)
            for name, held in _containers(desk, item, units)
        ]
        return [*first, *lots, *_tags(desk, item, lots, session.pieces([item_id]))]

    sentence = f"Received {amount(units, item.unit)} {item.name}."
    receipt = desk.do("receive", sentence, decide)
    kept = desk.verdicts[item_id].category is not Category.SINGLE_USE
    wash = (f"{units} new {item.name}: wash before the first client",) if kept else ()
    return Receipt(receipt.job_key, sentence, wash=wash, cautions=cautions)


def _refuse_odd_delivery(desk: Desk, item: Item, units: int, use_by: date | None) -> None:
    if units <= 0:
        raise Refused("Say how many arrived, in the item's own unit (at least 1).")
    if use_by is not None and use_by < desk.today():
        raise Refused(f"{item.name}: its use-by {use_by} has passed; send it back.")


def _use_by(desk: Desk, item: Item, use_by: date | None) -> tuple[date | None, tuple[str, ...]]:
    if use_by is not None or item.shelf_life_days is None:
        return use_by, ()
    reckoned = desk.today() + timedelta(days=item.shelf_life_days)
    return reckoned, (f"No use-by was given; {reckoned} is reckoned from its shelf life.",)


def _containers(desk: Desk, item: Item, units: int) -> list[tuple[str, int]]:
    """One lot a delivery; one a container where opening starts a clock of its own."""
    name = f"{item.item_id}-{desk.today():%y%m%d}-{uuid4().hex[:3]}"
    sizes = sorted(o.pack_size for o in desk.catalogue.offers if o.item_id == item.item_id)
    size = next((size for size in reversed(sizes) if units % size == 0), units)
    if item.unit is Unit.EACH or item.after_opening_days is None or size == units:
        return [(name, units)]
    return [(f"{name}-{n}", size) for n in range(1, units // size + 1)]


def _tags(
    desk: Desk, item: Item, lots: Sequence[LotReceived], held: Sequence[PieceBalance]
) -> list[Event]:
    if desk.verdicts[item.item_id].category is Category.SINGLE_USE:
        return []
    units = [lot.lot_id for lot in lots for _ in range(lot.quantity)]
    return [
        PieceTagged(item.item_id, lot, name)
        for lot, name in zip(units, free_tags(item.item_id, held, len(units)), strict=True)
    ]
