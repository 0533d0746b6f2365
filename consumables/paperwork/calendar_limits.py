"""A calendar may repeat a visit for years, but it may not ask for what no desk could serve."""

from datetime import date, datetime
from math import prod
from typing import Any

from consumables.paperwork.calendar_events import EventsRead, listed, refuse

FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
MOST_A_DAY = 96  # one start each quarter of an hour
MOST_STARTS = 100_000  # of one event, from its first day to the last day asked for


def refuse_beyond_limits(read: EventsRead, last: date) -> None:
    """Raise BadFile for an event that ends before it starts or repeats without measure."""
    for event in read.events:
        _refuse_odd_length(read.name, event)
        for rule in listed(event, "RRULE"):
            if fault := _fault(rule, event["DTSTART"].dt, last):
                raise refuse(read.name, event, "RRULE", fault)


def _refuse_odd_length(name: str, event: Any) -> None:
    start = event["DTSTART"].dt
    end = event["DTEND"].dt if "DTEND" in event else start
    if isinstance(end, datetime) != isinstance(start, datetime):
        raise refuse(name, event, "DTEND", "DTSTART and DTEND are expected to be of one kind.")
    if end < start:
        raise refuse(name, event, "DTEND", "the event ends before it starts.")
    days = event["DURATION"].dt.days if "DURATION" in event else 0
    if days < 0:
        raise refuse(name, event, "DURATION", "the event ends before it starts.")
    if days > 366:
        raise refuse(name, event, "DURATION", "at most 366 days are expected.")


def _fault(rule: Any, start: date, last: date) -> str:
    """The sentence that says what is wrong with a recurrence rule, or nothing."""
    frequency = str(rule.get("FREQ", [""])[0]).upper()
    if frequency not in FREQUENCIES:
        return f"FREQ={frequency or '?'} is refused; {', '.join(FREQUENCIES)} are expected."
    if min(int(n) for n in [*rule.get("INTERVAL", [1]), *rule.get("COUNT", [1])]) < 1:
        return "INTERVAL and COUNT of at least 1 are expected."
    a_day = prod(len(rule.get(part, [0])) for part in ("BYHOUR", "BYMINUTE", "BYSECOND"))
    days = max((last - date(start.year, start.month, start.day)).days, 0) + 1
    if a_day > MOST_A_DAY or a_day * days > MOST_STARTS:
        return f"at most {MOST_A_DAY} starts a day and {MOST_STARTS} in all are expected."
    return _never_comes(rule, start)


def _never_comes(rule: Any, start: date) -> str:
    """Refuse a rule that no day fulfils, such as 30 February: unfolding it takes seconds.

    The calendar repeats every 400 years to the weekday, so the search starts at the same place
    of a late cycle, where the library soon runs out of years.
    """
    from dateutil.rrule import rrulestr  # type: ignore[import-untyped]

    bare = type(rule)({k: v for k, v in rule.items() if k not in ("COUNT", "UNTIL")})
    cycle = 9600 if start.year % 400 < 300 else 9200  # leaves 100 to 500 years to search
    late = datetime(cycle + start.year % 400, start.month, start.day)
    try:
        found = next(iter(rrulestr(bare.to_ical().decode(), dtstart=late)), None)
    except (ValueError, TypeError):
        return "the rule cannot be read."
    return "" if found else "the rule never comes true."
