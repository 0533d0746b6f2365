"""Somebody counted the shelf: what was seen is written, and what looks like reuse is held back."""

from collections.abc import Sequence

from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.ledger.events import Event, LotReceived, StockCounted
from consumables.ledger.stock import LotBalance
from consumables.words import Category, Route, Unit


def serves_once(item: Item, verdict: Verdict) -> bool:
    """Is this a thing whose used units look like new ones: counted by the piece, one client?"""
    single = verdict.category is Category.SINGLE_USE and verdict.route is not Route.DISPENSE
    return single and item.unit is Unit.EACH


def count_lots(
    item_id: str, lots: Sequence[LotBalance], counted: int, held: bool, found: str
) -> list[Event]:
    """The count of one item as counts of its lots, first to expire first.

    What is missing was used from the first lots to expire. A surplus joins the first lot, so that
    its use-by is never later than that of what was really found; with `held` it is seen but may
    not be used until somebody explains it. An item that never had a lot gets one named `found`.
    """
    if not lots:
        return [LotReceived(item_id, found, counted)] if counted else []
    missing = sum(lot.on_hand + lot.doubted for lot in lots) - counted
    surplus, missing = max(0, -missing), max(0, missing)
    events: list[Event] = []
    for lot in lots:
        expected = lot.on_hand + lot.doubted
        left = expected - min(missing, expected)
        usable = left if held and surplus else None
        events.append(StockCounted(item_id, lot.lot_id, left + surplus, expected, usable))
        missing, surplus = missing - (expected - left), 0
    return events
