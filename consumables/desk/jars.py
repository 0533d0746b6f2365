"""The jars of disinfectant: mixed by measure, dated, and emptied when their time is up."""

from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from consumables.closeout import solutions
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import Event, SolutionDiscarded, SolutionMixed, UsedLoose
from consumables.ledger.marks import JarMark
from consumables.ledger.stock import first_to_expire
from consumables.store.shop_store import Session

CAUTIONS = (
    "Gloves and eye protection when pouring; measure, stronger is not safer; keep the label.",
    "Never mix bleach with ammonia, acids or other cleaners.",
)


@dataclass(frozen=True)
class Jar:
    """A jar of disinfectant in use."""

    jar_id: str
    name: str
    mixed_at: datetime
    change_by: datetime
    parts_water: int
    contact_minutes: int
    stale: bool


def jars(desk: Desk) -> list[Jar]:
    """Jars in use, the freshest first."""
    with desk.store.reading() as session:
        marks: list[JarMark] = session.marks("jar")
    found = [_jar(desk, mark) for mark in marks]
    return sorted(found, key=lambda jar: jar.mixed_at, reverse=True)


def mix_jar(desk: Desk, item_id: str, total_ml: int, parts_water: int) -> Receipt:
    """Mix and date a fresh jar; the concentrate it takes leaves the shelf."""
    item = desk.item(item_id)
    minutes = item.contact_minutes or desk.book.parameters.contact_minutes
    until = solutions.change_by(desk.now(), desk.book.parameters.solution_change)
    name = f"jar-{desk.now():%m%d-%H%M}-{uuid4().hex[:2]}"
    needed = solutions.product_ml(total_ml, parts_water)

    def decide(session: Session) -> list[Event]:
        events: list[Event] = [SolutionMixed(item_id, name, parts_water, minutes, until)]
        left = needed
        for lot in first_to_expire(tuple(session.lots([item_id]))):
            units = min(left, lot.on_hand) if lot.in_date(desk.today()) else 0
            if units:
                events.append(UsedLoose(item_id, lot.lot_id, units, f"mixed {name}"))
                left -= units
        if left:
            raise Refused(f"{item.name}: {needed} ml needed, {needed - left} in date on the shelf.")
        return events

    sentence = (
        f"Mixed {name}: {needed} ml of {item.name} and {total_ml - needed} ml of water "
        f"(1:{parts_water}), {minutes} min, change by {until:%a %d %b %H:%M}."
    )
    receipt = desk.do("mix", sentence, decide)
    return Receipt(receipt.job_key, sentence, cautions=CAUTIONS)


def empty_jar(desk: Desk, jar_id: str, because: str = "changed") -> Receipt:
    """Empty a jar: its time is up, or it went cloudy."""

    def decide(session: Session) -> list[Event]:
        marks = {mark.jar_id: mark for mark in session.marks("jar")}
        if jar_id not in marks:
            raise NotFound(f"No jar {jar_id} is in use; `consumables wash` lists them.")
        return [SolutionDiscarded(marks[jar_id].item_id, jar_id, because)]

    return desk.do("empty-jar", f"{jar_id} emptied: {because}.", decide)


def freshest(session: Session) -> JarMark | None:
    """The jar that may stand longest, if any is in use."""
    marks: list[JarMark] = session.marks("jar")
    return max(marks, key=lambda mark: mark.change_by, default=None)


def _jar(desk: Desk, mark: JarMark) -> Jar:
    return Jar(
        mark.jar_id,
        desk.name_of(mark.item_id),
        mark.mixed_at.astimezone(desk.zone),
        mark.change_by.astimezone(desk.zone),
        mark.parts_water,
        mark.contact_minutes,
        desk.now() > mark.change_by,
    )
