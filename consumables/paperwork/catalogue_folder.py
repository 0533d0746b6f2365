"""A shop's catalogue comes in as a folder of sheets or one workbook: all of it, or none of it."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from consumables.errors import BadFile
from consumables.items.catalogue import Catalogue
from consumables.items.item import Item, Part
from consumables.paperwork.catalogue_rows import (
    KnownIds,
    calendar_word_from,
    item_from,
    offer_from,
    opening_stock_from,
    part_from,
    service_from,
    set_up_line_from,
    supplier_from,
)
from consumables.paperwork.rows import Complaint, Row, refuse_if_any, refuse_repeats
from consumables.paperwork.sheet_forms import CATALOGUE, SHOP
from consumables.paperwork.sheets import read_sheets
from consumables.paperwork.shop_settings import read_settings, settings_row

Sheets = Mapping[str, Sequence[Row]]

# What makes a row of each sheet the only one of its kind.
_KEYS = {
    "items": ("item",),
    "parts": ("item", "part"),
    "suppliers": ("supplier",),
    "offers": ("offer",),
    "services": ("service",),
    "set_ups": ("service", "item"),
    "calendar_words": ("word",),
    "opening_stock": ("item", "lot"),
}


def read_catalogue(path: Path) -> Catalogue:
    """The catalogue in a folder (CSV files and shop.toml) or in one .xlsx workbook.

    One bad row refuses the whole: BadFile names the first fault and lists up to nine more.
    """
    complaints: list[Complaint] = []
    sheets = read_sheets(path, (*CATALOGUE, SHOP), complaints)
    refuse_if_any(complaints)  # a wrong header would make every reference look wrong too
    if not sheets["items"]:
        raise BadFile(str(path), None, "", "At least one item is expected in 'items'.")
    settings = read_settings(settings_row(path, sheets["shop"], complaints))
    items = [item_from(row) for row in sheets["items"]]
    known = KnownIds(
        items=_ids(sheets, "items", "item"),
        suppliers=_ids(sheets, "suppliers", "supplier"),
        services=_ids(sheets, "services", "service"),
    )
    units = {item.item_id: item.unit for item in items}
    catalogue = Catalogue(
        settings=settings,
        items=_with_parts(items, sheets["parts"], known),
        suppliers=tuple(supplier_from(row) for row in sheets["suppliers"]),
        offers=tuple(offer_from(row, known, units) for row in sheets["offers"]),
        services=tuple(service_from(row) for row in sheets["services"]),
        set_ups=tuple(set_up_line_from(row, known) for row in sheets["set_ups"]),
        words=tuple(calendar_word_from(row, known) for row in sheets["calendar_words"]),
        opening_stock=tuple(
            opening_stock_from(row, known, units) for row in sheets["opening_stock"]
        ),
    )
    for name, columns in _KEYS.items():
        refuse_repeats(sheets[name], *columns)
    refuse_if_any(complaints)
    return catalogue


def _ids(sheets: Sheets, name: str, column: str) -> frozenset[str]:
    """Every id the sheet writes down, also in rows that are wrong elsewhere."""
    return frozenset(row.cells[column] for row in sheets[name] if not row.blank(column))


def _with_parts(items: Sequence[Item], rows: Sequence[Row], known: KnownIds) -> tuple[Item, ...]:
    parts: dict[str, list[Part]] = defaultdict(list)
    for row in rows:
        item_id, part = part_from(row, known)
        parts[item_id].append(part)
    return tuple(replace(item, parts=tuple(parts[item.item_id])) for item in items)
