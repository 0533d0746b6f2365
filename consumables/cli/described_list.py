"""A list of descriptions: the words are read first, then what a column states wins over them."""

import csv
import io
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

import click

from consumables.errors import BadFile
from consumables.items.describe import describe_text
from consumables.items.item import Item, Part
from consumables.paperwork.catalogue_rows import KnownIds, item_from, part_from
from consumables.paperwork.incoming import incoming_text
from consumables.paperwork.rows import Complaint, Row, refuse_if_any
from consumables.paperwork.sheet_forms import ITEMS, PARTS

FACTS = tuple(column for column in ITEMS.columns if column not in ("item", "name"))
KNOWN = ("description", *ITEMS.columns, *PARTS.columns)
Described = tuple[Item, tuple[str, ...]]


def read_described(csv_path: str) -> list[Described]:
    """Items of a CSV file (`-` is stdin) with the words that told each fact.

    A `description` (or `name`) column is read as words; a column of items.csv or parts.csv that
    is filled overrides them. Rows that share an `item` are the parts of one item; of a plain
    items.csv the parts.csv beside it is read too. Other columns are named on stderr and not read.
    """
    rows = _rows(csv_path)
    beside = Path(csv_path).parent / "parts.csv"
    parts = _rows(str(beside)) if _is_items_sheet(csv_path) and beside.is_file() else []
    complaints: list[Complaint] = []
    found = [_described(group, complaints) for group in _by_item([*rows, *parts])]
    refuse_if_any(complaints)
    return found


def _is_items_sheet(csv_path: str) -> bool:
    return Path(csv_path).name == f"{ITEMS.name}.csv"


def _rows(csv_path: str) -> list[Row]:
    place = "stdin" if csv_path == "-" else csv_path
    text = sys.stdin.read() if csv_path == "-" else incoming_text(Path(csv_path))
    lines = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))
    header = [name.strip() for name in lines[0]] if lines else []
    _refuse_bad_header(place, header)
    return [
        Row(place, number, {k: v.strip() for k, v in zip(header, line, strict=False)}, [])
        for number, line in enumerate(lines[1:], start=2)
        if any(cell.strip() for cell in line)
    ]


def _refuse_bad_header(place: str, header: Sequence[str]) -> None:
    if not {"description", "name", "part"} & set(header):
        raise BadFile(
            place, 1, "", "A column 'description' is expected, or the columns of items.csv."
        )
    unread = [name for name in header if name and name not in KNOWN]
    for name in unread:
        # A slip of the pen in "do_not_reuse" must not make an item look safer than it is.
        if close := get_close_matches(name.casefold(), KNOWN, n=1, cutoff=0.85):
            raise BadFile(place, 1, name, f"Did you mean '{close[0]}'?")
    if unread:
        click.echo(f"Columns not read: {', '.join(unread)}.", err=True)


def _by_item(rows: Sequence[Row]) -> Iterator[list[Row]]:
    groups: dict[str, list[Row]] = {}
    for row in rows:
        groups.setdefault(row.cells.get("item") or f"row-{row.number}", []).append(row)
    return iter(groups.values())


def _described(rows: Sequence[Row], complaints: list[Complaint]) -> Described:
    first = rows[0]
    text = first.cells.get("description") or first.cells.get("name", "")
    words = describe_text(text)
    item_id = first.cells.get("item") or f"row-{first.number}"
    said = {"item": item_id, "name": text or item_id, "unit": "each"}
    given = {column: cell for column, cell in first.cells.items() if cell}
    stated = item_from(Row(first.place, first.number, {**said, **given}, complaints))
    filled = {column: getattr(stated, column) for column in FACTS if given.get(column)}
    parts = [_part(row, item_id, complaints) for row in rows if row.cells.get("material")]
    item = replace(words.item, item_id=item_id, name=stated.name, **filled)
    told = [f'"{one.words}": {one.says}' for one in words.told]
    told += [f"column {column}: {given[column]}" for column in FACTS if column in given]
    return (replace(item, parts=tuple(parts)) if parts else item), tuple(told)


def _part(row: Row, item_id: str, complaints: list[Complaint]) -> Part:
    cells: Mapping[str, str] = {"part": "body", **_filled(row), "item": item_id}
    # A list need not hold the refill itself, so any id will do here.
    known = KnownIds(items=(item_id, row.cells.get("supplied_as", "")))
    return part_from(Row(row.place, row.number, cells, complaints), known)[1]


def _filled(row: Row) -> dict[str, str]:
    return {column: cell for column, cell in row.cells.items() if cell}
