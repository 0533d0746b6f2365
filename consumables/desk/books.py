"""The rule books on the shelf: two compared over what the shop owns, one checked, one copied."""

import re
from dataclasses import dataclass, replace
from pathlib import Path

from consumables.desk.opening import Desk
from consumables.errors import BadRuleBook, Refused
from consumables.items.book_faults import doubts
from consumables.items.classify import classify
from consumables.items.compare_books import Comparison, compare, usual_items
from consumables.items.rulebook_reader import book_text, find_book, read_rule_book, shipped_names
from consumables.items.verdict import Verdict
from consumables.words import Category, Route


@dataclass(frozen=True)
class Checked:
    """A book's file that was read whole: what is in it, and what a reader should still look at."""

    name: str
    title: str
    partial: bool
    rules: int
    doubts: tuple[str, ...]


def comparison(desk: Desk | None, book: str, other: str) -> Comparison:
    """What moving from one book to the other changes, over the shop's items.

    Items that follow the shop's own answer stay as they are. Without a shop, or while its
    catalogue is empty, usual items of a nail desk are compared.
    """
    first, second = find_book(book), find_book(other)
    own = _own_answers(desk) if desk else ()
    items = [item for item in desk.items.values() if item.item_id not in own] if desk else []
    return replace(compare(items or usual_items(), first, second), own=own)


def _own_answers(desk: Desk) -> tuple[str, ...]:
    """Items that the shop treats by its own decision, stricter or looser than its book."""
    answers = {item_id: classify(item, desk.book) for item_id, item in desk.items.items()}
    return tuple(
        item_id
        for item_id, verdict in answers.items()
        if _answer(verdict) != _answer(desk.verdicts[item_id])
    )


def _answer(verdict: Verdict) -> tuple[Category, Route]:
    return (verdict.category, verdict.route)


def check_book(name_or_path: str) -> Checked:
    """Read a book's file as strictly as any; BadRuleBook says which rule cannot be trusted."""
    book = read_rule_book(book_text(name_or_path), name_or_path)
    return Checked(book.name, book.title, book.partial, len(book.rules), tuple(doubts(book)))


def copy_book(name_or_path: str, file: str) -> Checked:
    """Start a shop's own copy of a book; it takes its name from the new file."""
    path = Path(file)
    path = path if path.suffix == ".toml" else path.with_name(path.name + ".toml")
    if not re.fullmatch(r"[\w-]+", path.stem):
        raise Refused(f"'{path.stem}' cannot name a book; use letters, digits, - and _.")
    if path.stem in shipped_names():
        raise Refused(f"'{path.stem}' is the name of a book that comes with the tool; choose one.")
    if path.exists():
        raise Refused(f"{path} exists already and was not changed; choose another name.")
    text = _renamed(book_text(name_or_path), name_or_path, path.stem)
    read_rule_book(text, str(path))
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as problem:
        why = problem.strerror or "the place cannot be written to"
        raise Refused(f"{path} was not written ({why}); choose another place.") from None
    return check_book(str(path))


def _renamed(text: str, source: str, name: str) -> str:
    """The text of a book under another name, with a word on top that it is a copy."""
    old = find_book(source)
    lines = text.splitlines()
    for at, line in enumerate(lines):
        if line.startswith("name ="):
            lines[at] = f"name = '{name}'"
            break
        if line.startswith("["):
            raise BadRuleBook(f"{source}: 'name' must stand before the first table.")
    copied = f"# Our own copy of {old.name} ({old.edition}); what our board says otherwise is ours."
    return "\n".join([copied, *lines]) + "\n"
