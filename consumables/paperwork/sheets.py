"""A folder of CSV files and one workbook are the same paper: sheets with a header and rows."""

import csv
import io
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from consumables.errors import BadFile
from consumables.paperwork.cells import clean, nearest
from consumables.paperwork.incoming import incoming_bytes, incoming_text
from consumables.paperwork.rows import Complaint, Row
from consumables.paperwork.sheet_forms import CATALOGUE, HISTORY, SHOP, SheetForm

_JOINERS = "\u200c\u200d"  # needed by some scripts and by emoji, though "not printable"
_KNOWN_NAMES = tuple(form.name for form in (*CATALOGUE, *HISTORY, SHOP))


@dataclass(frozen=True)
class Grid:
    """One sheet as text: every row, the header first, nothing understood yet."""

    place: str
    rows: tuple[tuple[str, ...], ...]


def read_sheets(
    path: Path, forms: Sequence[SheetForm], complaints: list[Complaint]
) -> dict[str, tuple[Row, ...]]:
    """The rows of every form that a folder or workbook holds; a missing sheet has none.

    Raises BadFile where a file cannot be read at all; lesser faults go to `complaints`.
    """
    names = [form.name for form in forms]
    grids = _workbook_grids(path) if path.is_file() else _folder_grids(path, names)
    _refuse_near_misses(path, grids)
    return {
        form.name: _rows(form, grids[form.name], complaints) if form.name in grids else ()
        for form in forms
    }


def read_csv_sheet(path: Path, form: SheetForm, complaints: list[Complaint]) -> tuple[Row, ...]:
    """The rows of one CSV file that stands alone."""
    return _rows(form, _csv_grid(path), complaints)


# ------------------------------------------------------------------ from files to grids


def _folder_grids(folder: Path, names: Sequence[str]) -> dict[str, Grid]:
    if not folder.is_dir():
        raise BadFile(str(folder), None, "", "There is no such folder or workbook.")
    found = sorted(p for p in folder.iterdir() if p.suffix.casefold() == ".csv")
    return {p.stem: _csv_grid(p) if p.stem in names else Grid(str(p), ()) for p in found}


def _csv_grid(path: Path) -> Grid:
    lines = incoming_text(path)
    try:
        reader = csv.reader(
            io.StringIO(lines, newline=""), delimiter=_delimiter(lines), strict=True
        )
        return Grid(str(path), tuple(tuple(clean(cell) for cell in row) for row in reader))
    except csv.Error as problem:
        raise BadFile(
            str(path),
            None,
            "",
            f"Rows of cells are expected, with every opened quote closed again ({problem}).",
        ) from None


def _delimiter(lines: str) -> str:
    """The separator of the header line; column names hold none, so counting them is safe."""
    header = lines.partition("\n")[0]
    return max(",;\t", key=header.count)


def _workbook_grids(path: Path) -> dict[str, Grid]:
    if path.suffix.casefold() != ".xlsx":
        raise BadFile(
            str(path), None, "", "A folder of CSV files or an .xlsx workbook is expected."
        )
    import openpyxl

    raw = io.BytesIO(incoming_bytes(path))
    try:
        with warnings.catch_warnings(action="ignore"):  # of styles it does not keep
            book = openpyxl.load_workbook(raw)
    except Exception:  # a damaged workbook fails in as many ways as there are parts in a zip
        raise BadFile(
            str(path), None, "", "The file is no readable .xlsx workbook; save it again."
        ) from None
    return {
        sheet.title: _sheet_grid(f"{path}, sheet {sheet.title}", sheet) for sheet in book.worksheets
    }


def _sheet_grid(place: str, sheet: Any) -> Grid:
    rows = tuple(tuple(_cell_text(place, cell) for cell in row) for row in sheet.iter_rows())
    return Grid(place, rows)


def _cell_text(place: str, cell: Any) -> str:
    """What a person reads in the cell; formulas and error values are refused."""
    if cell.data_type in ("f", "e"):
        raise BadFile(
            place,
            cell.row,
            cell.column_letter,
            "A value is expected, not a formula or an error; type in the value itself.",
        )
    return clean(_value_text(cell.value))


def _value_text(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case float() if value.is_integer() and abs(value) < 1e15:
            return str(int(value))
        case datetime() if value.time() == time(0):
            return value.date().isoformat()
        case datetime() | date():
            return value.isoformat()
    return str(value)


def _refuse_near_misses(path: Path, grids: dict[str, Grid]) -> None:
    """A sheet called 'item' is a slip of the pen, and passing it over would lose its rows."""
    for name in grids:
        if name in _KNOWN_NAMES:
            continue
        if close := get_close_matches(name.casefold(), _KNOWN_NAMES, n=1, cutoff=0.7):
            raise BadFile(
                str(path), None, "", f"'{name}' is no sheet the desk knows; call it '{close[0]}'."
            )


# ------------------------------------------------------------------ from grids to rows


def _rows(form: SheetForm, grid: Grid, complaints: list[Complaint]) -> tuple[Row, ...]:
    header = grid.rows[0] if grid.rows else ()
    if not _header_stands(form, grid.place, header, complaints):
        return ()
    rows = []
    for number, cells in enumerate(grid.rows[1:], start=2):
        if any(cells):
            row = Row(grid.place, number, dict(zip(header, cells, strict=False)), complaints)
            _refuse_stray_cells(row, header, cells)
            rows.append(row)
    return tuple(rows)


def _header_stands(
    form: SheetForm, place: str, header: tuple[str, ...], complaints: list[Complaint]
) -> bool:
    faults = [
        (column, f"This column is not known.{nearest(column, form.columns)}")
        for column in header
        if column and column not in form.columns
    ]
    faults += [
        (column, "Each column is expected once; this one stands twice.")
        for column in form.columns
        if header.count(column) > 1
    ]
    faults += [
        (column, "This column is expected, and the header does not have it.")
        for column in form.required
        if column not in header
    ]
    complaints += [Complaint(place, 1, column, sentence) for column, sentence in faults]
    return not faults


def _refuse_stray_cells(row: Row, header: tuple[str, ...], cells: tuple[str, ...]) -> None:
    headed = {place for place, column in enumerate(header) if column}
    if any(cell for place, cell in enumerate(cells) if place not in headed):
        row.complain(
            "", "A cell stands under no column name; a text with a comma in it needs quotes."
        )
    for column, cell in zip(header, cells, strict=False):
        if not all(c.isprintable() or c in _JOINERS for c in cell):
            row.complain(column, "Plain text on one line is expected, without control characters.")
