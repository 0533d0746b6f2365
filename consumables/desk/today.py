"""What the day holds: the visits, which are still open, and what is waiting meanwhile."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import uuid4

from consumables.desk.coded import coded
from consumables.desk.opening import Desk
from consumables.desk.overdue import overdue
from consumables.errors import NotFound, Refused
from consumables.ledger.appointments import Appointment
from consumables.ledger.fold import Key
from consumables.ledger.marks import VisitMark
from consumables.words import Outcome, PieceState


@dataclass(frozen=True)
class DayVisit:
    """One visit of the day; `state` is open, closed, no-show or cancelled."""

    visit_id: str
    starts_at: datetime  # shop's own zone
    ends_at: datetime
    client: str
    technician: str
    services: tuple[str, ...]  # names
    state: str
    due: bool  # open, and its end has passed


@dataclass(frozen=True)
class DayGlance:
    """What waits, in numbers."""

    day: date
    shop: str
    book: str
    open_visits: int
    closed_visits: int
    soiled: int
    in_treatment: int
    ready_to_take_out: int
    stale_jars: int
    past_use_by: int  # lots
    flagged: int
    order_day: bool
    late: int  # logs and tests the book wants that are overdue


def visits_on(desk: Desk, day: date | None = None) -> list[DayVisit]:
    """The visits of one day (today when not said), by time."""
    first = _midnight(desk, day or desk.today())
    with desk.store.reading() as session:
        booked = session.appointments(first, first + timedelta(days=1))
        keys = [Key("visit", found.visit_id) for found in booked]
        marks = {key.id: mark for key, mark in session.balances(keys).items()}
    return [_visit(desk, found, marks.get(found.visit_id)) for found in booked]


def glance(desk: Desk) -> DayGlance:
    """The day in one look."""
    visits, today, now = visits_on(desk), desk.today(), desk.now()
    with desk.store.reading() as session:
        pieces, lots = session.pieces(), session.lots()
        jars, flags = session.marks("jar"), session.marks("flag")
    treated = [piece for piece in pieces if piece.state is PieceState.IN_TREATMENT]
    return DayGlance(
        day=today,
        shop=desk.settings.name,
        book=desk.book.said_as,
        open_visits=sum(visit.state == "open" for visit in visits),
        closed_visits=sum(visit.state in ("closed", "no-show") for visit in visits),
        soiled=sum(p.state in (PieceState.SOILED, PieceState.CLEANED) for p in pieces),
        in_treatment=len(treated),
        ready_to_take_out=sum(p.ready_at is None or p.ready_at <= now for p in treated),
        stale_jars=sum(now > jar.change_by for jar in jars),
        past_use_by=sum(not lot.in_date(today) for lot in lots),
        flagged=len(flags),
        order_day=today.weekday() == desk.settings.order_weekday,
        late=len(overdue(desk)),
    )


def find_visit(desk: Desk, visit_id: str) -> Appointment:
    """One visit by its id; NotFound names it."""
    with desk.store.reading() as session:
        found = session.appointment(visit_id)
    if found is None:
        raise NotFound(f"No visit {visit_id} is in the book; `consumables today` lists them.")
    return found


def walk_in(desk: Desk, service_ids: Sequence[str], client: str = "", technician: str = "") -> str:
    """Put a client without an appointment into the book, from now; returns the visit id."""
    services = {service.service_id: service for service in desk.catalogue.services}
    unknown = [name for name in service_ids if name not in services]
    if unknown or not service_ids:
        known = ", ".join(sorted(services))
        raise Refused(f"Name the services of the walk-in by their ids: {known}.")
    now = desk.now().replace(second=0, microsecond=0)
    minutes = sum(services[name].minutes for name in service_ids)
    visit = Appointment(
        f"walk-in-{uuid4().hex[:8]}",
        now,
        now + timedelta(minutes=minutes),
        tuple(service_ids),
        coded(client, "client"),
        coded(technician, "technician") or desk.who,
        booked_on=now.date(),
    )
    with desk.store.writing() as session:
        session.write_appointments([visit], "walk-in")
    return visit.visit_id


def _midnight(desk: Desk, day: date) -> datetime:
    return datetime.combine(day, time(), desk.zone)


def _visit(desk: Desk, found: Appointment, mark: object) -> DayVisit:
    state = "cancelled" if found.cancelled else "open"
    if isinstance(mark, VisitMark):
        state = "closed" if mark.outcome is Outcome.SERVED else "no-show"
    return DayVisit(
        found.visit_id,
        found.starts_at.astimezone(desk.zone),
        found.ends_at.astimezone(desk.zone),
        found.client,
        found.technician,
        tuple(desk.service_name(name) for name in found.service_ids),
        state,
        state == "open" and found.ends_at <= desk.now(),
    )
