"""What the planner is handed is looked at first; a table that cannot be trusted is refused whole.

Every table is a pandas frame. `COLUMNS` states, for each table, its columns, what each holds,
and what a missing optional column stands for.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from numbers import Integral, Real
from typing import Any

import pandas as pd

from consumables.errors import DeskProblem

_NEEDED: Any = object()


class BadTable(DeskProblem):
    """A table or a setting handed to the planner cannot be used; nothing was planned."""

    exit_code = 3


@dataclass(frozen=True)
class Column:
    """What one column holds; `otherwise` fills a missing optional column and its blank cells."""

    kind: str  # text | word | count | day | money | chances | yes-no
    otherwise: Any = _NEEDED
    words: tuple[str, ...] = ()

    @property
    def needed(self) -> bool:
        return self.otherwise is _NEEDED


_TEXT, _COUNT, _DAY = Column("text"), Column("count"), Column("day")
_STATUS = ("booked", "served", "no-show", "cancelled")
_CATEGORY = ("", "disinfectable", "single-use", "replaceable-surface")

COLUMNS: dict[str, dict[str, Column]] = {
    "items": {
        "item": _TEXT,
        "name": Column("text", ""),
        "unit": Column("word", "each", ("each", "ml", "g")),
        "dose": Column("count", 1),
        "category": Column("word", "", _CATEGORY),
        "shelf_life_days": Column("count", None),
        "after_opening_days": Column("count", None),
        "keep_at_least": Column("count", 0),
    },
    "offers": {
        "offer": _TEXT,
        "supplier": _TEXT,
        "item": _TEXT,
        "pack_size": _COUNT,
        "price": Column("money"),
        "break_packs": Column("count", None),
        "break_price": Column("money", None),
    },
    "suppliers": {
        "supplier": _TEXT,
        "name": Column("text", ""),
        "lead_days": Column("chances"),
        "minimum_order": Column("money", Decimal(0)),
        "shipping_fee": Column("money", Decimal(0)),
        "free_shipping_from": Column("money", None),
    },
    "set_ups": {
        "service": _TEXT,
        "item": _TEXT,
        "quantity": _COUNT,
        "once_per_visit": Column("yes-no", False),
    },
    "appointments": {
        "visit": _TEXT,
        "service": _TEXT,
        "starts_on": _DAY,
        "booked_on": Column("day", None),
        "status": Column("word", "booked", _STATUS),
    },
    "usage": {"visit": _TEXT, "service": Column("text", ""), "item": _TEXT, "quantity": _COUNT},
    "loose_use": {"on": _DAY, "item": _TEXT, "quantity": _COUNT},
    "stock": {
        "item": _TEXT,
        "lot": Column("text", ""),
        "on_hand": _COUNT,
        "use_by": Column("day", None),
    },
    "on_order": {"item": _TEXT, "units": _COUNT, "due": Column("day", None)},
}

_EXPECTED = {
    "text": "a short text that is not blank",
    "count": "a whole number, 0 or more",
    "day": "a day such as 2026-03-31",
    "money": "an amount such as 12.50, 0 or more",
    "chances": "whole days with their chances, such as {2: 0.5, 3: 0.5}, that sum to 1",
    "yes-no": "yes or no (true or false)",
}


def tidy(table: str, frame: pd.DataFrame | None) -> pd.DataFrame:
    """The table with exactly the columns of `COLUMNS[table]`, in their proper kinds.

    Row labels become 0, 1, 2 ... Raises BadTable naming table, row (first row = 1) and column.
    """
    columns = COLUMNS[table]
    if frame is None:
        frame = pd.DataFrame(columns=list(columns))
    lacking = [name for name, column in columns.items() if column.needed and name not in frame]
    if lacking:
        raise BadTable(f"The table '{table}' has no column '{lacking[0]}'. Add it and plan again.")
    return pd.DataFrame(
        {name: _column(table, name, column, frame) for name, column in columns.items()}
    )


def only_known(table: str, frame: pd.DataFrame, column: str, known: Iterable[str]) -> None:
    """Refuse a row that names something which is not in `known`."""
    strange = ~frame[column].isin(list(known))
    if strange.any():
        row = int(strange.to_numpy().argmax())
        raise BadTable(
            f"The table '{table}', row {row + 1}, names the {column} "
            f"'{frame[column].iloc[row]}', which is not in the catalogue. "
            "Add it there, or take the row out, and plan again."
        )


def only_once(table: str, frame: pd.DataFrame, columns: list[str]) -> None:
    """Refuse a second row with the same key."""
    again = frame.duplicated(columns)
    if again.any():
        row = int(again.to_numpy().argmax())
        named = " and ".join(f"{name} '{frame[name].iloc[row]}'" for name in columns)
        raise BadTable(f"The table '{table}', row {row + 1}, repeats {named}. Keep one row for it.")


def _column(table: str, name: str, column: Column, frame: pd.DataFrame) -> "pd.Series[Any]":
    if name not in frame:
        return _filled(pd.Series([None] * len(frame), dtype=object), column)
    cells = frame[name].reset_index(drop=True)
    blank = cells.isna()
    if column.kind in ("text", "word"):
        blank |= cells == ""
    read, bad = _READ[column.kind](cells, column)
    bad = (bad & ~blank) | (blank if column.needed else False)
    if bad.any():
        row = int(bad.to_numpy().argmax())
        expected = _EXPECTED.get(column.kind) or "one of " + ", ".join(filter(None, column.words))
        raise BadTable(
            f"The table '{table}', row {row + 1}, column '{name}', holds "
            f"'{cells.iloc[row]}'; it should be {expected}. Nothing was planned."
        )
    return _filled(read.where(~blank, None) if blank.any() else read, column)


def _filled(cells: "pd.Series[Any]", column: Column) -> "pd.Series[Any]":
    if column.kind == "day":
        return pd.to_datetime(cells)
    if column.otherwise is not _NEEDED and column.otherwise is not None:
        cells = cells.astype(object).where(cells.notna(), column.otherwise)
    if column.kind == "yes-no":
        return cells.astype(bool)
    if column.kind == "count":
        gaps = not column.needed and column.otherwise is None
        return cells.astype("Int64") if gaps else cells.astype("int64")
    return cells


def _texts(cells: "pd.Series[Any]", column: Column) -> tuple["pd.Series[Any]", "pd.Series[Any]"]:
    read = cells if pd.api.types.is_string_dtype(cells) else cells.astype(str)
    return read, pd.Series(False, index=cells.index)


def _words(cells: "pd.Series[Any]", column: Column) -> tuple["pd.Series[Any]", "pd.Series[Any]"]:
    read, _ = _texts(cells, column)
    return read, ~read.isin(column.words)


def _counts(cells: "pd.Series[Any]", column: Column) -> tuple["pd.Series[Any]", "pd.Series[Any]"]:
    read = pd.to_numeric(cells, errors="coerce")
    return read, read.isna() | (read < 0) | (read % 1 != 0)


def _days(cells: "pd.Series[Any]", column: Column) -> tuple["pd.Series[Any]", "pd.Series[Any]"]:
    read = pd.to_datetime(cells, errors="coerce")
    if getattr(read.dtype, "tz", None) is not None:
        read = read.dt.tz_localize(None)
    read = read.dt.normalize()
    return read, read.isna()


def _monies(cells: "pd.Series[Any]", column: Column) -> tuple["pd.Series[Any]", "pd.Series[Any]"]:
    read = cells.map(_amount).astype(object)
    return read, read.isna()


def _chances(cells: "pd.Series[Any]", column: Column) -> tuple["pd.Series[Any]", "pd.Series[Any]"]:
    return cells, ~cells.map(_is_pmf).astype(bool)


def _yes_no(cells: "pd.Series[Any]", column: Column) -> tuple["pd.Series[Any]", "pd.Series[Any]"]:
    read = cells.map({True: True, False: False, "yes": True, "no": False})
    return read, read.isna()


def _amount(cell: Any) -> Decimal | None:
    try:
        amount = Decimal(str(cell))
    except InvalidOperation:
        return None
    return amount if amount.is_finite() and amount >= 0 else None


def _is_pmf(cell: Any) -> bool:
    if not isinstance(cell, dict) or not cell:
        return False
    whole_days = all(isinstance(day, Integral) and int(day) >= 0 for day in cell)
    chances = all(isinstance(chance, Real) and float(chance) >= 0 for chance in cell.values())
    return whole_days and chances and abs(sum(cell.values()) - 1) < 1e-6


_READ = {
    "text": _texts,
    "word": _words,
    "count": _counts,
    "day": _days,
    "money": _monies,
    "chances": _chances,
    "yes-no": _yes_no,
}


def days_from(as_of: date, days: "pd.Series[Any]") -> "pd.Series[Any]":
    """Whole days from `as_of` to each day, negative in the past; a blank day stays blank."""
    return (days - pd.Timestamp(as_of)).dt.days
