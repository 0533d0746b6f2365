"""Past and promised visits, use and stock, laid out as tables for the planner."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, select

from consumables.store.appointment_store import APPOINTMENT
from consumables.store.balances import LOT, PIECE, VISIT, marks_of
from consumables.store.ledger_store import ENTRY, reversed_ids
from consumables.words import Outcome, PieceState

if TYPE_CHECKING:
    import pandas as pd

_USES = ("UseRecorded", "OutsideUseRecorded")
_LOOSE = ("UsedLoose", "Discarded", "PieceRetired")


@dataclass(frozen=True)
class PlanFrames:
    """Tables for the planner; quantities in the item's unit, days in the shop's own zone.

    usage: visit, service, item, quantity · appointments: visit, service, booked_on, starts_on,
    status (booked, served, no-show, cancelled), one row for each visit and service ·
    loose_use: on, item, quantity · stock: item, lot, on_hand, use_by · on_order: item, units,
    supplier, placed_on.
    """

    usage: pd.DataFrame
    appointments: pd.DataFrame
    loose_use: pd.DataFrame
    stock: pd.DataFrame
    on_order: pd.DataFrame


def read_frames(connection: Connection, shop: str, zone: str, until: datetime) -> PlanFrames:
    """Everything known at `until` (aware): later entries are left out of the past."""
    undone = reversed_ids(connection, shop)
    return PlanFrames(
        _usage(connection, shop, until, undone),
        _appointments(connection, shop, zone),
        _loose_use(connection, shop, zone, until, undone),
        _stock(connection, shop),
        _on_order(connection, shop),
    )


def _frame(rows: list[Any], columns: list[str]) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame.from_records(rows, columns=columns)


def _usage(connection: Connection, shop: str, until: datetime, undone: set[int]) -> pd.DataFrame:
    query = select(
        ENTRY.c.entry_id,
        ENTRY.c.visit_id,
        ENTRY.c.service_id,
        ENTRY.c.item_id,
        ENTRY.c.quantity,
    ).where(ENTRY.c.shop_id == shop, ENTRY.c.kind.in_(_USES), ENTRY.c.at < until)
    rows = [tuple(row) for row in connection.execute(query)]
    frame = _frame(rows, ["entry", "visit", "service", "item", "quantity"])
    kept = frame[~frame["entry"].isin(undone)] if undone else frame
    return kept.drop(columns="entry").reset_index(drop=True)


def _appointments(connection: Connection, shop: str, zone: str) -> pd.DataFrame:
    a, local = APPOINTMENT.c, ZoneInfo(zone)
    outcomes = select(VISIT.c.visit_id, VISIT.c.outcome).where(VISIT.c.shop_id == shop)
    closed = {row.visit_id: row.outcome for row in connection.execute(outcomes)}
    query = select(a.visit_id, a.service_ids, a.booked_on, a.starts_at, a.cancelled)
    rows = []
    for visit, services, booked_on, starts_at, cancelled in connection.execute(
        query.where(a.shop_id == shop)
    ):
        status = _status(closed.get(visit), cancelled)
        day = starts_at.astimezone(local).date()
        rows += [(visit, name, booked_on, day, status) for name in services.split(";") if name]
    return _frame(rows, ["visit", "service", "booked_on", "starts_on", "status"])


def _status(outcome: str | None, cancelled: bool) -> str:
    if outcome is not None:
        return "served" if outcome == Outcome.SERVED else "no-show"
    return "cancelled" if cancelled else "booked"


def _loose_use(
    connection: Connection, shop: str, zone: str, until: datetime, undone: set[int]
) -> pd.DataFrame:
    e, local = ENTRY.c, ZoneInfo(zone)
    query = select(e.entry_id, e.at, e.item_id, e.quantity).where(
        e.shop_id == shop, e.kind.in_(_LOOSE), e.at < until
    )
    # What a visit drew is in its use already, and a binned piece is counted when it is retired.
    own = e.visit_id.is_(None) | (e.visit_id == "")
    loose = query.where(own, e.piece_id.is_(None) | (e.kind == "PieceRetired") | (e.piece_id == ""))
    rows = [
        (at.astimezone(local).date(), item, quantity or 1)
        for entry, at, item, quantity in connection.execute(loose)
        if entry not in undone
    ]
    return _frame(rows, ["on", "item", "quantity"])


def _stock(connection: Connection, shop: str) -> pd.DataFrame:
    lots = connection.execute(
        select(LOT.c.item_id, LOT.c.lot_id, LOT.c.on_hand, LOT.c.use_by).where(
            LOT.c.shop_id == shop, LOT.c.on_hand > 0
        )
    )
    pieces = connection.execute(
        select(PIECE.c.item_id, PIECE.c.piece_id).where(
            PIECE.c.shop_id == shop, PIECE.c.state != PieceState.RETIRED
        )
    )
    rows = [tuple(row) for row in lots] + [(item, piece, 1, None) for item, piece in pieces]
    return _frame(rows, ["item", "lot", "on_hand", "use_by"])


def _on_order(connection: Connection, shop: str) -> pd.DataFrame:
    rows = [
        (line.item_id, line.outstanding, order.supplier_id, order.placed_on)
        for order in marks_of(connection, shop, "order")
        for line in order.lines
        if line.outstanding
    ]
    return _frame(rows, ["item", "units", "supplier", "placed_on"])
