"""Ten o'clock in the calendar is ten o'clock at the desk, whatever zone the export speaks of."""

from collections.abc import Iterator
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from consumables.paperwork.calendar_events import EventsRead, listed, listed_moments


def settle_zones(read: EventsRead, shop: ZoneInfo) -> None:
    """Give every floating time, and every time of an unknown zone, the shop's zone (in place)."""
    floating = False
    unknown: dict[str, None] = {}
    for event in read.events:
        for moment in _moments(event):
            if isinstance(moment.dt, datetime) and moment.dt.tzinfo is None:
                zone = moment.params.get("TZID")
                unknown |= {str(zone): None} if zone else {}
                floating = floating or not zone
                moment.dt = moment.dt.replace(tzinfo=shop)
        for rule in listed(event, "RRULE"):
            _settle_until(rule, event["DTSTART"].dt)
    _warn(read, shop, floating, list(unknown))


def _warn(read: EventsRead, shop: ZoneInfo, floating: bool, unknown: list[str]) -> None:
    for zone in unknown:
        read.warnings.append(
            f"The time zone '{zone[:40]}' is not known; its times were read as {shop.key}."
        )
    others = [zone for zone in read.own_zones if zone != shop.key]
    if floating and others:
        read.warnings.append(
            f"The calendar is set to {others[0][:40]}, but times without a zone were read as the"
            f" shop's own ({shop.key})."
        )


def _moments(event: Any) -> Iterator[Any]:
    for column in ("DTSTART", "DTEND", "RECURRENCE-ID"):
        if column in event:
            yield event[column]
    for column in ("RDATE", "EXDATE"):
        yield from listed_moments(event, column)


def _settle_until(rule: Any, start: Any) -> None:
    """UNTIL in UTC (RFC 5545, 3.3.10). A bare date, which exports write against the standard,
    means the whole of that day: the library would stop at its midnight and lose a visit."""
    if "UNTIL" in rule and rule["UNTIL"][0].year > 2190:  # some exports write the year 9999
        del rule["UNTIL"]
    if "UNTIL" in rule and isinstance(start, datetime):
        rule["UNTIL"] = [_until(rule["UNTIL"][0], start)]


def _until(given: Any, start: datetime) -> datetime:
    until = given if isinstance(given, datetime) else datetime.combine(given, time(23, 59, 59))
    return (until if until.tzinfo else until.replace(tzinfo=start.tzinfo)).astimezone(UTC)


def exact_end(event: Any, start: datetime) -> datetime:
    """When an instance that begins at `start` ends, in UTC.

    With DTEND the exact length of the event counts; of a DURATION, days and weeks are days of
    the calendar and the rest is exact (RFC 5545, 3.3.6 and 3.8.5.3). With neither, at once.
    """
    if "DTEND" in event:
        begins, ends = event["DTSTART"].dt, event["DTEND"].dt
        exact: timedelta = ends.astimezone(UTC) - begins.astimezone(UTC)
        return start.astimezone(UTC) + exact
    length: timedelta = event["DURATION"].dt if "DURATION" in event else timedelta(0)
    rest = length - timedelta(days=length.days)
    return (start + timedelta(days=length.days)).astimezone(UTC) + rest


def wall_clock_shows(moment: datetime) -> bool:
    """Whether clocks of the moment's own zone ever show it; they skip an hour in spring."""
    back = moment.astimezone(UTC).astimezone(moment.tzinfo)
    return back.replace(tzinfo=None) == moment.replace(tzinfo=None)
