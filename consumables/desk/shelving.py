"""The shelf: what is there, how long it lasts, what has passed its day, and counting it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from consumables.closeout.counting import count_lots, serves_once
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import (
    Discarded,
    EntryCorrected,
    Event,
    OutsideUseRecorded,
    UsedLoose,
)
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance, first_to_expire
from consumables.store.shop_store import Session
from consumables.words import PieceState, Route, amount


@dataclass(frozen=True)
class ShelfRow:
    """One item on the shelf; quantities in `unit`; pieces are counted beside the lots."""

    item_id: str
    name: str
    category: str
    unit: str
    on_hand: int  # in date
    past_use_by: int
    on_order: int
    next_use_by: date | None
    pieces_ready: int
    pieces_kept: int  # all but retired
    uses: int  # of all its pieces so far
    state: str  # in stock | expiring | past use-by | below floor | none | count first


@dataclass(frozen=True)
class ShelfLot:
    """One lot of one item."""

    lot_id: str
    on_hand: int
    use_by: date | None
    opened_on: date | None
    in_date: bool


EXPIRING_DAYS = 14  # our own choice: two weekly orders ahead


def shelf(desk: Desk) -> list[ShelfRow]:
    """Every item of the catalogue as it stands on the shelf, in catalogue sequence."""
    with desk.store.reading() as session:
        lots, pieces, orders = session.lots(), session.pieces(), session.marks("order")
    coming: dict[str, int] = {}
    for order in orders:
        for line in order.lines:
            coming[line.item_id] = coming.get(line.item_id, 0) + line.outstanding
    return [
        _row(
            desk,
            item_id,
            [lot for lot in lots if lot.item_id == item_id],
            [piece for piece in pieces if piece.item_id == item_id],
            coming.get(item_id, 0),
        )
        for item_id in desk.items
    ]


def lots_of(desk: Desk, item_id: str) -> list[ShelfLot]:
    """The lots of one item in the sequence they are used."""
    desk.item(item_id)
    with desk.store.reading() as session:
        lots = first_to_expire(tuple(session.lots([item_id])))
    today = desk.today()
    return [
        ShelfLot(lot.lot_id, lot.on_hand, lot.use_by, lot.opened_on, lot.in_date(today))
        for lot in lots
    ]


def count(desk: Desk, item_id: str, counted: int) -> Receipt:
    """Write what somebody saw on the shelf; open flagged uses of the item are settled by it.

    A shortfall is taken off the first lots to expire. More than the ledger says is written too,
    but what serves one client only is held back, since used units put back on the shelf look
    just like this: `undoing.settle` takes them in as new, on somebody's word.
    """
    item = desk.item(item_id)
    if counted < 0:
        raise Refused("A count cannot be less than nothing.")
    expected: list[int] = []
    held = serves_once(item, desk.verdicts[item_id])

    def decide(session: Session) -> list[Event]:
        lots = first_to_expire(tuple(session.lots([item_id]) or session.last_lot(item_id)))
        expected.append(sum(lot.on_hand + lot.doubted for lot in lots))
        flags = [flag for flag in session.marks("flag") if flag.item_id == item_id]
        settled: list[Event] = [
            EntryCorrected(flag.entry_id, "settled", "counted") for flag in flags
        ]
        found = f"found-{desk.now():%y%m%d%H%M%S}-{item_id}"
        used = not lots and _used_already(session, item_id)
        return [*count_lots(item_id, lots, counted, held, found, used), *settled]

    receipt = desk.do("count", f"Counted {amount(counted, item.unit)} {item.name}.", decide)
    cautions = _tell_tale(expected[0], counted, held)
    return Receipt(receipt.job_key, receipt.sentence, cautions=cautions)


def discard(desk: Desk, item_id: str, lot_id: str, quantity: int, because: str) -> Receipt:
    """Throw away units of a lot: past use-by, spoiled, dropped."""
    item, verdict = desk.item(item_id), desk.verdicts[item_id]
    if quantity <= 0 or not because.strip():
        raise Refused("Say how many are thrown away (at least 1) and why.")
    route = Route.SHARPS if verdict.route is Route.SHARPS else Route.BIN

    def decide(session: Session) -> list[Event]:
        if all(lot.lot_id != lot_id for lot in session.lots([item_id])):
            raise NotFound(f"{item.name} has no lot {lot_id}; `consumables shelf {item_id}`.")
        return [Discarded(item_id, quantity, because, route, lot_id)]

    sentence = f"Discarded {amount(quantity, item.unit)} {item.name} ({lot_id}): {because}."
    return desk.do("discard", sentence, decide)


def discard_expired(desk: Desk) -> Receipt:
    """Throw away everything whose use-by has passed."""
    today = desk.today()
    gone: list[str] = []

    def decide(session: Session) -> list[Event]:
        stale = [lot for lot in session.lots() if lot.on_hand and not lot.in_date(today)]
        if not stale:
            raise Refused("Nothing on the shelf is past its use-by.")
        gone.extend(f"{lot.on_hand} {desk.name_of(lot.item_id)} ({lot.lot_id})" for lot in stale)
        return [
            Discarded(lot.item_id, lot.on_hand, "past use-by", Route.BIN, lot.lot_id)
            for lot in stale
        ]

    receipt = desk.do("discard-expired", "Everything past its use-by was discarded.", decide)
    return Receipt(receipt.job_key, receipt.sentence, bin=tuple(gone))


def use_loose(desk: Desk, item_id: str, quantity: int, because: str) -> Receipt:
    """Record use that belongs to no visit: a spill, cleaning the desk, a test."""
    item = desk.item(item_id)
    if quantity <= 0 or not because.strip():
        raise Refused("Say how much was used (at least 1) and what for.")

    def decide(session: Session) -> list[Event]:
        events: list[Event] = []
        left = quantity
        for lot in first_to_expire(tuple(session.lots([item_id]))):
            if units := min(left, lot.on_hand):
                events.append(UsedLoose(item_id, lot.lot_id, units, because))
                left -= units
        if left:
            raise Refused(f"{item.name}: {quantity} asked for, {quantity - left} on the shelf.")
        return events

    return desk.do("use", f"Used {amount(quantity, item.unit)} {item.name}: {because}.", decide)


def _used_already(session: Session, item_id: str) -> bool:
    """Was it used on somebody although no delivery was ever written down?"""
    return any(
        getattr(entry.event, "item_id", "") == item_id
        for entry in session.read(kinds=[OutsideUseRecorded])
    )


def _tell_tale(expected: int, counted: int, held: bool) -> tuple[str, ...]:
    more, fewer = counted - expected, expected - counted
    if more > 0 and held:
        return (
            f"{more} more than the ledger says. Used units put back look just like this, so they "
            "are held back: bin them, or settle the flag as new if a delivery was not written.",
        )
    if more > 0:
        return (f"{more} more than the ledger says: a delivery not written down?",)
    return (
        (f"{fewer} fewer than the ledger said: used or gone without a line.",) if fewer > 0 else ()
    )


def _row(
    desk: Desk,
    item_id: str,
    lots: Sequence[LotBalance],
    pieces: Sequence[PieceBalance],
    on_order: int,
) -> ShelfRow:
    item, today = desk.items[item_id], desk.today()
    kept = [piece for piece in pieces if piece.state is not PieceState.RETIRED]
    good = [lot for lot in lots if lot.in_date(today)]
    on_hand = sum(lot.on_hand for lot in good)
    stale = sum(lot.on_hand for lot in lots) - on_hand
    next_use_by = min((lot.use_by for lot in good if lot.use_by), default=None)
    return ShelfRow(
        item_id,
        item.name,
        desk.verdicts[item_id].category,
        item.unit,
        on_hand,
        stale,
        on_order,
        next_use_by,
        sum(piece.state is PieceState.READY for piece in kept),
        len(kept),
        sum(piece.uses for piece in pieces),
        "count first"
        if any(lot.doubted for lot in lots)
        else _state(on_hand + len(kept), item.keep_at_least, stale, next_use_by, today),
    )


def _state(held: int, floor: int, stale: int, next_use_by: date | None, today: date) -> str:
    if stale:
        return "past use-by"
    if not held:
        return "none"
    if held < floor:
        return "below floor"
    if next_use_by and (next_use_by - today).days <= EXPIRING_DAYS:
        return "expiring"
    return "in stock"
