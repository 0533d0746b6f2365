"""The foot-basin log: which basin, when, with what, for how long, and who signed."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from consumables.closeout import basins, treatment
from consumables.closeout.basins import MOMENTS as MOMENTS
from consumables.desk.opening import Desk, Receipt
from consumables.errors import Refused
from consumables.items.cautions import cautions_at
from consumables.ledger.events import EntryCorrected, Event
from consumables.ledger.fold import standing
from consumables.ledger.wash_events import BasinCleaned
from consumables.store.shop_store import Session
from consumables.words import Route

_LOOKED_BACK = timedelta(days=60)  # a basin unused for so long is no longer asked after


@dataclass(frozen=True)
class BasinLine:
    """One line of the foot-basin log."""

    entry_id: int
    at: datetime  # shop's zone
    basin: str
    moment: str
    product: str
    minutes: int
    who: str


def cautions() -> tuple[str, ...]:
    """What to mind at a foot basin."""
    return cautions_at("basin")


def log_basin(
    desk: Desk, basin: str, moment: str, item_id: str, minutes: int | None = None
) -> Receipt:
    """Write down that a basin was cleaned and disinfected; without minutes, what was asked for.

    Raises Refused where the time is shorter than the label or the book asks, or nobody signs.
    """
    if not desk.who:
        raise Refused("Say who signs this: the foot-basin log wants initials (--who, or key i).")
    asked = asked_minutes(desk, item_id)
    done = asked if minutes is None else minutes
    event = basins.cleaned(item_id, basin, moment, done, asked)

    def decide(_session: Session) -> list[Event]:
        return [event]

    words = f"Basin {event.basin}: {moment}, {done} min with {desk.name_of(item_id)}."
    receipt = desk.do("basin", words, decide)
    return Receipt(receipt.job_key, words, cautions=cautions())


def asked_minutes(desk: Desk, item_id: str) -> int:
    """How long this product must stand or run in a basin: its label's time, and no less than the
    book asks of basins."""
    book = desk.book.parameters
    label = treatment.contact_minutes(Route.IMMERSE, desk.item(item_id).contact_minutes, book)
    return max(label, book.foot_basin_minutes or 0)


def basin_log(desk: Desk, days: int = 60) -> list[BasinLine]:
    """The log, newest first."""
    since = desk.now() - timedelta(days=days)
    with desk.store.reading() as session:
        entries = standing(session.read(kinds=[BasinCleaned, EntryCorrected], since=since))
    return [
        BasinLine(
            entry.entry_id,
            entry.at.astimezone(desk.zone),
            event.basin,
            event.moment,
            desk.name_of(event.item_id),
            event.minutes,
            entry.who,
        )
        for entry in reversed(entries)
        if isinstance(event := entry.event, BasinCleaned)
    ]


def overdue(desk: Desk) -> list[str]:
    """What the log lacks, where the book in force wants one; else nothing."""
    if not desk.book.parameters.foot_basin_log:
        return []
    lines = basin_log(desk, _LOOKED_BACK.days)
    told = [basins.BasinEntry(line.basin, line.moment, line.at.date()) for line in lines]
    return basins.overdue(told, desk.today())
