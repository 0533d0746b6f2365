"""One table of a rule book's TOML that knows its place, so that every complaint can name it."""

from collections.abc import Iterable, Mapping
from datetime import date
from enum import StrEnum
from typing import Any, NoReturn, TypeVar

from consumables.errors import BadRuleBook

_Word = TypeVar("_Word", bound=StrEnum)


def toml_of(text: str, where: str) -> dict[str, Any]:
    """Tables of a TOML text, or a refusal that names the file and the line."""
    import tomllib

    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as problem:
        raise BadRuleBook(
            f"{where}: the file is not readable as TOML ({problem}). Put that line right; "
            "the book was not read."
        ) from problem


class BookTable:
    """One TOML table that knows its place, so that every complaint can name it."""

    def __init__(self, values: Mapping[str, Any], where: str) -> None:
        self.values, self.where = values, where

    def within(self, place: str) -> "BookTable":
        """The same table, with its place told more closely."""
        return BookTable(self.values, f"{self.where}, {place}")

    def refuse(self, complaint: str) -> NoReturn:
        """Refuse the book, naming the place."""
        raise BadRuleBook(f"{self.where}: {complaint}. The book was not read.")

    def only(self, known: tuple[str, ...]) -> None:
        """Refuse a field that is not among the known ones."""
        for key in self.values:
            if key not in known:
                self.refuse(f"has the unknown field '{key}'; known are {listed(known)}")

    def text(self, key: str, default: str | None = None) -> str:
        """A text; without a default it must be there and not be empty."""
        value = self._get(key, default, str, "a text")
        if default is None and not value.strip():
            self.refuse(f"'{key}' is empty")
        return str(value)

    def truth(self, key: str, default: bool | None = None) -> bool:
        """true or false."""
        return bool(self._get(key, default, bool, "true or false"))

    def maybe_truth(self, key: str) -> bool | None:
        """true, false, or None when the field is left out."""
        return self.truth(key) if key in self.values else None

    def count(self, key: str, default: int | None = None) -> int:
        """A whole number above zero."""
        value = self._get(key, default, int, "a whole number")
        if isinstance(value, bool) or value < 1:
            self.refuse(f"'{key}' must be a whole number above zero")
        return int(value)

    def maybe_count(self, key: str) -> int | None:
        """A whole number above zero, or None when the field is left out."""
        return self.count(key) if key in self.values else None

    def day(self, key: str) -> date:
        """A date without a time."""
        value: date = self._get(key, None, date, "a date such as 2026-11-25")
        if type(value) is not date:
            self.refuse(f"'{key}' must be a date without a time")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts; left out it is empty, and an empty list is refused."""
        values = self._get(key, (), (list, tuple), "a list of texts")
        if key in self.values and not values:
            self.refuse(f"'{key}' is an empty list; leave it out or fill it")
        if not all(isinstance(value, str) and value.strip() for value in values):
            self.refuse(f"'{key}' must be a list of texts")
        return tuple(values)

    def pairs(self, key: str) -> tuple[tuple[str, str], ...]:
        """A table of texts as (name, text) pairs, in the sequence written."""
        values = self._get(key, {}, dict, "a table of texts")
        if not all(isinstance(text, str) and text.strip() for text in values.values()):
            self.refuse(f"'{key}' must be a table of texts that are not empty")
        return tuple((str(name), str(text)) for name, text in values.items())

    def choice(self, key: str, known: tuple[str, ...], default: str) -> str:
        """A text that is one of the known ones."""
        return self._known(key, self.text(key, default), known)

    def choices(self, key: str, known: tuple[str, ...]) -> tuple[str, ...]:
        """A list of texts that are all among the known ones."""
        return tuple(self._known(key, value, known) for value in self.texts(key))

    def word(self, key: str, words: type[_Word], default: _Word | None = None) -> _Word:
        """A text that is one of the words of an enumeration."""
        value = self.text(key, default)
        try:
            return words(value)
        except ValueError:
            self.refuse(f"has the unknown {key} '{value}'; known are {listed(words)}")

    def table(self, key: str) -> "BookTable":
        """A table within this one; left out it is empty."""
        return BookTable(self._get(key, {}, dict, "a table"), self.where)

    def tables(self, key: str, short: str = "") -> list["BookTable"]:
        """Tables of a list; with `short`, a plain text stands for a table with that one field."""
        rows = [
            {short: row} if short and isinstance(row, str) else row
            for row in self._get(key, [], list, "a list of tables")
        ]
        if not all(isinstance(row, dict) for row in rows):
            self.refuse(f"'{key}' must be a list of tables")
        return [BookTable(row, self.where) for row in rows]

    def _get(self, key: str, default: Any, kind: Any, words: str) -> Any:
        if key not in self.values and default is None:
            self.refuse(f"lacks '{key}'")
        value = self.values.get(key, default)
        if not isinstance(value, kind):
            self.refuse(f"'{key}' must be {words}")
        return value

    def _known(self, key: str, value: str, known: tuple[str, ...]) -> str:
        if value not in known:
            self.refuse(f"has the unknown {key} '{value}'; known are {listed(known)}")
        return value


def listed(words: Iterable[str]) -> str:
    """Words in a row, sorted, for a sentence."""
    return ", ".join(sorted(str(word) for word in words))
