"""A small invented shop as sheets of text, and pens that write it as a folder or a workbook."""

import csv
import json
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

Sheets = dict[str, list[list[str]]]

SHEETS: Sheets = {
    "shop": [["setting", "value"], ["name", "Quince"], ["zone", "Europe/Lisbon"]],
    "items": [
        ["item", "name", "kind", "unit", "grits", "max_uses", "immersible", "dispensed"],
        ["nipper", "Cuticle nipper", "nipper", "each", "", "", "yes", ""],
        ["board", "Board 100/180", "nail file", "each", "100/180", "1", "", ""],
        ["oil", "Cuticle oil", "liquid", "ml", "", "", "", "yes"],
    ],
    "parts": [
        ["item", "part", "material", "porous", "removable", "touches_client", "supplied_as"],
        ["nipper", "body", "stainless steel", "no", "", "", ""],
        ["board", "body", "wood", "yes", "", "yes", ""],
    ],
    "suppliers": [
        ["supplier", "name", "lead_days", "minimum_order", "shipping_fee", "free_shipping_from"],
        ["north", "North Depot", "2:0.5 3:0.3 5:0.2", "20.00", "4.50", "60"],
    ],
    "offers": [
        ["offer", "supplier", "item", "pack_size", "pack_unit", "price", "break_packs",
         "break_price", "gtin"],
        ["n-board", "north", "board", "50", "", "9.50", "4", "8.90", "4006381333931"],
        ["n-oil", "north", "oil", "4", "us_fl_oz", "12.00", "", "", ""],
    ],
    "services": [["service", "name", "minutes", "price"], ["mani", "Manicure", "45", "30.00"],
                 ["gel", "Gel overlay", "75", "48.00"]],
    "set_ups": [["service", "item", "quantity", "once_per_visit"], ["mani", "board", "1", "yes"]],
    "calendar_words": [["word", "service"], ["manicure", "mani"], ["gel", "gel"]],
    "opening_stock": [
        ["item", "lot", "quantity", "use_by", "opened_on", "unit_cost", "tagged"],
        ["nipper", "00123", "4", "", "", "18.00", "yes"],
        ["oil", "NA", "200", "2027-05-01", "2026-01-10", "0.0931", ""],
    ],
}  # fmt: skip


def write_csv_sheet(path: Path, rows: list[list[str]], delimiter: str = ",") -> Path:
    with path.open("w", encoding="utf-8", newline="") as sheet:
        csv.writer(sheet, delimiter=delimiter).writerows(rows)
    return path


def write_folder(folder: Path, sheets: Sheets) -> Path:
    """The sheets as CSV files; the sheet `shop` as shop.toml."""
    folder.mkdir(exist_ok=True)
    for name, rows in sheets.items():
        if name == "shop":
            settings = (
                f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in rows[1:]
            )
            (folder / "shop.toml").write_text("\n".join(settings), encoding="utf-8")
        else:
            write_csv_sheet(folder / f"{name}.csv", rows)
    return folder


def write_workbook(path: Path, sheets: Sheets) -> Path:
    """The same sheets as one workbook, every cell as text."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for r, row in enumerate(rows, start=1):
            for c, cell in enumerate(row, start=1):
                if cell:
                    sheet.cell(r, c, cell).data_type = "s"
    book.save(path)
    return path


@pytest.fixture
def sheets() -> Sheets:
    """A fresh copy of the shop, to be spoilt at will."""
    return {name: [list(row) for row in rows] for name, rows in SHEETS.items()}


@pytest.fixture
def spoilt(tmp_path: Path, sheets: Sheets) -> Callable[..., Path]:
    """The shop's folder with one cell changed: spoilt("items", 2, "unit", "litre")."""

    def write(sheet: str, row: int, column: str, cell: str) -> Path:
        header = sheets[sheet][0]
        if column not in header:
            for line in sheets[sheet]:
                line.append("")
            header[-1] = column
        sheets[sheet][row - 1][header.index(column)] = cell
        return write_folder(tmp_path / "shop", sheets)

    return write


@pytest.fixture
def pens() -> dict[str, Callable[[Path, Sheets], Path]]:
    return {"folder": write_folder, "workbook": write_workbook}


@pytest.fixture
def csv_pen() -> Callable[..., Path]:
    return write_csv_sheet
