"""What an inspector may ask to see: what was discarded, treated and used outside the rules."""

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from consumables.desk import retention
from consumables.desk.opening import Desk
from consumables.errors import Refused
from consumables.items.cautions import cautions_at
from consumables.ledger.events import (
    Discarded,
    Entry,
    EntryCorrected,
    OutsideUseRecorded,
    PieceRetired,
    StockCounted,
    SurfaceStripped,
)
from consumables.ledger.fold import reversal_of
from consumables.reports import record as parts
from consumables.reports.discards import DiscardLine, TreatmentLine, discard_line, treatment_line
from consumables.reports.record import Section
from consumables.reports.record_lines import RecordLine, Told
from consumables.store.digest import Digest
from consumables.store.shop_store import Session

_THROWN = (Discarded, SurfaceStripped, PieceRetired, OutsideUseRecorded, EntryCorrected)
# How long after a period the wash-up is still looked at for what followed a contamination.
_AFTER = timedelta(days=30)
SECTIONS = tuple(parts.TITLES)
GAP = "gap"


@dataclass(frozen=True)
class Period:
    """Days from `first` to `last`, both included, in the shop's own zone."""

    first: date
    last: date


@dataclass(frozen=True)
class Head:
    """What stands above the record: whose it is, under which book, and the ledger's seal."""

    shop: str
    zone: str
    first: date
    last: date
    book: str
    place: str
    edition: str
    checked_on: date
    partial: bool
    book_note: str
    retention_days: int
    retention_says: str
    codes_from: date  # codes of clients stand from this day on
    signed_by: str  # initials at the desk
    sealed_entry: int  # the last entry of the ledger; 0: it is empty
    digest: str  # SHA-256 over the ledger up to that entry
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Record:
    """The record of some days, its sections in the sequence in which they are printed."""

    head: Head
    sections: tuple[Section, ...]


def record(desk: Desk, period: Period, names: Iterable[str] = ()) -> Record:
    """The record of these days, whole or only the sections named, with the seal of the ledger
    it was read from; all of it is one look, so nothing can be written in between."""
    if period.last < period.first:
        raise Refused(f"These days end ({period.last}) before they begin ({period.first}).")
    kept = retention.retention(desk)
    wanted = set(names) or set(SECTIONS)
    with desk.store.reading() as session:
        read = _sections(desk, session, period)
        code_of = _codes(desk, session, period, kept.first_kept)
        sealed = deque(session.digests(), maxlen=1).pop()
    if GAP in wanted:
        read.insert(SECTIONS.index(GAP), _gap(desk, period))
    found = [
        replace(section, lines=tuple(_coded(line, code_of) for line in section.lines))
        for section in read
        if section.name in wanted
    ]
    return Record(_head(desk, period, kept, sealed), tuple(found))


def discards(desk: Desk, period: Period) -> list[DiscardLine]:
    """What was thrown away, stripped or retired, what was used outside the rules, and what was
    found when somebody looked into that."""
    with desk.store.reading() as session:
        flags = _flagged(session)

    def line(entry: Entry) -> DiscardLine:
        return discard_line(entry, desk.name_of, desk.zone, flags)

    return _lines(desk, period, _THROWN, line)


def treatments(desk: Desk, period: Period) -> list[TreatmentLine]:
    """What was cleaned, treated and mixed."""
    return _lines(
        desk, period, parts.SINK, lambda entry: treatment_line(entry, desk.name_of, desk.zone)
    )


def last_days(desk: Desk, days: int = 7) -> Period:
    """The period that ends today."""
    return Period(desk.today() - timedelta(days=days - 1), desk.today())


def _sections(desk: Desk, session: Session, period: Period) -> list[Section]:
    since, until = _bounds(desk, period)
    flagged = _flagged(session)
    undone = session.reversed_ids()
    told = Told(desk.name_of, desk.zone, flagged, _found(session, undone))
    entries = session.read(kinds=parts.ALL_KINDS, since=since, until=until)
    later = session.read(kinds=parts.AFTERMATH, since=until, until=until + _AFTER)
    return parts.sections(entries, later, undone, told)


def _gap(desk: Desk, period: Period) -> Section:
    """Cards that leave out a fresh single-use thing, and what that comes to."""
    from consumables.desk.reuse_gap import reuse_gap
    from consumables.reports.gap_words import paragraph

    gap = reuse_gap(desk, period)
    lines = tuple(
        RecordLine(
            entry_id=None,
            section=GAP,
            at=short.at,
            who=short.technician,
            what="not on the card",
            item=desk.name_of(short.item_id),
            because=desk.service_name(short.service_id),
            visit_id=short.visit_id,
        )
        for short in gap.missing
    )
    said = tuple(paragraph(gap, desk.name_of, desk.service_name)) if gap.served else ()
    return Section(GAP, parts.TITLES[GAP], lines, said)


def _flagged(session: Session) -> dict[int, Entry]:
    return {e.entry_id: e for e in session.read(kinds=[OutsideUseRecorded, StockCounted])}


def _found(session: Session, undone: set[int]) -> dict[int, Entry]:
    """What was found about flagged entries, whenever that was."""
    return {
        entry.event.entry_id: entry
        for entry in session.read(kinds=[EntryCorrected])
        if isinstance(entry.event, EntryCorrected)
        and entry.event.how == "settled"
        and entry.entry_id not in undone
    }


def _codes(desk: Desk, session: Session, period: Period, first_kept: date) -> Callable[[str], str]:
    """Visit id -> client's code; empty where its time is up, also before anybody purged it."""
    since, until = _bounds(desk, period)
    oldest = datetime.combine(first_kept, time(), desk.zone)
    near = session.appointments(max(oldest, since - timedelta(days=14)), until)
    codes = {visit.visit_id: visit.client for visit in near}
    return lambda visit_id: codes.get(visit_id, "")


def _coded(line: RecordLine, code_of: Callable[[str], str]) -> RecordLine:
    return replace(line, client=code_of(line.visit_id)) if line.visit_id else line


def _head(desk: Desk, period: Period, kept: retention.Retention, sealed: Digest) -> Head:
    book = desk.book
    return Head(
        shop=desk.settings.name,
        zone=desk.settings.zone,
        first=period.first,
        last=period.last,
        book=book.title,
        place=book.place,
        edition=book.edition,
        checked_on=book.checked_on,
        partial=book.partial,
        book_note=book.note,
        retention_days=kept.days,
        retention_says=kept.says,
        codes_from=kept.first_kept,
        signed_by=desk.who,
        sealed_entry=sealed.entry_id,
        digest=sealed.digest,
        cautions=(*cautions_at("contamination")[:-1], *cautions_at("keeping")),
    )


def _lines(
    desk: Desk, period: Period, kinds: Sequence[type[Any]], line: Callable[[Entry], Any]
) -> list[Any]:
    since, until = _bounds(desk, period)
    with desk.store.reading() as session:
        entries = session.read(kinds=kinds, since=since, until=until)
        undone = session.reversed_ids()
    return [line(entry) for entry in entries if _counts(entry, undone)]


def _counts(entry: Entry, undone: set[int]) -> bool:
    return entry.entry_id not in undone and reversal_of(entry) is None


def _bounds(desk: Desk, period: Period) -> tuple[datetime, datetime]:
    """From the first midnight, included, to the midnight after the last day, not included."""
    since = datetime.combine(period.first, time(), desk.zone)
    return since, datetime.combine(period.last + timedelta(days=1), time(), desk.zone)
