"""Starting with a past: visits, use and deliveries from before the shop opened this tool."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from consumables.closeout.past import PastCard, PastShelf
from consumables.desk.bringing_in import BroughtIn
from consumables.desk.opening import Desk
from consumables.errors import Refused
from consumables.ledger.appointments import Appointment
from consumables.ledger.events import Event, LotReceived
from consumables.store.ledger_store import Job
from consumables.store.shop_store import Session

if TYPE_CHECKING:
    from consumables.paperwork.history_folder import History, PastDelivery, PastVisit

_KEY = "history:"


def bring_in_history(
    desk: Desk, folder: Path, progress: Callable[[int, int], None] | None = None
) -> BroughtIn:
    """Take over a history folder, once.

    With deliveries in it the past also empties and fills the shelf, so the opening stock must be
    that of its first day; without them the past is only learnt from. Raises Refused when a past
    was brought in before.
    """
    from consumables.paperwork.history_folder import read_history

    history = read_history(folder, desk.catalogue)
    with desk.store.writing() as session:
        if session.find_job(_KEY + "begun") is not None:
            raise Refused("A past was brought in before; what happened since is in the ledger.")
        session.append(
            desk.job("history", f"Past brought in from {folder.name}.", _KEY + "begun"), []
        )
        session.write_appointments(
            [_appointment(desk, visit) for visit in history.visits], "history"
        )
        work = list(_work(desk, _shelf(desk, session, bool(history.deliveries)), history))
        _write(session, work, progress)
    return BroughtIn(
        f"{folder.name}: {len(history.visits)} past visits, {len(history.use)} uses, "
        f"{len(history.deliveries)} deliveries."
    )


def _write(
    session: Session,
    work: list[tuple[Job, list[Event]]],
    progress: Callable[[int, int], None] | None,
) -> None:
    step = 100
    for start in range(0, len(work), step):
        session.append_many(work[start : start + step])
        if progress is not None:
            progress(min(start + step, len(work)), len(work))


def _shelf(desk: Desk, session: Session, draws: bool) -> PastShelf:
    kept = {name: (verdict.category, verdict.route) for name, verdict in desk.verdicts.items()}
    return PastShelf(session.lots(), session.pieces(), kept, draws)


def _work(desk: Desk, shelf: PastShelf, history: "History") -> Iterator[tuple[Job, list[Event]]]:
    for at, key, verb, decide in sorted(_moments(desk, shelf, history), key=lambda m: (m[0], m[1])):
        if events := decide():
            yield (
                Job(_KEY + key, at.astimezone(UTC), "", verb, "Before this shop's ledger."),
                events,
            )


def _moments(
    desk: Desk, shelf: PastShelf, history: "History"
) -> Iterator[tuple[datetime, str, str, Callable[[], list[Event]]]]:
    # Deliveries come before the day's first visit, loose use after its last.
    for number, delivery in enumerate(history.deliveries):
        at = _at(desk, delivery.arrived_on, time(0, 1))
        yield (
            at,
            f"delivery-{number:05d}",
            "receive",
            _bound(shelf.delivery, _lot(number, delivery)),
        )
    uses: dict[str, list[tuple[str, str, int]]] = {}
    for use in history.use:
        uses.setdefault(use.visit_id, []).append((use.item_id, use.service_id, use.quantity))
    for visit in history.visits:
        card = _card(visit, tuple(uses.get(visit.visit_id, ())))
        yield visit.starts_at, f"visit-{visit.visit_id}", "close", _bound(shelf.visit, card)
    for number, loose in enumerate(history.loose_use):
        at = _at(desk, loose.on, time(23, 50))
        told = (loose.on, loose.item_id, loose.quantity, loose.because)
        yield at, f"loose-{number:05d}", "use", _bound(shelf.loose, *told)


def _bound(decide: Callable[..., list[Event]], *told: object) -> Callable[[], list[Event]]:
    return lambda: decide(*told)


def _at(desk: Desk, day: date, hour: time) -> datetime:
    return datetime.combine(day, hour, desk.zone)


def _lot(number: int, delivery: "PastDelivery") -> LotReceived:
    return LotReceived(
        delivery.item_id,
        f"{delivery.item_id}-{delivery.lot or 'past'}-{number:05d}",
        delivery.quantity,
        delivery.use_by,
        supplier_lot=delivery.lot,
        unit_cost=delivery.unit_cost,
    )


def _card(visit: "PastVisit", uses: tuple[tuple[str, str, int], ...]) -> PastCard:
    day = visit.starts_at.date()
    named = tuple((item, service or visit.service_ids[0], units) for item, service, units in uses)
    return PastCard(day, visit.visit_id, visit.service_ids, visit.outcome, named)


def _appointment(desk: Desk, visit: "PastVisit") -> Appointment:
    minutes = {service.service_id: service.minutes for service in desk.catalogue.services}
    long = timedelta(minutes=sum(minutes.get(name, 0) for name in visit.service_ids) or 60)
    return Appointment(
        visit.visit_id,
        visit.starts_at,
        visit.starts_at + long,
        visit.service_ids,
        visit.client,
        visit.technician,
        booked_on=visit.booked_on,
    )
