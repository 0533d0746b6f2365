"""A row keeps its place, so that whatever is wrong in it can be found and put right."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TypeVar

from consumables.errors import BadFile
from consumables.paperwork.cells import CellError

T = TypeVar("T")
D = TypeVar("D")

MOST_TOLD = 10
PRIVATE = ("client", "summary", "technician")  # never repeated in a message


@dataclass(frozen=True)
class Complaint:
    """One thing that is wrong: where, and the sentence that says what was expected."""

    place: str
    row: int | None
    column: str
    sentence: str

    def line(self) -> str:
        row = f", row {self.row}" if self.row is not None else ""
        column = f", column '{self.column}'" if self.column else ""
        return f"{self.place}{row}{column}: {self.sentence}"


@dataclass(frozen=True)
class Row:
    """The cells of one row by column name, and where the row stands (the header is row 1)."""

    place: str
    number: int | None
    cells: Mapping[str, str]
    complaints: list[Complaint] = field(compare=False)

    def blank(self, column: str) -> bool:
        return not self.cells.get(column)

    def complain(self, column: str, sentence: str) -> None:
        self.complaints.append(Complaint(self.place, self.number, column, sentence))

    def take(self, column: str, read: Callable[[str], T], when_blank: D) -> T | D:
        """The cell's value; `when_blank` for an empty cell, and for a bad one after a complaint."""
        cell = self.cells.get(column, "")
        if not cell:
            return when_blank
        try:
            return read(cell)
        except CellError as problem:
            self.complain(column, f"{problem}{_found(column, cell)}")
            return when_blank

    def need(self, column: str, read: Callable[[str], T], instead: D) -> T | D:
        """As `take`, but an empty cell is wrong too."""
        if self.blank(column):
            self.complain(column, "A value is expected here; the cell is blank.")
        return self.take(column, read, instead)


def _found(column: str, cell: str) -> str:
    if column in PRIVATE:
        return ""
    return f" Found: '{cell if len(cell) <= 40 else cell[:39] + '…'}'."


def refuse_repeats(rows: Sequence[Row], *columns: str) -> None:
    """Complain of every row whose `columns` say the same as an earlier row's."""
    seen: dict[tuple[str, ...], Row] = {}
    for row in rows:
        key = tuple(row.cells.get(column, "").casefold() for column in columns)
        if not all(key):
            continue
        if key in seen:
            what = " with this ".join(columns)
            row.complain(
                columns[-1], f"One row for each {what} is expected; row {seen[key].number} has it."
            )
        seen.setdefault(key, row)


def refuse_late_booking(row: Row, booked_on: date | None, starts_at: datetime) -> None:
    """Complain of a visit that was booked on a later day than it took place."""
    if booked_on and starts_at.tzinfo and booked_on > starts_at.date():
        row.complain(
            "booked_on", "A day up to the visit is expected; leave it blank if noted afterwards."
        )


def refuse_if_any(complaints: Sequence[Complaint]) -> None:
    """Raise BadFile for the first complaint, telling the next nine and counting the rest."""
    if not complaints:
        return
    first, *others = complaints
    told = [first.sentence, *(f"  {other.line()}" for other in others[: MOST_TOLD - 1])]
    if len(others) >= MOST_TOLD:
        told.append(f"  ... and {len(others) - MOST_TOLD + 1} more.")
    raise BadFile(first.place, first.row, first.column, "\n".join(told))
