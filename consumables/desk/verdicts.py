"""What each item is: its verdict, the reasons behind it, and the book that is in force."""

from dataclasses import dataclass, replace
from pathlib import Path

from consumables.desk.opening import Desk, Receipt
from consumables.errors import Refused
from consumables.items.classify import classify
from consumables.items.rulebook import RuleBook
from consumables.items.rulebook_reader import find_book, shipped, shipped_names
from consumables.items.verdict import Change, Verdict
from consumables.items.what_if import what_would_change
from consumables.ledger.events import BookChosen, Event, VerdictTightened
from consumables.store.shop_store import Session
from consumables.words import Category


@dataclass(frozen=True)
class ItemRow:
    """One item with its verdict in words."""

    item_id: str
    name: str
    kind: str
    category: Category
    route: str
    asks: bool  # an open question makes it single-use for now
    conflict: bool
    banned: bool


def item_rows(desk: Desk) -> list[ItemRow]:
    """Every item with its verdict under the book in force."""
    return [_row(desk, item_id) for item_id in desk.items]


def verdict_of(desk: Desk, item_id: str) -> Verdict:
    """One item's verdict: reasons, questions, what would change it, which books say otherwise."""
    verdict, item = desk.explained(item_id), desk.item(item_id)
    own = classify(item, desk.book)
    if (own.category, own.route) == (verdict.category, verdict.route):
        return replace(verdict, changes=what_would_change(item, desk.book, own))
    back = Change("if this shop followed its book", own.category, own.route)
    return replace(verdict, changes=(back,))


def books() -> list[RuleBook]:
    """The shipped rule books."""
    return [shipped(name) for name in shipped_names()]


def use_book(desk: Desk, name: str) -> Receipt:
    """Put another rule book in force (a shipped one's name, or the path of the shop's own)."""
    book = find_book(name)
    # An own copy must be found again from wherever the next command is typed.
    name = name if name in shipped_names() else str(Path(name).resolve())
    with desk.store.writing() as session:
        desk.catch_up(session)
        session.write_settings(replace(desk.settings, rule_book=name))
        job = desk.job("book", f"Rule book in force: {book.said_as} ({book.edition}).")
        session.append(job, [BookChosen(name, book.title, book.edition)])
    desk.forget()
    return Receipt(job.job_key, job.sentence, cautions=_partial(book))


def tighten(desk: Desk, item_id: str, because: str) -> Receipt:
    """Treat an item as single-use whatever the book says; loosening is not done here."""
    item = desk.item(item_id)
    if not because.strip():
        raise Refused("Say why this shop is stricter than its book.")

    def decide(_session: Session) -> list[Event]:
        return [VerdictTightened(item_id, because)]

    receipt = desk.do("tighten", f"{item.name} is single-use in this shop: {because}.", decide)
    desk.forget()
    return receipt


def _row(desk: Desk, item_id: str) -> ItemRow:
    item, verdict = desk.items[item_id], desk.verdicts[item_id]
    return ItemRow(
        item_id,
        item.name,
        item.kind,
        verdict.category,
        verdict.route,
        bool(verdict.questions),
        bool(verdict.conflict),
        bool(verdict.banned),
    )


def _partial(book: RuleBook) -> tuple[str, ...]:
    note = "Local law and the product label outrank this tool; confirm with your board."
    if book.partial:
        return (f"This book is partial: {book.note} {note}",)
    return (note,)
