"""A foot basin is drained, scrubbed and disinfected after each client, and the log shows it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from consumables.errors import Refused
from consumables.ledger.wash_events import BasinCleaned

# 16 CCR 980.1 and 980.2: after each client, at the end of the day, once a week.
MOMENTS = ("after-client", "end-of-day", "weekly")
_WEEK = timedelta(days=7)


@dataclass(frozen=True)
class BasinEntry:
    """One cleaning of a basin, on the shop's own day."""

    basin: str
    moment: str
    on: date


def cleaned(
    item_id: str, basin: str, moment: str, minutes: int, asked_minutes: int
) -> BasinCleaned:
    """One cleaning; raises Refused where disinfectant stood or ran shorter than it must.

    `asked_minutes` is the book's or the label's (16 CCR 980.1: at least 10; EPA: 10 or the
    label's time).
    """
    if moment not in MOMENTS or not basin.strip():
        raise Refused(f"Name the basin, and the moment as one of these: {', '.join(MOMENTS)}.")
    if minutes < asked_minutes:
        raise Refused(
            f"{minutes} min is too short for basin {basin}: disinfectant must stand or run "
            f"{asked_minutes} min. Do it again, then write it down."
        )
    return BasinCleaned(item_id, basin.strip(), moment, minutes)


def overdue(log: Iterable[BasinEntry], today: date) -> list[str]:
    """What each basin in the log lacks, in sentences: yesterday's end of day, this week's step.

    A basin that served on a day wants an end-of-day cleaning on that day or later; its weekly one
    is due seven days after the last, or after its first line in the log.
    """
    entries = list(log)
    told: list[str] = []
    for basin in sorted({entry.basin for entry in entries}):
        own = [entry for entry in entries if entry.basin == basin]
        told += _end_of_day(basin, own, today)
        told += _weekly(basin, own, today)
    return told


def _end_of_day(basin: str, own: list[BasinEntry], today: date) -> list[str]:
    served = [e.on for e in own if e.moment == "after-client" and e.on < today]
    closed = max((e.on for e in own if e.moment != "after-client"), default=date.min)
    last = max(served, default=date.min)
    return [f"Basin {basin}: no end-of-day cleaning since {last}."] if last > closed else []


def _weekly(basin: str, own: list[BasinEntry], today: date) -> list[str]:
    since = max((e.on for e in own if e.moment == "weekly"), default=min(e.on for e in own))
    due = since + _WEEK
    return [f"Basin {basin}: its weekly cleaning was due on {due}."] if today > due else []
