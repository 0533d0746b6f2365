"""The calendar she already keeps becomes the book of visits; it is read and never written.

From an event the desk takes its time, the services its title stands for and, from its notes, a
line `client: XX` and a line `technician: AB`. Nothing else of it is kept.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from consumables.errors import BadFile
from consumables.items.catalogue import CalendarWord, Service
from consumables.ledger.appointments import Appointment
from consumables.paperwork.appointment_csv import read_appointment_csv
from consumables.paperwork.calendar_events import (
    EventsRead,
    listed,
    moment_name,
    moment_of,
    read_events,
)
from consumables.paperwork.calendar_limits import refuse_beyond_limits
from consumables.paperwork.calendar_words import CalendarRead, services_in, shortened
from consumables.paperwork.calendar_zones import exact_end, settle_zones, wall_clock_shows
from consumables.paperwork.cells import CellError, code

MOST_VISITS = 20_000


def read_appointments(
    path: Path,
    services: Sequence[Service],
    words: Sequence[CalendarWord],
    zone: str,
    first: date,
    last: date,
) -> CalendarRead:
    """The visits that start on `first` .. `last`, from an .ics or .csv file; raises BadFile."""
    match path.suffix.casefold():
        case ".ics":
            return read_calendar(path, words, zone, first, last)
        case ".csv":
            read = read_appointment_csv(path, services, words, zone)
            return replace(read, appointments=_within(read.appointments, first, last))
    raise BadFile(str(path), None, "", "A calendar (.ics) or a table (.csv) is expected.")


def read_calendar(
    source: Path | str, words: Sequence[CalendarWord], zone: str, first: date, last: date
) -> CalendarRead:
    """The visits of an iCalendar file (Path) or text (str) that start on `first` .. `last`.

    Repeated events are unfolded; starts and ends are in `zone` (IANA), sorted by start. A file
    that cannot be believed raises BadFile; what is merely no visit becomes a warning.
    """
    shop = ZoneInfo(zone)
    read = read_events(source)
    settle_zones(read, shop)
    refuse_beyond_limits(read, last)
    unfolded = _unfolded(read, shop, first, last)
    all_day = [day for _, day in unfolded if not isinstance(day, datetime)]
    timed = _timed(unfolded, shop)
    _refuse_too_many(read, timed)
    visits, others = _sorted_out([t for t in timed if first <= t.starts_at.date() <= last], words)
    appointments = [_appointment(read, instance, services) for instance, services in visits]
    return CalendarRead(
        appointments=tuple(sorted(appointments, key=lambda a: (a.starts_at, a.visit_id))),
        warnings=(
            *dict.fromkeys(read.warnings),
            *_all_day([day for day in all_day if first <= day <= last]),
            *_no_visits(others),
        ),
        unmapped=tuple(dict.fromkeys(shortened(_text(o.event, "SUMMARY")) for o in others)),
    )


def _within(
    appointments: Iterable[Appointment], first: date, last: date
) -> tuple[Appointment, ...]:
    return tuple(a for a in appointments if first <= a.starts_at.date() <= last)


# ------------------------------------------------------------------ unfolding


@dataclass(frozen=True)
class _Instance:
    """One start of an event of the file."""

    event: Any  # as it stands in the file
    start: datetime  # in the event's own zone
    starts_at: datetime  # the same moment in the shop's zone


def _unfolded(
    read: EventsRead, shop: ZoneInfo, first: date, last: date
) -> list[tuple[Any, datetime | date]]:
    """Every event near the days asked for, once for each start; a bare date lasts all day."""
    import icalendar
    import recurring_ical_events

    calendar = icalendar.Calendar()
    for event in read.events:
        calendar.add_component(event)
    since = datetime.combine(first, time(0), shop) - timedelta(days=1)
    until = datetime.combine(last, time(0), shop) + timedelta(days=2)
    try:
        copies = recurring_ical_events.of(calendar).between(since, until)
    except (ValueError, TypeError, OverflowError):
        raise BadFile(read.name, None, "", "A repeated event cannot be unfolded.") from None
    by_number = {event["X-DESK-NUMBER"]: event for event in read.events}
    return [(by_number[copy["X-DESK-NUMBER"]], copy["DTSTART"].dt) for copy in copies]


def _timed(unfolded: Iterable[tuple[Any, datetime | date]], shop: ZoneInfo) -> list[_Instance]:
    """Instances with a time of day, by start; the way through UTC settles skipped hours.

    A rule that lands on a skipped hour has no instance there (RFC 5545, 3.3.10).
    """
    instances = [
        _Instance(event, start, start.astimezone(UTC).astimezone(shop))
        for event, start in unfolded
        if isinstance(start, datetime) and ("RRULE" not in event or wall_clock_shows(start))
    ]
    return sorted(instances, key=lambda i: (i.starts_at, i.event["X-DESK-NUMBER"]))


def _refuse_too_many(read: EventsRead, instances: Sequence[_Instance]) -> None:
    if len(instances) > MOST_VISITS:
        raise BadFile(
            read.name, None, "", f"At most {MOST_VISITS} events are read; ask for fewer days."
        )


# ------------------------------------------------------------------ from instance to visit


def _sorted_out(
    instances: Sequence[_Instance], words: Sequence[CalendarWord]
) -> tuple[list[tuple[_Instance, tuple[str, ...]]], list[_Instance]]:
    """Instances with the services they stand for, and those that stand for none."""
    visits, others = [], []
    for instance in instances:
        if services := services_in(_text(instance.event, "SUMMARY"), words):
            visits.append((instance, services))
        else:
            others.append(instance)
    return visits, others


def _appointment(read: EventsRead, instance: _Instance, services: tuple[str, ...]) -> Appointment:
    event, starts_at = instance.event, instance.starts_at
    return Appointment(
        visit_id=_visit_id(event, instance.start),
        starts_at=starts_at,
        ends_at=exact_end(event, instance.start).astimezone(starts_at.tzinfo),
        service_ids=services,
        client=_noted(read, instance, "client"),
        technician=_noted(read, instance, "technician"),
        cancelled=str(event.get("STATUS", "")).upper() == "CANCELLED",
        booked_on=_booked_on(event, starts_at),
        sequence=max(int(event.get("SEQUENCE", 0)), 0),
    )


def _visit_id(event: Any, start: datetime) -> str:
    """UID, and for one of a series the start it had before anybody moved it."""
    uid = " ".join(str(event["UID"]).split())
    given = event.get("RECURRENCE-ID")
    if given is None:
        repeats = "RRULE" in event or "RDATE" in event
        return f"{uid}/{moment_name(start)}" if repeats else uid
    if str(given.params.get("RANGE", "")).upper() != "THISANDFUTURE":
        return f"{uid}/{moment_name(given.dt)}"
    return f"{uid}/{moment_name(start - _shift(event))}"


def _shift(event: Any) -> timedelta:
    """By how much an event with RANGE=THISANDFUTURE moves itself and all that follow."""
    start, given = event["DTSTART"].dt, event["RECURRENCE-ID"].dt
    if not isinstance(given, datetime):
        given = datetime.combine(given, time(0), start.tzinfo)
    was = given.astimezone(start.tzinfo)
    shift: timedelta = start.replace(tzinfo=None) - was.replace(tzinfo=None)
    return shift


def _booked_on(event: Any, starts_at: datetime) -> date | None:
    """The day the event was made; not known when that is after the visit (noted afterwards)."""
    made = moment_of(event, "CREATED")
    if not isinstance(made, datetime):
        return None
    day = (made if made.tzinfo else made.replace(tzinfo=UTC)).astimezone(starts_at.tzinfo).date()
    return day if day <= starts_at.date() else None


def _noted(read: EventsRead, instance: _Instance, what: str) -> str:
    """The code on a line `<what>: ...` of the event's notes; blank when there is none."""
    notes = re.sub(r"<[^<>]{1,80}>", "\n", _text(instance.event, "DESCRIPTION"))
    line = re.search(rf"^[ \t]*{what}[ \t]*:[ \t]*(.*?)[ \t\r]*$", notes, re.I | re.M)
    if not line or not line[1]:
        return ""
    try:
        return code(line[1])
    except CellError:
        read.warnings.append(
            f"{instance.starts_at:%Y-%m-%d %H:%M}: the line '{what}:' holds no code of at most 12"
            " characters without blanks; it was left out."
        )
        return ""


def _text(event: Any, column: str) -> str:
    return " ".join(map(str, listed(event, column)[:1]))


# ------------------------------------------------------------------ what was left out


def _all_day(days: Sequence[date]) -> list[str]:
    if not days:
        return []
    first = ", ".join(f"{day:%Y-%m-%d}" for day in sorted(days)[:3])
    return [f"All-day events are no visits and were left out: {len(days)} (first: {first})."]


def _no_visits(instances: Sequence[_Instance]) -> list[str]:
    if not instances:
        return []
    first = ", ".join(f"{i.starts_at:%Y-%m-%d %H:%M}" for i in instances[:3])
    return [
        f"Events whose title holds no calendar word were left out: {len(instances)}"
        f" (first: {first}). If one is a visit, add its word to calendar_words."
    ]
