"""One line of the record: when, who, what was done with which thing, why, and for which visit."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from consumables.ledger.events import (
    BookChosen,
    ClientCodesPurged,
    Entry,
    EntryCorrected,
    LotDoubted,
    ShopRestored,
    StockCounted,
    VerdictLoosened,
    VerdictRestored,
    VerdictTightened,
    VisitClosed,
)
from consumables.reports.discards import discard_line, treatment_line

CONTAMINATED, OUTSIDE = "contaminated", "used outside the rules"


@dataclass(frozen=True)
class RecordLine:
    """One line; `visit_id` names the visit, `client` its code while that may still be kept."""

    entry_id: int | None  # None: what no entry says
    section: str
    at: datetime  # shop's zone
    who: str  # initials
    what: str = ""
    item: str = ""
    quantity: int | None = None
    where: str = ""  # bin | sharps box
    because: str = ""  # the reason, the detail, or what was found
    lot_or_piece: str = ""  # or jar
    visit_id: str = ""
    client: str = ""


@dataclass(frozen=True)
class Told:
    """What a line needs to know beside its own entry."""

    name_of: Callable[[str], str]  # item id -> the shop's own words
    zone: ZoneInfo
    flagged: Mapping[int, Entry]  # flagged uses and counts by their entry id
    found: Mapping[int, Entry]  # what was found about them, by the flagged entry's id


def discarded(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """What went in the bin or the sharps box, came off its core or was retired."""
    thrown = discard_line(entry, told.name_of, told.zone, {})
    return replace(
        line,
        what=thrown.what,
        item=thrown.item,
        quantity=thrown.quantity,
        where=thrown.where.strip("-"),
        because=thrown.because,
        lot_or_piece=thrown.lot_or_piece,
        visit_id=thrown.visit_id,
    )


def washed(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """A step at the sink, or what was done with a jar."""
    wash = treatment_line(entry, told.name_of, told.zone)
    return replace(
        line,
        what=wash.what,
        item=wash.item,
        because=wash.detail,
        lot_or_piece=wash.piece_or_jar,
    )


def closed_contaminated(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """A visit closed as contaminated."""
    assert isinstance(entry.event, VisitClosed)
    return replace(
        line,
        what=CONTAMINATED,
        because="blood, broken skin or an unhealthy nail",
        visit_id=entry.event.visit_id,
    )


def soiled(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """A piece went to the wash."""
    event: Any = entry.event
    return replace(
        line,
        what="to the wash",
        item=told.name_of(event.item_id),
        because="asks for the blood-level cycle" if event.blood_level else "",
        lot_or_piece=event.piece_id,
        visit_id=event.visit_id,
    )


def outside(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """A use outside the rules with what was found about it."""
    event: Any = entry.event
    return replace(
        line,
        what=OUTSIDE,
        item=told.name_of(event.item_id),
        quantity=event.quantity,
        because=f"{event.because.rstrip('.')}; {_finding(entry, told)}",
        lot_or_piece=event.piece_id,
        visit_id=event.visit_id,
    )


def settled(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """What was found when somebody looked into a flagged use or a surplus."""
    assert isinstance(entry.event, EntryCorrected)
    number = entry.event.entry_id
    flagged: Any = told.flagged[number].event
    counted_more = isinstance(flagged, StockCounted)
    return replace(
        line,
        what="settled",
        item=told.name_of(flagged.item_id),
        quantity=_surplus(flagged) if counted_more else flagged.quantity,
        because=f"entry {number}: {entry.event.because}",
        lot_or_piece=flagged.lot_id if counted_more else flagged.piece_id,
        visit_id="" if counted_more else flagged.visit_id,
    )


def counted(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """What somebody saw on the shelf, and how far that is from what the ledger said."""
    event = entry.event
    assert isinstance(event, StockCounted)
    over = _surplus(event)
    because = f"counted {event.counted}, the ledger said {event.expected}"
    if event.usable is not None and event.usable != event.counted:
        because += f"; the surplus is held, {_finding(entry, told)}"
    return replace(
        line,
        what="surplus" if over > 0 else "short" if over else "as expected",
        item=told.name_of(event.item_id),
        quantity=abs(over),
        because=because,
        lot_or_piece=event.lot_id,
    )


def ruled(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """A rule made stricter or looser or given back to its book, or another book in force."""
    match entry.event:
        case VerdictTightened(item_id, because):
            return replace(line, what="tightened", item=told.name_of(item_id), because=because)
        case VerdictRestored(item_id, because):
            return replace(line, what="as the book", item=told.name_of(item_id), because=because)
        case BookChosen(_, title, edition):
            because = f"{title}, edition {edition}"
            return replace(line, what="book put in force", because=because)
        case VerdictLoosened() as event:
            because = (
                f"now {event.category}, {event.route}: {event.because}. Stands on: "
                f"{event.citation}. Signed {event.signed_by}, {event.signed_on}"
            )
            return replace(line, what="loosened", item=told.name_of(event.item_id), because=because)
    raise AssertionError(f"{entry.event!r} changes no rule")


def about_the_record(line: RecordLine, entry: Entry, told: Told) -> RecordLine:
    """What was done to the record itself: codes purged, a copy put back, an entry undone."""
    match entry.event:
        case ClientCodesPurged(until, visits):
            day = until.astimezone(told.zone).date()
            because = f"codes taken off {visits} visits before {day}; no count changed by it"
            return replace(
                line, what="client codes purged", item="visit", quantity=visits, because=because
            )
        case ShopRestored(missing_from, because):
            because = f"entries from {missing_from} on were lost: {because}"
            return replace(line, what="older copy put back", because=because)
        case LotDoubted(item_id, lot_id):
            item, because = told.name_of(item_id), "not known after that until it is counted"
            return replace(
                line, what="lot in doubt", item=item, because=because, lot_or_piece=lot_id
            )
        case EntryCorrected(entry_id, _, because):
            return replace(
                line, what="undone", item="entry", because=f"entry {entry_id}: {because}"
            )
    raise AssertionError(f"{entry.event!r} is nothing done to the record")


def _finding(entry: Entry, told: Told) -> str:
    found = told.found.get(entry.entry_id)
    if found is None or not isinstance(found.event, EntryCorrected):
        return "nobody has said yet what was found"
    day = found.at.astimezone(told.zone).date()
    return f"found on {day} by {found.who or '-'}: {found.event.because}"


def _surplus(count: StockCounted) -> int:
    return count.counted - count.expected
