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
    OutsideUseRecorded,
    PieceRetired,
    SolutionDiscarded,
    SolutionMixed,
    SurfaceStripped,
    Treated,
    TreatmentStarted,
)
from consumables.reports.discards import DiscardLine, TreatmentLine, discard_line, treatment_line

_THROWN = (Discarded, SurfaceStripped, PieceRetired, OutsideUseRecorded)
_WASHED = (Cleaned, TreatmentStarted, Treated, SolutionMixed, SolutionDiscarded)


@dataclass(frozen=True)
class Period:
    """Days from `first` to `last`, both included, in the shop's own zone."""

    first: date
    last: date


def discards(desk: Desk, period: Period) -> list[DiscardLine]:
    """What was thrown away, stripped or retired, and what was used outside the rules."""
    return _lines(desk, period, _THROWN, lambda entry: discard_line(entry, desk.name_of, desk.zone))


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
    return [line(entry) for entry in entries if entry.entry_id not in undone]
