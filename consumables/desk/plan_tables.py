"""The shop's catalogue and ledger laid out as the tables the planner asks for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from consumables.closeout.service_card import with_surfaces
from consumables.desk.opening import Desk
from consumables.items.wear import past_limit
from consumables.ledger.pieces import PieceBalance

if TYPE_CHECKING:
    from pandas import DataFrame

    from consumables.store.frames import PlanFrames

Rows = list[dict[str, Any]]


def plan_tables(desk: Desk) -> dict[str, DataFrame]:
    """Every table of `consumables.reorder.tables.COLUMNS`; days in the shop's own zone."""
    from pandas import DataFrame

    from consumables.reorder.tables import COLUMNS

    with desk.store.reading() as session:
        past = session.frames(desk.settings.zone, desk.clock())
        worn = _worn_out(desk, session.pieces())
    rows = {
        "items": _items(desk),
        "offers": _offers(desk),
        "suppliers": _suppliers(desk),
        "set_ups": _set_ups(desk),
        "on_order": _on_order(desk, past),
    }
    return {
        **{name: DataFrame(found, columns=list(COLUMNS[name])) for name, found in rows.items()},
        "appointments": past.appointments,
        "usage": past.usage,
        "loose_use": past.loose_use,
        "stock": past.stock[~past.stock["lot"].isin(worn)],
    }


def _worn_out(desk: Desk, pieces: Sequence[PieceBalance]) -> set[str]:
    """Pieces that have had all the uses their maker or shop allows: they serve no client now."""
    return {
        piece.piece_id
        for piece in pieces
        if past_limit(piece.uses, desk.item(piece.item_id).max_uses)
    }


def _items(desk: Desk) -> Rows:
    return [
        {
            "item": item.item_id,
            "name": item.name,
            "unit": str(item.unit),
            "dose": item.dose,
            "category": str(desk.verdicts[item.item_id].category),
            "shelf_life_days": item.shelf_life_days,
            "after_opening_days": item.after_opening_days,
            "keep_at_least": item.keep_at_least,
        }
        for item in desk.items.values()
    ]


def _offers(desk: Desk) -> Rows:
    return [
        {
            "offer": offer.offer_id,
            "supplier": offer.supplier_id,
            "item": offer.item_id,
            "pack_size": offer.pack_size,
            "price": offer.price,
            "break_packs": offer.break_packs,
            "break_price": offer.break_price,
        }
        for offer in desk.catalogue.offers
    ]


def _suppliers(desk: Desk) -> Rows:
    return [
        {
            "supplier": supplier.supplier_id,
            "name": supplier.name,
            "lead_days": supplier.lead_days,
            "minimum_order": supplier.minimum_order,
            "shipping_fee": supplier.shipping_fee,
            "free_shipping_from": supplier.free_shipping_from,
        }
        for supplier in desk.catalogue.suppliers
    ]


def _set_ups(desk: Desk) -> Rows:
    return [
        {
            "service": line.service_id,
            "item": line.item_id,
            "quantity": line.quantity,
            "once_per_visit": line.once_per_visit,
        }
        for line in with_surfaces(desk.catalogue.set_ups, desk.items)
    ]


def _on_order(desk: Desk, past: PlanFrames) -> Rows:
    # A supplier's slowest day is the honest one: an earlier arrival is a pleasant surprise.
    slowest = {s.supplier_id: max(s.lead_days) for s in desk.catalogue.suppliers}
    return [
        {
            "item": item,
            "units": units,
            "due": placed_on + timedelta(days=slowest.get(supplier, 7)),
        }
        for item, units, supplier, placed_on in past.on_order.to_numpy().tolist()
    ]
