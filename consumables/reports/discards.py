"""The record of what went in the bin and what went through the wash, line by line."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from consumables.ledger.events import (
    Discarded,
    Entry,
    EntryCorrected,
    OutsideUseRecorded,
    PieceRetired,
    StockCounted,
    SurfaceStripped,
)
from consumables.reports import sink_words
from consumables.words import Route


@dataclass(frozen=True)
class DiscardLine:
    """One line of the discard record; never a client's name, only the visit."""

    entry_id: int
    at: datetime  # shop's zone
    what: str  # discarded | surface stripped | retired | used outside the rules | settled
    item: str
    quantity: int
    where: str  # bin | sharps box | -
    because: str
    lot_or_piece: str
    visit_id: str
    who: str


@dataclass(frozen=True)
class TreatmentLine:
    """One line of the wash-up record."""

    entry_id: int
    at: datetime
    what: str  # as in sink_words.WHAT
    item: str  # empty for the steriliser's own steps
    piece_or_jar: str  # or load, spore test, basin
    detail: str
    who: str


def discard_line(
    entry: Entry, name_of: Callable[[str], str], zone: ZoneInfo, flags: Mapping[int, Entry]
) -> DiscardLine:
    """One entry as a line of the discard record; `flags` are the flagged uses by entry id."""
    event: Any = entry.event
    what, where = _what_and_where(event)
    thing: Any = flags[event.entry_id].event if isinstance(event, EntryCorrected) else event
    return DiscardLine(
        entry.entry_id,
        entry.at.astimezone(zone),
        what,
        name_of(thing.item_id),
        _quantity(thing),
        where,
        getattr(event, "because", "surface never serves twice"),
        getattr(thing, "lot_id", "") or getattr(thing, "piece_id", ""),
        getattr(thing, "visit_id", ""),
        entry.who,
    )


def treatment_line(entry: Entry, name_of: Callable[[str], str], zone: ZoneInfo) -> TreatmentLine:
    """One entry as a line of the wash-up record."""
    event: Any = entry.event
    return TreatmentLine(
        entry.entry_id,
        entry.at.astimezone(zone),
        sink_words.WHAT[type(event)],
        name_of(item_id) if (item_id := getattr(event, "item_id", "")) else "",
        sink_words.thing(event),
        sink_words.detail(event),
        entry.who,
    )


def _quantity(thing: Any) -> int:
    if isinstance(thing, StockCounted):
        return thing.counted - thing.expected  # a surplus that was looked into
    return int(getattr(thing, "quantity", 1))


def _what_and_where(event: object) -> tuple[str, str]:
    match event:
        case Discarded(route=Route.SHARPS):
            return "discarded", "sharps box"
        case Discarded():
            return "discarded", "bin"
        case SurfaceStripped():
            return "surface stripped", "bin"
        case PieceRetired():
            return "retired", "-"
        case OutsideUseRecorded():
            return "used outside the rules", "-"
        case EntryCorrected():
            return "settled", "-"
    raise AssertionError(f"{event!r} is no discard")
