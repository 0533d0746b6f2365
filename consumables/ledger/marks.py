"""The small facts that are either so or not: a visit closed, a jar in use, a flag still open."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from consumables.errors import Refused
from consumables.ledger.events import (
    Entry,
    EntryCorrected,
    OutsideUseRecorded,
    SolutionDiscarded,
    SolutionMixed,
    StockCounted,
    VerdictLoosened,
    VerdictRestored,
    VerdictTightened,
    VisitClosed,
)
from consumables.words import Category, Outcome, Route


@dataclass(frozen=True)
class VisitMark:
    """A visit whose card was closed."""

    visit_id: str
    outcome: Outcome
    closed_at: datetime
    contaminated: bool
    job_key: str


@dataclass(frozen=True)
class JarMark:
    """A mixed jar of disinfectant."""

    jar_id: str
    item_id: str
    mixed_at: datetime
    change_by: datetime
    parts_water: int | float
    contact_minutes: int
    total_ml: int = 0
    label: str = ""
    purpose: str = "disinfect"  # disinfect | ultrasonic
    discarded: bool = False


@dataclass(frozen=True)
class FlagMark:
    """A use outside the rules or the counted stock, shown until it is settled."""

    entry_id: int
    item_id: str
    visit_id: str
    quantity: int
    because: str
    at: datetime
    settled: bool = False


@dataclass(frozen=True)
class TightenedMark:
    """An item the shop treats as single-use whatever its book says."""

    item_id: str
    because: str
    ended: bool = False


@dataclass(frozen=True)
class LoosenedMark:
    """An item the shop treats less strictly than its book, and on whose word."""

    item_id: str
    category: Category
    route: Route
    because: str
    citation: str
    signed_by: str
    signed_on: date
    ended: bool = False


def change_visit(before: VisitMark | None, entry: Entry) -> VisitMark:
    """A visit is closed once; a second card for it is refused."""
    event = entry.event
    assert isinstance(event, VisitClosed)
    if before is not None:
        raise Refused(f"Visit {event.visit_id} is closed already; undo it first to close it anew.")
    return VisitMark(event.visit_id, event.outcome, entry.at, event.contaminated, entry.job_key)


def change_jar(before: JarMark | None, entry: Entry) -> JarMark:
    """A jar is mixed once and emptied once."""
    match entry.event, before:
        case SolutionMixed() as mixed, None:
            return JarMark(
                mixed.jar_id,
                mixed.item_id,
                entry.at,
                mixed.change_by,
                mixed.parts_water,
                mixed.contact_minutes,
                mixed.total_ml,
                mixed.label,
                mixed.purpose,
            )
        case SolutionDiscarded(), JarMark(discarded=False):
            return replace(before, discarded=True)
        case SolutionMixed() as mixed, _:
            raise Refused(f"Jar {mixed.jar_id} is in use; give the fresh one another name.")
        case _:
            raise Refused("That jar is not in use in this shop.")


def change_flag(before: FlagMark | None, entry: Entry) -> FlagMark:
    """A flag stays until a count or a correction settles it."""
    match entry.event, before:
        case OutsideUseRecorded() as use, None:
            return FlagMark(
                entry.entry_id, use.item_id, use.visit_id, use.quantity, use.because, entry.at
            )
        case StockCounted() as count, None:
            surplus = count.counted - (count.counted if count.usable is None else count.usable)
            because = f"found {surplus} more than the ledger says"
            return FlagMark(entry.entry_id, count.item_id, "", surplus, because, entry.at)
        case EntryCorrected(), FlagMark():
            return replace(before, settled=True)
        case _:
            raise Refused("That flagged use does not exist in this shop.")


def change_tightened(before: TightenedMark | None, entry: Entry) -> TightenedMark | None:
    """The latest reason stands, until the book speaks again."""
    event = entry.event
    if isinstance(event, VerdictRestored):
        return replace(before, ended=True) if before is not None else None
    assert isinstance(event, VerdictTightened)
    return TightenedMark(event.item_id, event.because)


def change_loosened(before: LoosenedMark | None, entry: Entry) -> LoosenedMark | None:
    """The latest signature stands, until the book speaks again."""
    event = entry.event
    if isinstance(event, VerdictRestored):
        return replace(before, ended=True) if before is not None else None
    assert isinstance(event, VerdictLoosened)
    return LoosenedMark(
        event.item_id,
        event.category,
        event.route,
        event.because,
        event.citation,
        event.signed_by,
        event.signed_on,
    )
