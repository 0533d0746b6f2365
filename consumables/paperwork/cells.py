"""What stands in a cell is text until it has been understood as a number, a price or a date.

Each reader takes the text of one cell (never blank) and returns the value, or raises
CellError with a sentence that names what was expected.
"""

import re
import unicodedata
from collections.abc import Callable, Collection, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from difflib import get_close_matches
from enum import Enum
from typing import TypeVar
from zoneinfo import ZoneInfo

T = TypeVar("T")
E = TypeVar("E", bound=Enum)

MOST_UNITS = 10_000_000
MOST_DAYS = 36_500


class CellError(ValueError):
    """A cell holds something else than its column asks for; the text is the sentence."""


def clean(cell: str) -> str:
    """One spelling for what looks the same: composed letters, plain blanks, none at the ends."""
    blanks = "".join(" " if unicodedata.category(c) == "Zs" else c for c in cell)
    return unicodedata.normalize("NFC", blanks).strip()


def nearest(word: str, known: Collection[str]) -> str:
    """' Did you mean ...?' for the closest known word, or nothing."""
    lowered = {k.casefold(): k for k in known}
    close = get_close_matches(word.casefold(), lowered, n=1, cutoff=0.6)
    return f" Did you mean '{lowered[close[0]]}'?" if close else ""


def text(most: int = 200) -> Callable[[str], str]:
    """Any text of at most `most` characters, as it stands."""

    def read(cell: str) -> str:
        if len(cell) > most:
            raise CellError(f"A text of at most {most} characters is expected.")
        return cell

    return read


def identity(cell: str) -> str:
    """A short name by which other files speak of this row."""
    if len(cell) > 60 or ";" in cell:
        raise CellError("A short id of at most 60 characters without ';' is expected.")
    return cell


def code(cell: str) -> str:
    """Initials or a code for a person: at most 12 characters and no blank, so never a name."""
    if len(cell) > 12 or any(c.isspace() or c in ";," for c in cell):
        raise CellError(
            "Initials or a code of at most 12 characters without blanks is expected;"
            " a full name is more than the desk needs."
        )
    return cell


def whole(least: int, most: int = MOST_UNITS) -> Callable[[str], int]:
    """A whole number from `least` to `most`, written in plain digits."""

    def read(cell: str) -> int:
        if not re.fullmatch(r"[0-9]{1,15}", cell) or not least <= int(cell) <= most:
            raise CellError(f"A whole number from {least} to {most} is expected.")
        return int(cell)

    return read


def amount(cell: str) -> Decimal:
    """A pack's content: a number above 0 with a dot, at most 4 decimals."""
    if not re.fullmatch(r"[0-9]{1,8}(\.[0-9]{1,4})?", cell) or not Decimal(cell):
        raise CellError(
            "A number above 0 is expected, such as 100 or 14.8 (a dot, at most 4 decimals)."
        )
    return Decimal(cell)


def money(cell: str) -> Decimal:
    """A sum of money as an exact decimal; a price is never a binary fraction."""
    if not re.fullmatch(r"[0-9]{1,7}(\.[0-9]{1,4})?", cell):
        raise CellError(
            "A sum such as 12.50 is expected (digits and a dot, at most 4 decimals,"
            " no currency sign)."
        )
    return Decimal(cell)


def price(cell: str) -> Decimal:
    """A sum above 0."""
    if not money(cell):
        raise CellError("A price above 0 is expected.")
    return money(cell)


def yes_no(cell: str) -> bool:
    """yes or no; nothing else is guessed at."""
    if cell.casefold() not in ("yes", "no"):
        raise CellError("yes or no is expected.")
    return cell.casefold() == "yes"


def iso_date(cell: str) -> date:
    """A day of the calendar, ISO 8601: 2026-03-02."""
    try:
        day = (
            date.fromisoformat(cell) if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", cell) else None
        )
    except ValueError:
        day = None
    if day is None or not 1990 <= day.year <= 2190:
        raise CellError("A date such as 2026-03-02 (year-month-day) is expected.")
    return day


def moment(zone: str) -> Callable[[str], datetime]:
    """An ISO 8601 date-time in the shop's zone; one without an offset is the shop's own time.

    An hour that comes twice (clocks go back) is its first one; one that is skipped is refused.
    """
    shop = ZoneInfo(zone)

    def read(cell: str) -> datetime:
        given = _date_time(cell)
        local = given if given.tzinfo else given.replace(tzinfo=shop)
        settled = local.astimezone(UTC).astimezone(shop)
        if not given.tzinfo and settled.replace(tzinfo=None) != given:
            raise CellError(f"An hour that exists is expected: clocks in {zone} skip this one.")
        return settled

    return read


