"""An exported calendar is read event by event, and each event must hold before it is believed.

The format is iCalendar, RFC 5545.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from consumables.errors import BadFile
from consumables.paperwork.incoming import incoming_bytes

# What the desk reads of an event; if one of these cannot be read, the event cannot be believed.
_MUST_HOLD = (
    "UID", "DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "EXRULE",
    "RECURRENCE-ID", "SEQUENCE", "STATUS",
)  # fmt: skip
_SINGLE_MOMENTS = ("DTSTART", "DTEND", "RECURRENCE-ID")
_ONCE = ("UID", "DTSTART", "DTEND", "DURATION", "RECURRENCE-ID", "SEQUENCE", "STATUS")


@dataclass(frozen=True)
class EventsRead:
    """The events of a file, whole and single-valued, and what the owner should know of it."""

    name: str
    events: tuple[Any, ...]  # icalendar.Event, each with X-DESK-NUMBER from 1
    own_zones: tuple[str, ...] = ()  # zones the calendars name for themselves
    warnings: list[str] = field(default_factory=list)


def read_events(source: Path | str) -> EventsRead:
    """Every VEVENT of a file (Path) or of calendar text (str); raises BadFile."""
    name = str(source) if isinstance(source, Path) else "calendar"
    warnings: list[str] = []
    text = _text(incoming_bytes(source), warnings) if isinstance(source, Path) else source
    text = text.removeprefix("\ufeff").strip()
    _refuse_torn(name, text)
    calendars = _calendars(name, text)
    zones = dict.fromkeys(str(c["X-WR-TIMEZONE"]) for c in calendars if c.get("X-WR-TIMEZONE"))
    events = [event for calendar in calendars for event in _events(calendar)]
    for number, event in enumerate(events, start=1):
        event["X-DESK-NUMBER"] = number
        refuse_unless_it_holds(name, event)
        if any(where is None for where, _ in event.errors):
            warnings.append(f"Event {number} has a line that cannot be read; it was passed over.")
    return EventsRead(name, tuple(_newest(events)), tuple(zones), warnings)


def refuse(name: str, event: Any, column: str, expected: str) -> BadFile:
    """The refusal that names an event by number, start and UID, never by its title."""
    uid = re.sub(r"\s+", " ", str(event.get("UID", "none")))[:40]
    start = moment_of(event, "DTSTART")
    starts = f", starts {start:%Y-%m-%d %H:%M}" if start else ""
    which = f"Event {event['X-DESK-NUMBER']} (UID {uid}{starts})"
    return BadFile(name, None, column, f"{which}: {expected}")


# ------------------------------------------------------------------ from bytes to events


def _text(raw: bytes, warnings: list[str]) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        warnings.append(
            "The calendar is not written in UTF-8; it was read as Windows-1252, so letters with"
            " accents may be wrong."
        )
        return raw.decode("cp1252", errors="replace")


def _refuse_torn(name: str, text: str) -> None:
    """Every BEGIN needs its END; the library would quietly leave out what is torn off."""
    opened: list[str] = []
    for line in re.sub(r"(\r\n|\r|\n)[ \t]", "", text).splitlines():
        verb, _, what = line.strip().upper().partition(":")
        if verb == "BEGIN":
            opened.append(what)
        elif verb == "END" and (not opened or opened.pop() != what):
            raise BadFile(name, None, "", f"A line END:{what} has no BEGIN; export it again.")
    if opened:
        raise BadFile(
            name, None, "", f"The calendar breaks off inside {opened[-1]}; export it again."
        )
    if not text[:15].upper().startswith("BEGIN:VCALENDAR"):
        raise BadFile(
            name, None, "", "An iCalendar file that opens with BEGIN:VCALENDAR is expected."
        )


def _calendars(name: str, text: str) -> list[Any]:
    import warnings

    import icalendar

    icalendar.use_zoneinfo()  # type: ignore[no-untyped-call]  # forgets zones that an earlier file defined for itself
    try:
        with warnings.catch_warnings(action="ignore"):
            calendars: list[Any] = icalendar.Calendar.from_ical(text, multiple=True)
    except Exception:  # damaged zones and names fail in the library in many ways
        raise BadFile(name, None, "", "The calendar cannot be read; export it again.") from None
    if any(str(c.get("CALSCALE", "GREGORIAN")).upper() != "GREGORIAN" for c in calendars):
        raise BadFile(name, None, "CALSCALE", "A calendar in the Gregorian scale is expected.")
    return calendars


def _events(calendar: Any) -> list[Any]:
    from icalendar.prop import vText

    events = [part for part in calendar.subcomponents if part.name == "VEVENT"]
    if str(calendar.get("METHOD", "")).upper() == "CANCEL":  # RFC 5546, 3.2.5
        for event in events:
            event["STATUS"] = vText("CANCELLED")
    return events


def _newest(events: Sequence[Any]) -> list[Any]:
    """Of several versions of one event, the one with the highest SEQUENCE, then DTSTAMP."""
    kept: dict[tuple[str, str], Any] = {}
    for event in events:
        key = (str(event["UID"]), recurrence_name(event))
        if key not in kept or _version(kept[key]) <= _version(event):
            kept[key] = event
    return list(kept.values())


def _version(event: Any) -> tuple[int, str]:
    stamp = moment_of(event, "DTSTAMP")
    return int(event.get("SEQUENCE", 0)), moment_name(stamp) if stamp else ""


def recurrence_name(event: Any) -> str:
    """RECURRENCE-ID as written in UTC, or nothing for an event that replaces no other."""
    given = event.get("RECURRENCE-ID")
    return moment_name(given.dt) if given is not None else ""


def moment_name(moment: date) -> str:
    """A moment as basic ISO 8601, in UTC where its zone is known."""
    if not isinstance(moment, datetime):
        return f"{moment:%Y%m%d}"
    if moment.tzinfo is None:
        return f"{moment:%Y%m%dT%H%M%S}"
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


# ------------------------------------------------------------------ does an event hold?


def refuse_unless_it_holds(name: str, event: Any) -> None:
    """Raise BadFile when an event misses, doubles or contradicts what an appointment needs."""
    for column, _ in event.errors:
        if column in _MUST_HOLD:
            raise refuse(name, event, column, "this line cannot be read.")
    for column in ("UID", "DTSTART"):
        if not str(event.get(column, "")).strip():
            raise refuse(name, event, column, "this line is expected and missing.")
    for column in _ONCE:
        if isinstance(event.get(column), list):
            raise refuse(name, event, column, "this line is expected once and stands twice.")
    if "EXRULE" in event:
        raise refuse(
            name, event, "EXRULE", "EXRULE left the standard; dates in EXDATE are expected."
        )
    _refuse_wrong_kinds(name, event)


def _refuse_wrong_kinds(name: str, event: Any) -> None:
    """The library takes a time, a duration or a period wherever a date may stand."""
    moments = [(column, event[column]) for column in _SINGLE_MOMENTS if column in event]
    moments += [(c, moment) for c in ("RDATE", "EXDATE") for moment in listed_moments(event, c)]
    for column, moment in moments:
        if not is_a_day(moment.dt):
            raise refuse(name, event, column, "a date or a date and time, 1900-2190, is expected.")
    if "DURATION" in event and not isinstance(event["DURATION"].dt, timedelta):
        raise refuse(name, event, "DURATION", "a duration such as PT1H30M is expected.")
    for rule in listed(event, "RRULE"):
        if any(len(rule.get(part, [])) > 1 for part in ("FREQ", "INTERVAL", "COUNT", "UNTIL")):
            raise refuse(name, event, "RRULE", "FREQ, INTERVAL, COUNT, UNTIL have one value each.")
        if not all(isinstance(until, date) for until in rule.get("UNTIL", [])):
            raise refuse(name, event, "RRULE", "UNTIL is expected to be a date.")


def is_a_day(moment: object) -> bool:
    """A date or date-time of an age in which the arithmetic of zones is safe."""
    return isinstance(moment, date) and 1900 <= moment.year <= 2190


def listed_moments(event: Any, column: str) -> list[Any]:
    """The single moments of RDATE or EXDATE, which may hold several lines of several dates."""
    return [moment for line in listed(event, column) for moment in line.dts]


def listed(event: Any, column: str) -> list[Any]:
    """A property that may stand once, several times or never, as a list."""
    given = event.get(column, [])
    return given if isinstance(given, list) else [given]


def moment_of(event: Any, column: str) -> date | None:
    """A property that the event can do without; None when it is missing or cannot be read."""
    if any(where == column for where, _ in event.errors) or isinstance(event.get(column), list):
        return None
    moment = getattr(event.get(column), "dt", None)
    return moment if is_a_day(moment) else None
