"""The jars of disinfectant: mixed by measure, dated, and emptied when their time is up."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import uuid4

from consumables.closeout import bath, solutions
from consumables.closeout.bath import ULTRASONIC_MINUTES
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.items.cautions import cautions_at
from consumables.ledger.events import Event, SolutionDiscarded, SolutionMixed, UsedLoose
from consumables.ledger.marks import JarMark
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import first_to_expire
from consumables.store.shop_store import Session

PURPOSES = ("disinfect", "ultrasonic")


@dataclass(frozen=True)
class Jar:
    """A jar of disinfectant in use, or the ultrasonic bath; `holds` are the pieces lying in it."""

    jar_id: str
    name: str
    mixed_at: datetime
    change_by: datetime
    parts_water: int | float
    contact_minutes: int
    stale: bool
    total_ml: int
    label: str
    purpose: str
    holds: tuple[str, ...]


def cautions() -> tuple[str, ...]:
    """What to mind while pouring and mixing."""
    return cautions_at("mixing")


def jars(desk: Desk) -> list[Jar]:
    """Jars in use, the freshest first."""
    with desk.store.reading() as session:
        marks: list[JarMark] = session.marks("jar")
        pieces = session.pieces()
    found = [_jar(desk, mark, pieces) for mark in marks]
    return sorted(found, key=lambda jar: jar.mixed_at, reverse=True)


def mix_jar(
    desk: Desk,
    item_id: str,
    total_ml: int,
    parts_water: int | float | Decimal,
    label: str = "",
    label_days: int | None = None,
    purpose: str = "disinfect",
) -> Receipt:
    """Mix and date a fresh jar; the concentrate it takes leaves the shelf.

    `label` keeps the label's own words where the strength was told by them; `label_days` is how
    many days the label lets a mixed jar stand, the mixing day included. An ultrasonic bath is
    changed daily whatever the book says of disinfectant (N.J.A.C. 13:28-3.2).
    """
    if purpose not in PURPOSES:
        raise Refused(f"A jar is for one of these: {', '.join(PURPOSES)}.")
    mixed = _mixed(desk, item_id, total_ml, parts_water, label, label_days, purpose)
    needed = solutions.product_ml(total_ml, parts_water)

    def decide(session: Session) -> list[Event]:
        return [mixed, *_drawn(desk, session, item_id, needed, mixed.jar_id)]

    sentence = _sentence(desk, mixed, needed)
    receipt = desk.do("mix", sentence, decide)
    cautions = cautions_at("ultrasonic" if purpose == "ultrasonic" else "mixing")
    return Receipt(receipt.job_key, sentence, cautions=cautions)


def mix_from_label(
    desk: Desk,
    item_id: str,
    total: str,
    strength: str,
    label_days: int | None = None,
    purpose: str = "disinfect",
) -> Receipt:
    """Mix a jar from what stands on the label: `total` a volume ("1000", "1 us_gal"), `strength`
    parts of water ("64") or the label's words ("2 us_fl_oz per us_gal"). Raises Refused."""
    from consumables.desk.measures import millilitres, parts_on_label

    told = strength.strip()
    bare = told.isascii() and told.replace(".", "", 1).isdecimal()
    parts = Decimal(told) if bare else parts_on_label(told)
    label = "" if bare else told
    return mix_jar(desk, item_id, millilitres(total), parts, label, label_days, purpose)


def mix_from_percent(
    desk: Desk,
    item_id: str,
    total: str,
    stock: Decimal,
    target: Decimal,
    label_days: int | None = None,
    purpose: str = "disinfect",
) -> Receipt:
    """Mix a jar from percentages: a product of `stock` per cent thinned to `target`."""
    from consumables.desk.measures import millilitres

    parts = solutions.parts_to_dilute(stock, target)
    label = f"{stock} % to {target} %"
    return mix_jar(desk, item_id, millilitres(total), parts, label, label_days, purpose)


