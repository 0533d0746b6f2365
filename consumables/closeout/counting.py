"""Somebody counted the shelf: what was seen is written, and what looks like reuse is held back."""

from collections.abc import Sequence

from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.ledger.events import Event, LotReceived, StockCounted
from consumables.ledger.stock import LotBalance
from consumables.words import Route, Unit


def serves_once(item: Item, verdict: Verdict) -> bool:
    """Is this a thing whose used units look like new ones: counted by the piece, not poured?

    Whatever may be kept today counts too: under another book, or once a loosening ends, the same
    units serve one client.
    """
    return verdict.route is not Route.DISPENSE and item.unit is Unit.EACH


def count_lots(
    item_id: str,
    lots: Sequence[LotBalance],
    counted: int,
    held: bool,
    found: str,
    used_before: bool = False,
) -> list[Event]:
    """The count of one item as counts of its lots, first to expire first.

    What is missing was used from the first lots to expire. A surplus joins the first lot, so that
    its use-by is never later than that of what was really found; with `held` it is seen but may
    not be used until somebody explains it. An item that never had a lot gets one
    named `found`; where it was `used_before` all the same, what is found may be what was used.
    """
    if not lots:
        return _never_had_any(item_id, counted, held and used_before, found) if counted else []
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


def _never_had_any(item_id: str, counted: int, held: bool, found: str) -> list[Event]:
    if not held:
        return [LotReceived(item_id, found, counted)]
    return [LotReceived(item_id, found, 0), StockCounted(item_id, found, counted, 0, usable=0)]
