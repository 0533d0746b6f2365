"""What leaves the desk as a sheet: the order a supplier gets, the record an inspector asks for."""

import csv
import io
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, fields
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

from consumables.errors import Refused

# A spreadsheet takes a text that begins like this for a formula and runs it.
_FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


@dataclass(frozen=True)
class OrderPaperLine:
    """One line of a printed order; its fields are the columns."""

    order: str
    supplier: str
    offer: str
    gtin: str
    item: str
    name: str
    packs: int
    pack_size: int  # in `unit`
    unit: str
    pack_price: Decimal
    line_price: Decimal
    because: str


def order_csv(rows: Iterable[OrderPaperLine]) -> str:
    """The order as CSV text, header first (RFC 4180: comma, CR LF, quotes where needed)."""
    header = [column.name for column in fields(OrderPaperLine)]
    return csv_text(header, ([getattr(row, column) for column in header] for row in rows))


def csv_text(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Header and rows as CSV text; text that a spreadsheet would run as a formula is defused."""
    paper = io.StringIO()
    writer = csv.writer(paper, lineterminator="\r\n")
    writer.writerow([_written(name) for name in header])
    for row in rows:
        if len(row) != len(header):
            raise ValueError(f"a row has {len(row)} cells under {len(header)} column names")
        writer.writerow([_written(value) for value in row])
    return paper.getvalue()


def write_csv(path: Path, header: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write the sheet whole or not at all; raises Refused when the place cannot be written to.

    The file starts with a byte-order mark, without which spreadsheets garble accented letters.
    """
    unfinished = path.with_name(f".{path.name}.part")
    text = csv_text(header, rows)
    try:
        unfinished.write_text(text, encoding="utf-8-sig", newline="")
        unfinished.replace(path)
    except OSError as problem:
        with suppress(OSError):
            unfinished.unlink()
        why = problem.strerror or "the place cannot be written to"
        raise Refused(f"{path} was not written ({why}); choose another place.") from None


def _written(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case Decimal():
            return f"{value:f}"
        case datetime() | date():
            return value.isoformat()
        case str():
            return _defused(value)
    return str(value)


def _defused(text: str) -> str:
    """An apostrophe before what would start a formula; the text stays readable."""
    return f"'{text}" if text.lstrip().startswith(_FORMULA_STARTS) else text
