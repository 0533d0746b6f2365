"""The appointment book as last read; the calendar owns it, so a later reading wins."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, select
from sqlalchemy.dialects.sqlite import insert

from consumables.ledger.appointments import Appointment
from consumables.store.client_codes import purged_until
from consumables.store.tables import AppointmentRow, table_of

APPOINTMENT = table_of(AppointmentRow)


@dataclass(frozen=True)
class BookChange:
    """What one reading of a calendar changed."""

    new: int = 0
    changed: int = 0
    cancelled: int = 0
    same: int = 0


def between(
    connection: Connection, shop: str, first: datetime, last: datetime
) -> list[Appointment]:
    """Appointments that start in [first, last), by time; cancelled ones too."""
    query = select(APPOINTMENT).where(
        APPOINTMENT.c.shop_id == shop,
        APPOINTMENT.c.starts_at >= first,
        APPOINTMENT.c.starts_at < last,
    )
    rows = connection.execute(query.order_by(APPOINTMENT.c.starts_at, APPOINTMENT.c.visit_id))
    return [_value(row) for row in rows.mappings()]


def find(connection: Connection, shop: str, visit_id: str) -> Appointment | None:
    """One appointment by its visit id."""
    query = select(APPOINTMENT).where(
        APPOINTMENT.c.shop_id == shop, APPOINTMENT.c.visit_id == visit_id
    )
    row = connection.execute(query).mappings().first()
    return _value(row) if row else None


def write(
    connection: Connection,
    shop: str,
    appointments: Iterable[Appointment],
    source: str,
    window: tuple[datetime, datetime] | None = None,
) -> BookChange:
    """Take over a reading of a calendar; inside `window` what this source no longer holds is
    cancelled. Reading the same file twice changes nothing. A client's code that was purged does
    not come back with an older calendar."""
    purged = purged_until(connection, shop)
    wanted = {found.visit_id: _without_code(found, purged) for found in appointments}
    held = _held(connection, shop, wanted, source, window)
    tally = {"new": 0, "changed": 0, "cancelled": 0, "same": 0}
    rows = []
    for visit_id, found in wanted.items():
        before = held.pop(visit_id, None)
        tally[_sort_of_change(before, found)] += 1
        if before != found:
            rows.append(_row(shop, found, source))
    for gone in held.values():
        if not gone.cancelled and window is not None:
            tally["cancelled"] += 1
            rows.append({**_row(shop, gone, source), "cancelled": True})
    _upsert(connection, rows)
    return BookChange(**tally)


def _without_code(found: Appointment, purged: datetime | None) -> Appointment:
    gone = purged is not None and found.client and found.starts_at < purged
    return replace(found, client="") if gone else found


def _sort_of_change(before: Appointment | None, found: Appointment) -> str:
    if before == found:
        return "same"
    if found.cancelled:
        return "cancelled"
    return "new" if before is None else "changed"


def _held(
    connection: Connection,
    shop: str,
    wanted: Iterable[str],
    source: str,
    window: tuple[datetime, datetime] | None,
) -> dict[str, Appointment]:
    query = select(APPOINTMENT).where(APPOINTMENT.c.shop_id == shop)
    rows = connection.execute(query).mappings().all()
    names = set(wanted)
    return {
        row["visit_id"]: _value(row)
        for row in rows
        if row["visit_id"] in names
        or (
            window is not None
            and row["source"] == source
            and window[0] <= row["starts_at"] < window[1]
        )
    }


def _upsert(connection: Connection, rows: list[dict[str, Any]]) -> None:
    if not rows:
        return
    statement = insert(APPOINTMENT)
    fresh = {c.name: statement.excluded[c.name] for c in APPOINTMENT.c if not c.primary_key}
    connection.execute(statement.on_conflict_do_update(["shop_id", "visit_id"], set_=fresh), rows)


def _row(shop: str, value: Appointment, source: str) -> dict[str, Any]:
    row = {name: getattr(value, name) for name in Appointment.__dataclass_fields__}
    return {**row, "shop_id": shop, "service_ids": ";".join(value.service_ids), "source": source}


def _value(row: RowMapping) -> Appointment:
    values = {name: row[name] for name in Appointment.__dataclass_fields__}
    values["service_ids"] = tuple(name for name in row["service_ids"].split(";") if name)
    return Appointment(**values)
