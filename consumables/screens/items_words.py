"""How a verdict is worded: the mark, the reasons with their sources, and who disagrees."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consumables.screens.widgets.choose import Choice
from consumables.screens.widgets.rows import Cell, Column, Row, Word

if TYPE_CHECKING:
    from consumables.desk.verdicts import ItemRow
    from consumables.items.rulebook import Citation, RuleBook
    from consumables.items.verdict import Reason, Verdict

COLUMNS = (
    Column("mark", 19),
    Column("item", stretch=True),
    Column("goes to", 11, from_width=54),
    Column("open", 11, from_width=66),
)
TONES = {"single-use": "act", "disinfectable": "good", "replaceable-surface": "wait"}


def item_row(row: ItemRow) -> Row:
    """One item with its mark."""
    return Row(
        row.item_id,
        (Word(row.category, TONES[row.category]), row.name, row.route, _open(row)),
    )


def _open(row: ItemRow) -> Cell:
    if row.banned:
        return Word("banned", "bad")
    if row.asks:
        return Word("question", "act")
    return Word("sources differ", "act") if row.conflict else ""


def book_line(book: RuleBook) -> str:
    """The book in force, on one line."""
    partial = " Only a part of its text was seen." if book.partial else ""
    return f"Rule book: {book.title} ({book.edition}).{partial}"


def book_choice(book: RuleBook) -> Choice:
    """A book to choose."""
    return Choice(book.name, book.title, f"{book.place}, {book.edition}")


def verdict_words(name: str, verdict: Verdict) -> str:
    """The whole verdict; the heading is left out where the name stands elsewhere."""
    core = f", core: {verdict.core_route}" if verdict.core_route else ""
    told = [f"{name + ': ' if name else ''}{verdict.category}, goes to: {verdict.route}{core}"]
    if verdict.banned:
        told.append(f"BANNED: {verdict.banned}")
    told += [f"ANSWER THIS: {question}" for question in verdict.questions]
    if verdict.conflict:
        told.append(f"SOURCES DIFFER: {verdict.conflict}")
    told += [_reason(reason) for reason in verdict.reasons]
    if verdict.kit_allowed:
        told += ["", "May be kept for the same client, where you agree on a kit."]
    if verdict.disagree:
        told += ["", "Other books say"]
        told += [f"  {said.book}: {said.category}, {said.route}" for said in verdict.disagree]
    told += ["", "Local law and the product's label come before this screen."]
    return "\n".join(told)


def _reason(reason: Reason) -> str:
    return "\n".join([f"- {reason.sentence}", *[f"  {_cited(cite)}" for cite in reason.cites]])


def _cited(cite: Citation) -> str:
    edition = f", {cite.edition}" if cite.edition else ""
    return f"[{cite.section}{edition}; {cite.confidence}]"
