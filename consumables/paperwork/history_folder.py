"""A shop that starts today may bring what happened before: visits, use, deliveries."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

from consumables.errors import BadFile
from consumables.items.catalogue import Catalogue
from consumables.paperwork import cells
from consumables.paperwork.cells import known_id, whole
from consumables.paperwork.rows import (
    Complaint,
    Row,
    refuse_if_any,
    refuse_late_booking,
    refuse_repeats,
)
from consumables.paperwork.sheet_forms import HISTORY
from consumables.paperwork.sheets import read_sheets
from consumables.words import Outcome


@dataclass(frozen=True)
class PastVisit:
    """A visit that is over; `starts_at` is aware, in the shop's zone."""

    visit_id: str
    starts_at: datetime
    service_ids: tuple[str, ...]
    client: str = ""
    technician: str = ""
    outcome: Outcome = Outcome.SERVED
    booked_on: date | None = None


@dataclass(frozen=True)
class PastUse:
    """What one past visit used up; `service_id` may be empty when nobody wrote it down."""

    visit_id: str
    item_id: str
    quantity: int  # in the item's unit
    service_id: str = ""


@dataclass(frozen=True)
class PastLooseUse:
    """What was used outside any visit, and why."""

    on: date
    item_id: str
    quantity: int  # in the item's unit
    because: str


@dataclass(frozen=True)
class PastDelivery:
    """What a supplier brought, and when; `ordered_on` and `arrived_on` give a lead time."""

    arrived_on: date
    item_id: str
    quantity: int  # in the item's unit
    order_id: str = ""
    supplier_id: str = ""
    ordered_on: date | None = None
    use_by: date | None = None
    lot: str = ""
    unit_cost: Decimal = Decimal(0)


@dataclass(frozen=True)
class History:
    """Everything a history folder holds, in the sequence of its rows."""

    visits: tuple[PastVisit, ...] = ()
    use: tuple[PastUse, ...] = ()
    loose_use: tuple[PastLooseUse, ...] = ()
    deliveries: tuple[PastDelivery, ...] = ()


def read_history(path: Path, catalogue: Catalogue) -> History:
    """The history in a folder of CSV files or one .xlsx workbook, checked against `catalogue`.

    One bad row refuses the whole: BadFile names the first fault and lists up to nine more.
    """
    complaints: list[Complaint] = []
    sheets = read_sheets(path, HISTORY, complaints)
    refuse_if_any(complaints)
    _refuse_nothing(path, sheets)
    items = [item.item_id for item in catalogue.items]
    visits = [_visit(row, catalogue) for row in sheets["past_visits"]]
    done = {visit.visit_id: visit.service_ids for visit in visits}
    history = History(
        visits=tuple(visits),
        use=tuple(_use(row, items, done) for row in sheets["past_use"]),
        loose_use=tuple(_loose_use(row, items) for row in sheets["past_loose_use"]),
        deliveries=tuple(_delivery(row, items, catalogue) for row in sheets["past_deliveries"]),
    )
    refuse_repeats(sheets["past_visits"], "visit")
    refuse_if_any(complaints)
    return history


def _refuse_nothing(path: Path, sheets: Mapping[str, Sequence[Row]]) -> None:
    if not any(sheets.values()):
        names = ", ".join(form.name for form in HISTORY)
        raise BadFile(
            str(path), None, "", f"At least one filled sheet of these is expected: {names}."
        )


def _visit(row: Row, catalogue: Catalogue) -> PastVisit:
    services = [service.service_id for service in catalogue.services]
    moment = cells.moment(catalogue.settings.zone)
    visit = PastVisit(
        visit_id=row.need("visit", cells.text(), ""),
        starts_at=row.need("starts_on", moment, datetime.min),
        service_ids=row.need("services", cells.several(known_id(services, "services")), ()),
        client=row.take("client", cells.code, ""),
        technician=row.take("technician", cells.code, ""),
        outcome=row.take("outcome", cells.member(Outcome), Outcome.SERVED),
        booked_on=row.take("booked_on", cells.iso_date, None),
    )
    refuse_late_booking(row, visit.booked_on, visit.starts_at)
    return visit


def _use(row: Row, items: Collection[str], done: Mapping[str, tuple[str, ...]]) -> PastUse:
    use = PastUse(
        visit_id=row.need("visit", known_id(done, "past_visits"), ""),
        item_id=row.need("item", known_id(items, "items"), ""),
        quantity=row.need("quantity", whole(1), 1),
        service_id=row.take("service", cells.identity, ""),
    )
    if use.service_id and use.visit_id and use.service_id not in done[use.visit_id]:
        row.complain("service", "One of the services of this visit in past_visits is expected.")
    return use


def _loose_use(row: Row, items: Collection[str]) -> PastLooseUse:
    return PastLooseUse(
        on=row.need("on", cells.iso_date, date.min),
        item_id=row.need("item", known_id(items, "items"), ""),
        quantity=row.need("quantity", whole(1), 1),
        because=row.need("because", cells.text(), ""),
    )


def _delivery(row: Row, items: Collection[str], catalogue: Catalogue) -> PastDelivery:
    suppliers = [supplier.supplier_id for supplier in catalogue.suppliers]
    delivery = PastDelivery(
        arrived_on=row.need("arrived_on", cells.iso_date, date.max),
        item_id=row.need("item", known_id(items, "items"), ""),
        quantity=row.need("quantity", whole(1), 1),
        order_id=row.take("order", cells.identity, ""),
        supplier_id=row.take("supplier", known_id(suppliers, "suppliers"), ""),
        ordered_on=row.take("ordered_on", cells.iso_date, None),
        use_by=row.take("use_by", cells.iso_date, None),
        lot=row.take("lot", cells.identity, ""),
        unit_cost=row.take("unit_cost", cells.money, Decimal(0)),
    )
    if delivery.ordered_on and delivery.ordered_on > delivery.arrived_on:
        row.complain("arrived_on", "A day on or after ordered_on is expected.")
    return delivery