def empty_jar(desk: Desk, jar_id: str, because: str = "changed") -> Receipt:
    """Empty a jar: its time is up, or it went cloudy. Refused while pieces lie in it."""

    def decide(session: Session) -> list[Event]:
        mark = named_jar(session, jar_id)
        bath.may_be_emptied(jar_id, session.pieces())
        return [SolutionDiscarded(mark.item_id, jar_id, because)]

    return desk.do("empty-jar", f"{jar_id} emptied: {because}.", decide)


def freshest(session: Session, purpose: str = "disinfect") -> JarMark | None:
    """The jar for this that may stand longest, if any is in use."""
    marks: list[JarMark] = [m for m in session.marks("jar") if m.purpose == purpose]
    return max(marks, key=lambda mark: (mark.change_by, mark.mixed_at), default=None)


def named_jar(session: Session, jar_id: str) -> JarMark:
    """A jar in use by its name; NotFound where there is none."""
    marks: dict[str, JarMark] = {mark.jar_id: mark for mark in session.marks("jar")}
    if jar_id not in marks:
        raise NotFound(f"No jar {jar_id} is in use; `consumables wash` lists them.")
    return marks[jar_id]


def _mixed(
    desk: Desk,
    item_id: str,
    total_ml: int,
    parts_water: int | float | Decimal,
    label: str,
    label_days: int | None,
    purpose: str,
) -> SolutionMixed:
    item, book = desk.item(item_id), desk.book.parameters
    cleans = purpose == "ultrasonic"
    words = ("daily",) if cleans else book.solution_change
    minutes = ULTRASONIC_MINUTES if cleans else item.contact_minutes or book.contact_minutes
    name = f"jar-{desk.now():%m%d-%H%M}-{uuid4().hex[:2]}"
    until = solutions.change_by(desk.now(), words, label_days)
    parts = _plain(parts_water)
    return SolutionMixed(item_id, name, parts, minutes, until, total_ml, label, purpose)


def _plain(parts: int | float | Decimal) -> int | float:
    rounded = round(float(parts), 2)
    return int(rounded) if rounded.is_integer() else rounded


def _drawn(desk: Desk, session: Session, item_id: str, needed: int, name: str) -> list[Event]:
    events: list[Event] = []
    left = needed
    for lot in first_to_expire(tuple(session.lots([item_id]))):
        units = min(left, lot.on_hand) if lot.in_date(desk.today()) else 0
        if units:
            events.append(UsedLoose(item_id, lot.lot_id, units, f"mixed {name}"))
            left -= units
    if left:
        held = f"{needed - left} in date on the shelf"
        raise Refused(f"{desk.name_of(item_id)}: {needed} ml needed, {held}.")
    return events


def _sentence(desk: Desk, mixed: SolutionMixed, needed: int) -> str:
    strength = f"1:{mixed.parts_water:g}" + (f", {mixed.label}" if mixed.label else "")
    kind = "ultrasonic bath " if mixed.purpose == "ultrasonic" else ""
    return (
        f"Mixed {kind}{mixed.jar_id}: {needed} ml of {desk.name_of(mixed.item_id)} and "
        f"{mixed.total_ml - needed} ml of water ({strength}), {mixed.contact_minutes} min, "
        f"change by {mixed.change_by:%a %d %b %H:%M}."
    )


def _jar(desk: Desk, mark: JarMark, pieces: Sequence[PieceBalance]) -> Jar:
    return Jar(
        mark.jar_id,
        desk.name_of(mark.item_id),
        mark.mixed_at.astimezone(desk.zone),
        mark.change_by.astimezone(desk.zone),
        mark.parts_water,
        mark.contact_minutes,
        desk.now() > mark.change_by,
        mark.total_ml,
        mark.label,
        mark.purpose,
        tuple(piece.piece_id for piece in bath.in_jar(mark.jar_id, pieces)),
    )
