"""The words and sources of the general order, which decides where the book in force is silent."""

from functools import cache
from typing import Any, NamedTuple

from consumables.items.rulebook import Citation
from consumables.items.shelf_data import word_list
from consumables.words import Confidence


class Step(NamedTuple):
    """One step of the general order in words, with the places that support it."""

    because: str
    cites: tuple[Citation, ...]


class Finding(NamedTuple):
    """What an inspection can show, and what follows: retire or reprocess."""

    words: tuple[str, ...]
    then: str
    step: Step


@cache
def step(name: str) -> Step:
    """The words of one step: mark, sharp, dispensed, porous, two-part, immerse ..."""
    return _step(word_list("general_order")[name])


@cache
def findings() -> tuple[Finding, ...]:
    """Everything an inspection can show, in the order of the list."""
    rows = word_list("general_order")["inspection"]
    return tuple(Finding(tuple(row["words"]), row["then"], _step(row)) for row in rows)


def citation(row: dict[str, Any]) -> Citation:
    """A citation from its TOML table {section, edition, address, confidence}."""
    confidence = Confidence(row.get("confidence", Confidence.FOUND))
    return Citation(row["section"], row.get("edition", ""), row.get("address", ""), confidence)


def _step(row: dict[str, Any]) -> Step:
    return Step(row["because"], tuple(map(citation, row["cites"])))
