"""The invented diary as an iCalendar file (RFC 5545), as an ordinary calendar would save it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from pathlib import Path

from invent_diary import REGULARS, Regular, Visit, rows_of
from make_demo_shop import ANCHOR

ZONE = "Europe/Lisbon"
# The zone's summer time in the shape RFC 5545, section 3.6.5 asks for; the dates of the change
# (last Sundays of March and October, 01:00 UTC) are from memory of the European rule.
HEAD = f"""BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Whinchat Yard (invented)//demo diary//EN
BEGIN:VTIMEZONE
TZID:{ZONE}
BEGIN:STANDARD
DTSTART:19961027T020000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
TZNAME:WET
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19970330T010000
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
TZNAME:WEST
END:DAYLIGHT
END:VTIMEZONE"""


def calendar_text(folder: Path, visits: Iterable[Visit]) -> str:
    """Every visit of the busy week and after it that is booked by the anchor day."""
    words = {
        row["service"]: row["word"] for row in reversed(rows_of(folder / "calendar_words.csv"))
    }
    minutes = {row["service"]: int(row["minutes"]) for row in rows_of(folder / "services.csv")}
    events = [
        _event(visit, words)
        for visit in visits
        if visit.starts_at.date() >= ANCHOR - timedelta(days=6) and visit.booked_on <= ANCHOR
    ]
    events += [_series(regular, words, minutes[regular.service_id]) for regular in REGULARS]
    return "\r\n".join([*HEAD.splitlines(), *events, "END:VCALENDAR", ""])


def _event(visit: Visit, words: dict[str, str]) -> str:
    cancelled = visit.fate == "cancelled"
    return _lines(
        visit.visit_id,
        visit.booked_on,
        visit.starts_at,
        visit.minutes,
        " and ".join(words[service] for service in visit.service_ids),
        visit.client,
        visit.technician,
        f"STATUS:{'CANCELLED' if cancelled else 'CONFIRMED'}",
        f"SEQUENCE:{int(cancelled)}",
    )


def _series(regular: Regular, words: dict[str, str], minutes: int) -> str:
    starts_at = datetime.combine(regular.first_day, datetime.min.time()).replace(hour=9)
    skipped = [f"EXDATE;TZID={ZONE}:{day:%Y%m%d}T090000" for day in regular.skipped]
    return _lines(
        regular.visit_id,
        ANCHOR - timedelta(days=20),
        starts_at,
        minutes,
        words[regular.service_id],
        regular.client,
        regular.technician,
        f"RRULE:FREQ=WEEKLY;INTERVAL={regular.every_weeks};COUNT={regular.times}",
        *skipped,
        "STATUS:CONFIRMED",
    )


def _lines(uid: str, booked_on: date, starts_at: datetime, minutes: int, summary: str,
           client: str, technician: str, *more: str) -> str:  # fmt: skip
    ends_at = starts_at + timedelta(minutes=minutes)
    return "\r\n".join(
        (
            "BEGIN:VEVENT",
            f"UID:{uid}",
            f"DTSTAMP:{booked_on:%Y%m%d}T120000Z",
            f"CREATED:{booked_on:%Y%m%d}T120000Z",
            f"DTSTART;TZID={ZONE}:{starts_at:%Y%m%dT%H%M%S}",
            f"DTEND;TZID={ZONE}:{ends_at:%Y%m%dT%H%M%S}",
            f"SUMMARY:{summary.capitalize()}",
            f"DESCRIPTION:client: {client}\\ntechnician: {technician}",
            *more,
            "END:VEVENT",
        )
    )
