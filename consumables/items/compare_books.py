"""Two rule books side by side, item by item: what moving from one to the other would change."""

from collections.abc import Iterable
from dataclasses import dataclass

from consumables.items.classify import classify
from consumables.items.item import Item
from consumables.items.rulebook import RuleBook
from consumables.items.verdict import Verdict
from consumables.words import Category, Route, counted


@dataclass(frozen=True)
class Said:
    """What one book says of an item: the answer, and the reason that decided it."""

    category: Category
    route: Route
    asks: bool  # single-use only until a question is answered
    banned: bool
    conflict: bool  # the book's own sources differ
    because: str
    section: str  # where it stands; empty when the general order decided

    @property
    def answer(self) -> str:
        """The answer in a few words: "disinfectable, spray" or "banned"."""
        if self.banned:
            return "banned"
        asked = ", until answered" if self.asks else ""
        return f"{self.category}, {self.route}{asked}"


@dataclass(frozen=True)
class Moved:
    """One item that two books treat differently."""

    item_id: str
    name: str
    before: Said
    after: Said


@dataclass(frozen=True)
class Comparison:
    """Two books over the same items; `moved` are those whose answer changes."""

    book: str
    other: str
    partial: tuple[str, ...]  # which of the two were seen only in part
    items: int
    moved: tuple[Moved, ...]
    own: tuple[str, ...] = ()  # items that follow the shop's own answer and so never move

    @property
    def sentence(self) -> str:
        """How many items change, in a sentence."""
        many = counted(len(self.moved), "item")
        return f"Moving from {self.book} to {self.other} changes {many} of {self.items}."


def compare(items: Iterable[Item], book: RuleBook, other: RuleBook) -> Comparison:
    """Ask both books about every item; an item moves when the answer in words changes."""
    asked = [(item, _said(item, book), _said(item, other)) for item in items]
    return Comparison(
        book.said_as,
        other.said_as,
        tuple(one.name for one in (book, other) if one.partial),
        len(asked),
        tuple(
            Moved(item.item_id, item.name, before, after)
            for item, before, after in asked
            if before.answer != after.answer
        ),
    )


def _said(item: Item, book: RuleBook) -> Said:
    verdict = classify(item, book)
    reason = verdict.reasons[0]
    return Said(
        verdict.category,
        verdict.route,
        bool(verdict.questions),
        verdict.banned_here,
        bool(verdict.conflict),
        _because(verdict, book),
        "; ".join(cite.section for cite in reason.cites),
    )


def _because(verdict: Verdict, book: RuleBook) -> str:
    """The deciding reason without the book's name before it, which stands beside it anyway."""
    return verdict.reasons[0].sentence.removeprefix(f"{book.title}: ")


def usual_items() -> list[Item]:
    """Usual things of a nail desk, described by their words: for comparing without a shop."""
    from consumables.items.describe import describe_text
    from consumables.items.shelf_data import word_list

    return [describe_text(thing).item for thing in word_list("usual_items")["usual"]["things"]]
