"""What a lot on the shelf holds, read off everything that happened to it."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from consumables.errors import Refused
from consumables.ledger.events import (
    Discarded,
    Event,
    LotDoubted,
    LotOpened,
    LotReceived,
    PieceTagged,
    StockCounted,
    UsedLoose,
    UseRecorded,
)

MONEY_PLACES = 4  # a third of a pack's price has no end; balances keep ten-thousandths


@dataclass(frozen=True)
class LotBalance:
    """One lot: `received` and `on_hand` in the item's unit; `use_by` already counts opening."""

    lot_id: str
    item_id: str
    received: int
    on_hand: int
    use_by: date | None = None
    opened_on: date | None = None
    supplier_lot: str = ""
    unit_cost: Decimal = Decimal(0)
    doubted: int = 0  # held before an older copy was put back; not usable until counted

    def in_date(self, today: date) -> bool:
        """May this lot still be used today? The use-by day itself is the last good day."""
        return self.use_by is None or today <= self.use_by


def change_lot(before: LotBalance | None, event: Event) -> LotBalance:
    """The lot after one more event; refuses what would leave less than nothing in it."""
    if isinstance(event, LotReceived):
        return _received(before, event)
    if before is None:
        raise Refused(f"Lot {getattr(event, 'lot_id', '?')} was never received in this shop.")
    match event:
        case LotOpened():
            return replace(before, opened_on=event.opened_on, use_by=event.use_by)
        case StockCounted():
            usable = event.counted if event.usable is None else event.usable
            return replace(before, on_hand=usable, doubted=0)
        case LotDoubted():
            return replace(before, on_hand=0, doubted=before.on_hand + before.doubted)
        case PieceTagged():
            return _less(before, 1)
        case UseRecorded() | UsedLoose():
            return _less(before, event.quantity)
        case Discarded():
            return before if event.visit_id else _less(before, event.quantity)
        case _:
            return before


def first_to_expire(lots: tuple[LotBalance, ...]) -> tuple[LotBalance, ...]:
    """Lots in the sequence they are used: opened first, then earliest use-by, then oldest."""
    return tuple(
        sorted(lots, key=lambda lot: (lot.opened_on is None, lot.use_by or date.max, lot.lot_id))
    )


def _received(before: LotBalance | None, event: LotReceived) -> LotBalance:
    if before is not None:
        raise Refused(f"Lot {event.lot_id} is on the shelf already; give the new one its own name.")
    return LotBalance(
        event.lot_id,
        event.item_id,
        event.quantity,
        event.quantity,
        event.use_by,
        event.opened_on,
        event.supplier_lot,
        round(event.unit_cost, MONEY_PLACES),
    )


def _less(lot: LotBalance, quantity: int) -> LotBalance:
    if quantity > lot.on_hand:
        raise Refused(
            f"Lot {lot.lot_id} of {lot.item_id} holds {lot.on_hand}, not {quantity}: "
            "count the shelf, then try again."
        )
    return replace(lot, on_hand=lot.on_hand - quantity)