def _date_time(cell: str) -> datetime:
    try:
        if re.match(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}", cell):
            given = datetime.fromisoformat(cell)
            if 1990 <= given.year <= 2190:
                return given
    except ValueError:
        pass
    raise CellError("A date and time such as 2026-03-02T10:00 is expected.")


def member(kinds: type[E]) -> Callable[[str], E]:
    """One of the words of a closed list, whatever its letter case."""
    by_word = {str(kind.value).casefold(): kind for kind in kinds}

    def read(cell: str) -> E:
        if cell.casefold() not in by_word:
            allowed = ", ".join(str(kind.value) for kind in kinds)
            raise CellError(f"One of these is expected: {allowed}.{nearest(cell, by_word)}")
        return by_word[cell.casefold()]

    return read


def known_id(ids: Collection[str], listed_in: str) -> Callable[[str], str]:
    """An id that another sheet lists; a reference that leads nowhere is refused."""

    def read(cell: str) -> str:
        if cell not in ids:
            raise CellError(f"An id listed in {listed_in} is expected.{nearest(cell, ids)}")
        return cell

    return read


def several(read_one: Callable[[str], T]) -> Callable[[str], tuple[T, ...]]:
    """Values separated by ';', none of them twice."""

    def read(cell: str) -> tuple[T, ...]:
        found = tuple(read_one(piece.strip()) for piece in cell.split(";"))
        if len(set(found)) != len(found):
            raise CellError("Each value is expected once, separated by ';'.")
        return found

    return read


def grits(cell: str) -> tuple[int, ...]:
    """'100/180' -> (100, 180): the faces as printed."""
    if not re.fullmatch(r"[0-9]{1,5}(/[0-9]{1,5}){0,7}", cell):
        raise CellError("Grits such as 180 or 100/180 are expected.")
    faces = tuple(int(face) for face in cell.split("/"))
    if not all(8 <= face <= 20_000 for face in faces):
        raise CellError("Grits from 8 to 20000 are expected.")
    return faces


def lead_days(cell: str) -> dict[int, float]:
    """'3' -> {3: 1.0}; '2:0.5 3:0.3 5:0.2' -> the chance of each number of whole days."""
    if re.fullmatch(r"[0-9]{1,3}", cell):
        cell += ":1"
    chances: dict[int, Decimal] = {}
    for pair in cell.split():
        day, chance = _day_and_chance(pair)
        if day in chances:
            raise CellError(f"Each number of days is expected once; {day} stands twice.")
        chances[day] = chance
    _refuse_wrong_sum(chances)
    return {day: float(chance) for day, chance in chances.items()}


def _day_and_chance(pair: str) -> tuple[int, Decimal]:
    form = re.fullmatch(r"([0-9]{1,3}):([01](?:\.[0-9]{1,17})?)", pair)
    if not form or int(form[1]) > 365 or not 0 < Decimal(form[2]) <= 1:
        raise CellError(
            "Days such as 3, or days with their chances such as '2:0.5 3:0.3 5:0.2', are expected"
            " (at most 365 days)."
        )
    return int(form[1]), Decimal(form[2])


def _refuse_wrong_sum(chances: Mapping[int, Decimal]) -> None:
    total = sum(chances.values(), Decimal(0))
    if abs(total - 1) > Decimal("0.000001"):
        raise CellError(f"Chances that sum to 1 are expected; these sum to {total}.")


def gtin(cell: str) -> str:
    """A bar-code number (8, 12, 13 or 14 digits, right check digit) as 14 digits."""
    from biip import ParseError
    from biip.gtin import Gtin

    # biip counts any script's digits and the all-zero number as valid: ask for more first
    if not re.fullmatch(r"[0-9]+", cell) or not int(cell):
        raise CellError("A bar-code number of plain digits is expected.")
    try:
        return str(Gtin.parse(cell).as_gtin_14())
    except ParseError as problem:
        if len(cell) in (8, 12, 13, 14):
            why = "its check digit is wrong, so a digit was mistyped"
        else:
            why = f"this one has {len(cell)} (a spreadsheet may have dropped leading zeros)"
        raise CellError(
            f"A bar-code number of 8, 12, 13 or 14 digits is expected; {why}."
        ) from problem
