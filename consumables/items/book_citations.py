"""Reads where a rule stands: citations written out, or named once under [sources]."""

from dataclasses import fields, replace
from datetime import date

from consumables.items.book_table import BookTable
from consumables.items.rulebook import Citation
from consumables.words import Confidence

_FIELDS = tuple(field.name for field in fields(Citation))


class BookCitations:
    """The citations of one book: its sources by name, and the day they were looked at."""

    def __init__(self, sources: BookTable, checked_on: date) -> None:
        self.checked_on = checked_on
        self.sources = {
            name: self._written(sources.table(name).within(f"source '{name}'"))
            for name in sources.values
        }

    def of(self, table: BookTable, key: str) -> tuple[Citation, ...]:
        """Citations in a list: each a table of its own, or the name of one of the sources."""
        return tuple(self._one(row) for row in table.tables(key, short="source"))

    def _one(self, table: BookTable) -> Citation:
        if "source" not in table.values:
            return self._written(table)
        table.only(("source", "confidence"))
        name = table.text("source")
        if name not in self.sources:
            table.refuse(f"cites the source '{name}', which is not under [sources]")
        known = self.sources[name]
        return replace(known, confidence=table.word("confidence", Confidence, known.confidence))

    def _written(self, table: BookTable) -> Citation:
        """A citation; the day it was looked at is the book's own unless it says another."""
        table.only(_FIELDS)
        return Citation(
            section=table.text("section"),
            edition=table.text("edition", ""),
            address=table.text("address", ""),
            confidence=table.word("confidence", Confidence, Confidence.FOUND),
            checked_on=table.day("checked_on") if "checked_on" in table.values else self.checked_on,
        )
