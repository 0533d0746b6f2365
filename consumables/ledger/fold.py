"""State is what the ledger adds up to: lots, pieces, visits, jars, orders and open flags."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from consumables.ledger.events import (
    Entry,
    EntryCorrected,
    Event,
    OutsideUseRecorded,
    SolutionDiscarded,
    SolutionMixed,
    StockCounted,
    VerdictLoosened,
    VerdictRestored,
    VerdictTightened,
    VisitClosed,
)
from consumables.ledger.marks import (
    FlagMark,
    JarMark,
    LoosenedMark,
    TightenedMark,
    VisitMark,
    change_flag,
    change_jar,
    change_loosened,
    change_tightened,
    change_visit,
)
from consumables.ledger.orders import OrderBalance, change_order
from consumables.ledger.pieces import PieceBalance, change_piece
from consumables.ledger.stock import LotBalance, change_lot

Mark = VisitMark | JarMark | FlagMark | TightenedMark | LoosenedMark
Balance = LotBalance | PieceBalance | OrderBalance | Mark


@dataclass(frozen=True, order=True)
class Key:
    """What a balance is kept for: its sort (lot, piece, order, visit, jar, flag, tight, loose)
    and its id."""

    sort: str
    id: str


B = TypeVar("B", bound=Balance)
_NAMED = (("lot", "lot_id"), ("piece", "piece_id"), ("order", "order_id"))


def keys_of(entry: Entry) -> tuple[Key, ...]:
    """Every balance that this entry changes by itself (a reversal is followed by `reversal_of`)."""
    event = entry.event
    match event:
        case VisitClosed():
            return (Key("visit", event.visit_id),)
        case SolutionMixed() | SolutionDiscarded():
            return (Key("jar", event.jar_id),)
        case VerdictTightened():
            return (Key("tight", event.item_id),)
        case VerdictLoosened():
            return (Key("loose", event.item_id),)
        case VerdictRestored():
            return (Key("tight", event.item_id), Key("loose", event.item_id))
        case EntryCorrected():
            return () if event.how == "reversed" else (Key("flag", str(event.entry_id)),)
    named = tuple(Key(sort, v) for sort, name in _NAMED if (v := getattr(event, name, "")))
    if isinstance(event, OutsideUseRecorded) or _holds_a_surplus(event):
        return (*named, Key("flag", str(entry.entry_id)))
    return named


def _holds_a_surplus(event: Event) -> bool:
    if not isinstance(event, StockCounted) or event.usable is None:
        return False
    return event.usable != event.counted


def reversal_of(entry: Entry) -> int | None:
    """The entry that this one undoes, if it undoes one."""
    event = entry.event
    if isinstance(event, EntryCorrected) and event.how == "reversed":
        return event.entry_id
    return None


def change(key: Key, before: Balance | None, entry: Entry) -> Balance | None:
    """One balance after one more entry; raises `Refused` where the step cannot have happened."""
    match key.sort:
        case "lot":
            return change_lot(_as(LotBalance, before), entry.event)
        case "piece":
            return change_piece(_as(PieceBalance, before), entry.event, entry.at)
        case "order":
            return change_order(_as(OrderBalance, before), entry.event)
        case "visit":
            return change_visit(_as(VisitMark, before), entry)
        case "jar":
            return change_jar(_as(JarMark, before), entry)
        case "flag":
            return change_flag(_as(FlagMark, before), entry)
        case "loose":
            return change_loosened(_as(LoosenedMark, before), entry)
        case _:
            return change_tightened(_as(TightenedMark, before), entry)


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """The entries that still count: all but those reversed later and the reversals themselves."""
    listed = list(entries)
    undone = {done for entry in listed if (done := reversal_of(entry)) is not None}
    return [e for e in listed if e.entry_id not in undone and reversal_of(e) is None]


def fold(entries: Iterable[Entry]) -> Mapping[Key, Balance]:
    """Every balance of a shop from its whole ledger, oldest entry first."""
    balances: dict[Key, Balance | None] = {}
    for entry in standing(entries):
        for key in keys_of(entry):
            balances[key] = change(key, balances.get(key), entry)
    return {key: balance for key, balance in balances.items() if balance is not None}


def fold_key(key: Key, entries: Iterable[Entry]) -> Balance | None:
    """One balance from the entries that touch it (others are passed over)."""
    balance: Balance | None = None
    for entry in standing(entries):
        if key in keys_of(entry):
            balance = change(key, balance, entry)
    return balance


def _as(kind: type[B], balance: Balance | None) -> B | None:
    assert balance is None or isinstance(balance, kind)
    return balance
