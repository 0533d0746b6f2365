"""Client codes go when their time is up; every visit, use and count stays."""

from datetime import datetime

from sqlalchemy import ColumnElement, Connection, Select, func, select, update

from consumables.ledger.events import ClientCodesPurged
from consumables.store.codec import from_text
from consumables.store.ledger_store import ENTRY, JOB
from consumables.store.tables import AppointmentRow, table_of

APPOINTMENT = table_of(AppointmentRow)
_NAMES_A_CLIENT = ("close", "no-show")  # jobs whose sentence says whose visit it was
PURGED = "A visit was closed; its client's code is past retention."


def kept_before(connection: Connection, shop: str, before: datetime) -> int:
    """How many visits that started before this moment still carry a client's code."""
    query = select(func.count()).select_from(APPOINTMENT).where(*_coded(shop, before))
    return int(connection.execute(query).scalar_one())


def purge(connection: Connection, shop: str, before: datetime) -> int:
    """Take the code off every visit that started before this moment, and out of the sentences of
    the jobs that closed it; returns how many visits had one. The ledger is not touched."""
    visits = kept_before(connection, shop, before)
    closing = _closing_jobs(shop, before)
    named = (JOB.c.shop_id == shop, JOB.c.job_key.in_(closing) | JOB.c.undoes.in_(closing))
    connection.execute(update(JOB).where(*named).values(sentence=PURGED))
    connection.execute(update(APPOINTMENT).where(*_coded(shop, before)).values(client=""))
    return visits


def purged_until(connection: Connection, shop: str) -> datetime | None:
    """Visits that started before this moment carry no code any more; None: nothing was purged."""
    query = select(ENTRY.c.body).where(ENTRY.c.shop_id == shop, ENTRY.c.kind == "ClientCodesPurged")
    told = (from_text(ClientCodesPurged, body) for body in connection.execute(query).scalars())
    return max((event.until for event in told), default=None)


def _coded(shop: str, before: datetime) -> tuple[ColumnElement[bool], ...]:
    column = APPOINTMENT.c
    return (column.shop_id == shop, column.starts_at < before, column.client != "")


def _closing_jobs(shop: str, before: datetime) -> Select[tuple[str]]:
    # By visit and not by code: a calendar may have given the visit another code since.
    past = select(APPOINTMENT.c.visit_id).where(
        APPOINTMENT.c.shop_id == shop, APPOINTMENT.c.starts_at < before
    )
    closed = select(ENTRY.c.job_key).where(
        ENTRY.c.shop_id == shop, ENTRY.c.kind == "VisitClosed", ENTRY.c.visit_id.in_(past)
    )
    return select(JOB.c.job_key).where(
        JOB.c.shop_id == shop, JOB.c.job_key.in_(closed), JOB.c.verb.in_(_NAMES_A_CLIENT)
    )
