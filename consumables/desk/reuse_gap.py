"""The reuse gap of a period: what the cards and the counts of this shop leave open."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from consumables.desk.opening import Desk
from consumables.desk.recording import Period
from consumables.errors import Refused
from consumables.ledger.appointments import Appointment
from consumables.ledger.events import (
    Entry,
    EntryCorrected,
    LotReceived,
    OutsideUseRecorded,
    StockCounted,
    UseRecorded,
    VisitClosed,
)
from consumables.ledger.fold import reversal_of
from consumables.words import Outcome

if TYPE_CHECKING:
    from consumables.reports.gap_chances import ReuseGap
    from consumables.reports.reuse_gap import CardTold, Counting, UseTold

_KINDS = (
    VisitClosed,
    UseRecorded,
    OutsideUseRecorded,
    StockCounted,
    LotReceived,
    EntryCorrected,
)
_Key = tuple[str, str]  # job and item
_BOOKED_FOR = timedelta(days=31)  # a card is rarely closed later than this after its visit


def reuse_gap(desk: Desk, period: Period, slips_one_in: int | None = None) -> "ReuseGap":
    """Visits not accounted for, by the set-ups of today and the book in force.

    `slips_one_in`: of so many cards one is short by oversight (SLIPS_ONE_IN when not said).
    """
    from consumables.reports.gap_chances import SLIPS_ONE_IN, reckon
    from consumables.reports.reuse_gap import not_counted, rule_of

    if slips_one_in is not None and slips_one_in < 2:
        raise Refused("Say of how many cards one is short by oversight: 2 or more, as 100.")
    entries, booked = _read(desk, period)
    setting = desk.catalogue.set_ups, desk.items, desk.verdicts
    gap = reckon(
        _cards(desk, entries, booked),
        rule_of(*setting),
        _countings(desk, entries),
        slips_one_in or SLIPS_ONE_IN,
    )
    return replace(gap, not_counted=not_counted(*setting))


def ending(last: date, days: int) -> Period:
    """So many days of which this is the last."""
    return Period(last - timedelta(days=days - 1), last)


def _read(desk: Desk, period: Period) -> tuple[list[Entry], Mapping[str, Appointment]]:
    since = datetime.combine(period.first, time(), desk.zone)
    until = datetime.combine(period.last + timedelta(days=1), time(), desk.zone)
    with desk.store.reading() as session:
        undone = session.reversed_ids()
        entries = [
            entry
            for entry in session.read(kinds=_KINDS, since=since, until=until)
            if entry.entry_id not in undone and reversal_of(entry) is None
        ]
        near = session.appointments(since - _BOOKED_FOR, until + _BOOKED_FOR)
        booked = {found.visit_id: found for found in near}
        for visit_id in _closed(entries).keys() - booked.keys():
            if found := session.appointment(visit_id):
                booked[visit_id] = found
    return entries, booked


def _closed(entries: Iterable[Entry]) -> dict[str, tuple[Entry, VisitClosed]]:
    return {
        entry.event.visit_id: (entry, entry.event)
        for entry in entries
        if isinstance(entry.event, VisitClosed) and entry.event.outcome is Outcome.SERVED
    }


def _cards(desk: Desk, entries: list[Entry], booked: Mapping[str, Appointment]) -> list["CardTold"]:
    from consumables.reports.reuse_gap import CardTold

    uses = _uses(entries)
    cards = []
    for visit_id, (entry, closed) in _closed(entries).items():
        visit = booked.get(visit_id)
        technician = (visit.technician if visit else "") or entry.who or "-"
        at = entry.at.astimezone(desk.zone)
        told = tuple(uses.get(visit_id, ()))
        cards.append(CardTold(visit_id, at, technician, closed.service_ids, told))
    return cards


def _uses(entries: Iterable[Entry]) -> dict[str, list["UseTold"]]:
    from consumables.reports.reuse_gap import UseTold

    uses: dict[str, list[UseTold]] = {}
    for entry in entries:
        event = entry.event
        if isinstance(event, UseRecorded | OutsideUseRecorded):
            flagged = isinstance(event, OutsideUseRecorded)
            told = UseTold(event.service_id, event.item_id, event.quantity, flagged)
            uses.setdefault(event.visit_id, []).append(told)
    return uses


def _countings(desk: Desk, entries: Iterable[Entry]) -> list["Counting"]:
    """Each count of an item with all its lots together."""
    from consumables.reports.reuse_gap import Counting

    jobs: dict[_Key, Counting] = {}
    held: dict[int, tuple[_Key, int]] = {}  # a surplus held back, by the entry that found it
    for entry in entries:
        if (seen := _seen(entry.event)) is not None:
            item_id, expected, counted = seen
            key = entry.job_key, item_id
            before = jobs.get(key) or Counting(item_id, entry.at.astimezone(desk.zone), 0, 0)
            jobs[key] = replace(
                before, expected=before.expected + expected, counted=before.counted + counted
            )
        match entry.event:
            case StockCounted(usable=int(usable)) as found:
                held[entry.entry_id] = (entry.job_key, found.item_id), found.counted - usable
            case EntryCorrected() as settled if settled.entry_id in held:
                (_, item_id), units = held[settled.entry_id]
                _seen_before(jobs, (entry.job_key, item_id), units)
            case LotReceived() as lot if (number := _settled_as_new(lot)) in held:
                key, _ = held[number]
                jobs[key] = replace(jobs[key], as_new=jobs[key].as_new + lot.quantity)
    return list(jobs.values())


def _seen(event: object) -> tuple[str, int, int] | None:
    match event:
        case StockCounted():
            return event.item_id, event.expected, event.counted
        case LotReceived(lot_id=lot_id, item_id=item_id):
            # A count of an item of which the ledger knew no lot at all.
            if lot_id.startswith("found-") and lot_id.endswith(f"-{item_id}"):
                return item_id, 0, event.quantity
    return None


def _settled_as_new(lot: LotReceived) -> int:
    """The entry of the count whose surplus this lot was taken in from; 0 where there is none."""
    number = lot.lot_id.removeprefix(f"{lot.item_id}-found-")
    return int(number) if number.isdecimal() else 0


def _seen_before(jobs: dict[_Key, "Counting"], key: _Key, units: int) -> None:
    """A surplus that an earlier count found and that still lies there is not found again."""
    again = jobs.get(key)
    if again is not None:
        more = max(0, again.counted - again.expected)
        jobs[key] = replace(again, expected=again.expected + min(units, more))
