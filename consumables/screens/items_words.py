"""How a verdict is worded: the mark, the reasons with their sources, and who disagrees."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consumables.screens.widgets.choose import Choice
from consumables.screens.widgets.rows import Cell, Column, Row, Word

if TYPE_CHECKING:
    from consumables.desk.verdicts import ItemRow
    from consumables.items.compare_books import Comparison
    from consumables.items.rulebook import Citation, RuleBook
    from consumables.items.verdict import BookOpinion, Change, Reason, Verdict

COLUMNS = (
    Column("mark", 19),
    Column("item", stretch=True),
    Column("goes to", 11, from_width=54),
    Column("open", 11, from_width=66),
)
MOST_SHOWN = 8  # what a question can show without scrolling
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
    return f"Rule book: {book.title} ({book.edition}; checked {book.checked_on}).{partial}"


def book_choice(book: RuleBook) -> Choice:
    """A book to choose."""
    return Choice(book.name, book.said_as, f"{book.place}, {book.edition}")


def moving_words(moving: Comparison) -> str:
    """What putting another book in force would change, before it is done."""
    told = [moving.sentence]
    shown = moving.moved[:MOST_SHOWN]
    told += [f"- {one.name}: {one.before.answer} -> {one.after.answer}" for one in shown]
    if len(moving.moved) > len(shown):
        left = len(moving.moved) - len(shown)
        told.append(f"- and {left} more; `consumables book compare` lists them all with reasons")
    told += ["", "Every verdict follows the new book from now on. Confirm with your own board."]
    return "\n".join(told)


def verdict_words(name: str, verdict: Verdict) -> str:
    """The whole verdict; the heading is left out where the name stands elsewhere."""
    core = f", core: {verdict.core_route}" if verdict.core_route else ""
    told = [f"{name + ': ' if name else ''}{verdict.category}, goes to: {verdict.route}{core}"]
    told.append(f"under {verdict.book}{' (seen in part)' if verdict.partial_book else ''}")
    if verdict.banned:
        told.append(f"BANNED: {verdict.banned}")
    told += [f"ANSWER THIS: {question}" for question in verdict.questions]
    if verdict.conflict:
        told.append(f"SOURCES DIFFER: {verdict.conflict}")
    told += [_reason(reason) for reason in verdict.reasons]
    told += [f"MIND: {caution}" for caution in verdict.cautions]
    if verdict.kit_allowed:
        told += ["", "May be kept for the same client, where you agree on a kit."]
    told += ["", "What would change it", *map(_change, verdict.changes)]
    if not verdict.changes:
        told.append("  nothing about the thing itself")
    if verdict.disagree:
        told += ["", "Other books say"]
        told += [_opinion(said) for said in verdict.disagree]
    told += ["", "Local law and the product's label come before this screen."]
    return "\n".join(told)


def _reason(reason: Reason) -> str:
    return "\n".join([f"- {reason.sentence}", *[f"  {_cited(cite)}" for cite in reason.cites]])


def _change(one: Change) -> str:
    return f"  {one.condition}: {one.category}, {one.route}"


def _opinion(said: BookOpinion) -> str:
    partial = " (seen in part)" if said.partial else ""
    return f"  {said.book}{partial}: {said.category}, {said.route}"


def _cited(cite: Citation) -> str:
    edition = f", {cite.edition}" if cite.edition else ""
    known = "" if cite.confidence in cite.section else f"; {cite.confidence}"
    return f"[{cite.section}{edition}{known}]"
