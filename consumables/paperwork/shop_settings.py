"""What a shop has decided for itself stands in shop.toml, or in the sheet `shop` of a workbook."""

import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

from consumables.errors import BadFile
from consumables.items.catalogue import ShopSettings
from consumables.paperwork import cells
from consumables.paperwork.incoming import incoming_text
from consumables.paperwork.rows import Complaint, Row
from consumables.paperwork.sheet_forms import SETTINGS

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def settings_row(path: Path, sheet: Sequence[Row], complaints: list[Complaint]) -> Row:
    """All settings of a folder (shop.toml) or a workbook (its sheet `shop`) as one row."""
    if path.is_file():
        return _from_sheet(path, sheet, complaints)
    return _from_toml(path / "shop.toml", complaints)


def read_settings(row: Row) -> ShopSettings:
    """The shop's settings; only `zone` must be given, because every day of the book hangs on it."""
    usual = ShopSettings()
    return ShopSettings(
        name=row.take("name", cells.text(), usual.name),
        zone=row.need("zone", zone_name, usual.zone),
        currency=row.take("currency", currency, usual.currency),
        rule_book=row.take("rule_book", cells.identity, usual.rule_book),
        technicians=row.take("technicians", cells.several(cells.code), usual.technicians),
        review_days=row.take("review_days", cells.whole(1, 60), usual.review_days),
        order_weekday=row.take("order_weekday", weekday, usual.order_weekday),
        target_service=row.take("target_service", share, usual.target_service),
    )


def _from_sheet(path: Path, sheet: Sequence[Row], complaints: list[Complaint]) -> Row:
    if not sheet:
        raise BadFile(str(path), None, "", "A sheet 'shop' with at least the zone is expected.")
    given: dict[str, str] = {}
    for row in sheet:
        setting = row.cells.get("setting", "")
        if setting in given:
            row.complain("setting", f"Each setting is expected once; '{setting}' stands twice.")
        given[setting] = row.cells.get("value", "")
    return _known_settings(Row(sheet[0].place, None, given, complaints))


def _from_toml(path: Path, complaints: list[Complaint]) -> Row:
    try:
        given = tomllib.loads(incoming_text(path))
    except tomllib.TOMLDecodeError as problem:
        raise BadFile(str(path), None, "", f"TOML is expected ({problem}).") from None
    row = Row(str(path), None, {}, complaints)
    return _known_settings(
        Row(str(path), None, {k: _plain(row, k, v) for k, v in given.items()}, complaints)
    )


def _plain(row: Row, setting: str, value: object) -> str:
    """A TOML value as the text that a cell would hold."""
    if isinstance(value, list) and all(isinstance(v, str) for v in value):
        return ";".join(map(cells.clean, value))
    if isinstance(value, str | int | float) and not isinstance(value, bool):
        return cells.clean(str(value))
    row.complain(setting, "A text, a number or a list of initials is expected.")
    return ""


def _known_settings(row: Row) -> Row:
    for setting, value in row.cells.items():
        if setting not in SETTINGS:
            row.complain(setting, f"This setting is not known.{cells.nearest(setting, SETTINGS)}")
        if not value.isprintable():
            row.complain(setting, "Plain text on one line is expected.")
    return row


# ------------------------------------------------------------------ kinds of setting


def zone_name(cell: str) -> str:
    """An IANA time zone such as Europe/Lisbon."""
    try:
        ZoneInfo(cell)
    except (KeyError, ValueError, OSError):
        hint = cells.nearest(cell, available_timezones())
        raise cells.CellError(
            f"An IANA time zone such as Europe/Lisbon is expected.{hint}"
        ) from None
    return cell


def currency(cell: str) -> str:
    """Three capital letters (ISO 4217 codes have this shape)."""
    if not re.fullmatch(r"[A-Z]{3}", cell):
        raise cells.CellError("A currency code of three capital letters such as EUR is expected.")
    return cell


def weekday(cell: str) -> int:
    """monday .. sunday -> 0 .. 6."""
    if cell.casefold() not in WEEKDAYS:
        raise cells.CellError(f"A weekday is expected: {', '.join(WEEKDAYS)}.")
    return WEEKDAYS.index(cell.casefold())


def share(cell: str) -> float:
    """A share of services such as 0.99."""
    if not re.fullmatch(r"0\.[0-9]{1,6}", cell) or float(cell) < 0.5:
        raise cells.CellError("A share from 0.5 to below 1 is expected, such as 0.99.")
    return float(cell)
