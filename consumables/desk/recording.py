"""What an inspector may ask to see: what was discarded, treated and used outside the rules."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from consumables.desk.opening import Desk
from consumables.ledger.events import (
    Cleaned,
    Discarded,
    Entry,
    EntryCorrected,
    OutsideUseRecorded,
    PieceRetired,
    SolutionDiscarded,
    SolutionMixed,
    SurfaceStripped,
    Treated,
    TreatmentStarted,
)
from consumables.ledger.fold import reversal_of
from consumables.reports.discards import DiscardLine, TreatmentLine, discard_line, treatment_line

_THROWN = (Discarded, SurfaceStripped, PieceRetired, OutsideUseRecorded, EntryCorrected)
_WASHED = (Cleaned, TreatmentStarted, Treated, SolutionMixed, SolutionDiscarded)


@dataclass(frozen=True)
class Period:
    """Days from `first` to `last`, both included, in the shop's own zone."""

    first: date
    last: date


def discards(desk: Desk, period: Period) -> list[DiscardLine]:
    """What was thrown away, stripped or retired, what was used outside the rules, and what was
    found when somebody looked into that."""
    with desk.store.reading() as session:
        flags = {entry.entry_id: entry for entry in session.read(kinds=[OutsideUseRecorded])}

    def line(entry: Entry) -> DiscardLine:
        return discard_line(entry, desk.name_of, desk.zone, flags)

    return _lines(desk, period, _THROWN, line)


def treatments(desk: Desk, period: Period) -> list[TreatmentLine]:
    """What was cleaned, treated and mixed."""
    return _lines(
        desk, period, _WASHED, lambda entry: treatment_line(entry, desk.name_of, desk.zone)
    )


def last_days(desk: Desk, days: int = 7) -> Period:
    """The period that ends today."""
    return Period(desk.today() - timedelta(days=days - 1), desk.today())


def _lines(
    desk: Desk, period: Period, kinds: tuple[type[Any], ...], line: Callable[[Entry], Any]
) -> list[Any]:
    since = datetime.combine(period.first, time(), desk.zone)
    until = datetime.combine(period.last + timedelta(days=1), time(), desk.zone)
    with desk.store.reading() as session:
        entries = session.read(kinds=kinds, since=since, until=until)
        undone = session.reversed_ids()
    return [line(entry) for entry in entries if _counts(entry, undone)]


def _counts(entry: Entry, undone: set[int]) -> bool:
    return entry.entry_id not in undone and reversal_of(entry) is None
