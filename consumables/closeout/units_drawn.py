"""Single-use units leave the first lot to expire and never come back."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from consumables.closeout.emptying import Emptying, LineOutcome, outside_kept
from consumables.closeout.service_card import CardLine
from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.ledger.events import Discarded, LotOpened, UseRecorded
from consumables.ledger.stock import LotBalance
from consumables.words import Route, amount


def draw(desk: Emptying, line: CardLine, verdict: Verdict) -> LineOutcome:
    """Draw units first-to-expire-first-out from lots in date, and bin what touched the client."""
    item = desk.known.items[line.item_id]
    today = desk.now.date()
    wanted, took = line.quantity, []
    shelf = desk.lots.setdefault(line.item_id, [])
    for at, lot in enumerate(shelf):
        units = min(wanted, lot.on_hand) if lot.in_date(today) else 0
        if units:
            shelf[at] = _open(desk, item, lot)
            shelf[at] = replace(shelf[at], on_hand=lot.on_hand - units)
            _drawn(desk, line, verdict, lot.lot_id, units)
            took.append(lot.lot_id)
            wanted -= units
    if wanted:
        # A surface from outside the counted stock was still a fresh one for its core.
        desk.fresh.setdefault(line.item_id, []).extend([""] * (wanted if desk.already_done else 0))
        short = _why_short(item, shelf, line.quantity, line.quantity - wanted, desk)
        return replace(outside_kept(desk, line, wanted, short, verdict.route), took=tuple(took))
    return LineOutcome(line, tuple(took), verdict.route)


def _open(desk: Emptying, item: Item, lot: LotBalance) -> LotBalance:
    if item.after_opening_days is None or lot.opened_on is not None:
        return lot
    today = desk.now.date()
    spoiled = today + timedelta(days=item.after_opening_days)
    use_by = min(lot.use_by, spoiled) if lot.use_by else spoiled
    desk.events.append(LotOpened(item.item_id, lot.lot_id, today, use_by))
    return replace(lot, opened_on=today, use_by=use_by)


def _drawn(desk: Emptying, line: CardLine, verdict: Verdict, lot_id: str, units: int) -> None:
    visit = desk.card.visit_id
    desk.fresh.setdefault(line.item_id, []).extend([lot_id] * units)
    desk.events.append(UseRecorded(line.item_id, visit, line.service_id, units, lot_id=lot_id))
    if verdict.route is not Route.DISPENSE:
        why = "contaminated" if desk.card.contaminated else "used on one client"
        desk.events.append(Discarded(line.item_id, units, why, verdict.route, lot_id, visit))


def _why_short(
    item: Item, shelf: Sequence[LotBalance], asked: int, found: int, desk: Emptying
) -> str:
    today = desk.now.date()
    stale = sum(lot.on_hand for lot in shelf if not lot.in_date(today))
    sentence = f"{item.name}: {amount(asked, item.unit)} asked for, {found} in date on the shelf"
    if stale:
        sentence += f", {stale} past use-by (discard them)"
    return sentence + ". Use less, count the shelf, or say that it is already done."
