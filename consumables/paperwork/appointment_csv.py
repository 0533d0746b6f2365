"""A book of visits kept as a table: one row for each visit."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from consumables.items.catalogue import CalendarWord, Service
from consumables.ledger.appointments import Appointment
from consumables.paperwork import cells
from consumables.paperwork.calendar_words import CalendarRead, services_in, shortened
from consumables.paperwork.cells import CellError, known_id, whole
from consumables.paperwork.rows import (
    Complaint,
    Row,
    refuse_if_any,
    refuse_late_booking,
    refuse_repeats,
)
from consumables.paperwork.sheet_forms import APPOINTMENTS
from consumables.paperwork.sheets import read_csv_sheet

_STATUS = ("booked", "cancelled")


def read_appointment_csv(
    path: Path, services: Sequence[Service], words: Sequence[CalendarWord], zone: str
) -> CalendarRead:
    """The visits of a CSV file, starts and ends in `zone` (IANA), sorted by start.

    One bad row refuses the whole with BadFile; a summary that no calendar word matches is left
    out with a warning, as in a calendar.
    """
    complaints: list[Complaint] = []
    rows = read_csv_sheet(path, APPOINTMENTS, complaints)
    refuse_if_any(complaints)
    minutes = {service.service_id: service.minutes for service in services}
    visits = [(row, _appointment(row, minutes, words, zone)) for row in rows]
    refuse_repeats(rows, "visit")
    refuse_if_any(complaints)
    others = [row for row, visit in visits if not visit.service_ids]
    booked = [visit for _, visit in visits if visit.service_ids]
    return CalendarRead(
        appointments=tuple(sorted(booked, key=lambda a: (a.starts_at, a.visit_id))),
        warnings=tuple(_no_visits(others)),
        unmapped=tuple(dict.fromkeys(shortened(row.cells["summary"]) for row in others)),
    )


def _appointment(
    row: Row, minutes: dict[str, int], words: Sequence[CalendarWord], zone: str
) -> Appointment:
    starts_at = row.need("starts_on", cells.moment(zone), datetime(1990, 1, 1, tzinfo=UTC))
    service_ids = _services(row, minutes, words)
    usual = sum(minutes.get(service, 0) for service in service_ids)
    length = timedelta(minutes=row.take("minutes", whole(1, 1440), usual))
    booked_on = row.take("booked_on", cells.iso_date, None)
    if not row.blank("starts_on"):
        refuse_late_booking(row, booked_on, starts_at)
    return Appointment(
        visit_id=row.need("visit", cells.text(), ""),
        starts_at=starts_at,
        ends_at=(starts_at.astimezone(UTC) + length).astimezone(starts_at.tzinfo),
        service_ids=service_ids,
        client=row.take("client", cells.code, ""),
        technician=row.take("technician", cells.code, ""),
        cancelled=row.take("status", _cancelled, False),
        booked_on=booked_on,
    )


def _services(row: Row, minutes: dict[str, int], words: Sequence[CalendarWord]) -> tuple[str, ...]:
    if row.blank("services") and row.blank("summary"):
        row.complain("services", "Service ids, or a summary with calendar words, are expected.")
    if row.blank("services"):
        return services_in(row.cells.get("summary", ""), words)
    return row.take("services", cells.several(known_id(minutes, "services")), ())


def _cancelled(cell: str) -> bool:
    if cell.casefold() not in _STATUS:
        raise CellError(f"One of these is expected: {', '.join(_STATUS)}.")
    return cell.casefold() == "cancelled"


def _no_visits(rows: Sequence[Row]) -> list[str]:
    if not rows:
        return []
    numbers = ", ".join(str(row.number) for row in rows[:10])
    return [
        f"Rows whose summary holds no calendar word were left out: {len(rows)} (row {numbers})."
        " If one is a visit, add its word to calendar_words."
    ]
