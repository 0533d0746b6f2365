"""A verdict says what may happen to an item after a client, and shows its reasons."""

from dataclasses import dataclass

from consumables.items.rulebook import Citation
from consumables.words import Category, Route


@dataclass(frozen=True)
class Reason:
    """One step that led to a verdict."""

    step: str  # mark | book | porous | two-part | non-porous | question | dispensed
    sentence: str
    rule_id: str = ""
    cites: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class BookOpinion:
    """What another shipped book says of the same item."""

    book: str
    category: Category
    route: Route
    partial: bool = False  # not all of that book's text was seen


@dataclass(frozen=True)
class Change:
    """One thing that would change a verdict, and what the answer would be then."""

    condition: str  # "if the surface came off a core of metal"
    category: Category
    route: Route


@dataclass(frozen=True)
class Verdict:
    """Category, route and reasons for one item under one book.

    `questions` are what a person must answer; until then the item is single-use.
    `conflict` is a sentence when the sources themselves differ and the strictest stands.
    """

    item_id: str
    book: str
    category: Category
    route: Route
    core_route: Route | None = None  # for route strip: where the core goes
    reasons: tuple[Reason, ...] = ()
    questions: tuple[str, ...] = ()
    conflict: str = ""
    banned: str = ""  # sentence when the book in force, or a named book, bans the item
    banned_here: bool = False  # the book in force itself bans it: refuse use
    kit_allowed: bool = False
    porous: bool = True  # strict: anything not known to be non-porous counts as porous
    disagree: tuple[BookOpinion, ...] = ()
    changes: tuple[Change, ...] = ()  # what would change it, found by asking about altered items
    cautions: tuple[str, ...] = ()  # what to mind at work, such as a face too coarse for a nail
    partial_book: bool = False  # not all of the text of the book in force was seen
