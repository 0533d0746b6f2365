"""How the record is worded: the latest first, every line with its day, its reason and its hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from typing import TYPE_CHECKING

from consumables.screens.widgets.rows import Column, Row, Word

if TYPE_CHECKING:
    from consumables.ledger.marks import FlagMark
    from consumables.reports.discards import DiscardLine, TreatmentLine

PERIODS = (7, 30, 90, 182)
DISCARDS = (
    Column("what", 16),
    Column("when", 12, from_width=50),
    Column("item", stretch=True),
    Column("many", 5, right=True),
    Column("where", 10, from_width=70),
    Column("who", 4, from_width=76),
    Column("because", 24, from_width=110),
)
TREATMENTS = (
    Column("what", 12),
    Column("when", 12, from_width=50),
    Column("item", stretch=True),
    Column("piece or jar", 17, from_width=64),
    Column("who", 4, from_width=76),
    Column("how", 30, from_width=120),
)
FLAGS = (
    Column("state", 12),
    Column("when", 12, from_width=50),
    Column("item", stretch=True),
    Column("many", 5, right=True),
)
TONES = {"used outside the rules": "bad", "retired": "quiet", "jar mixed": "good"}


@dataclass(frozen=True)
class Page:
    """The rows of one list, and the same lines in full by their keys."""

    rows: Sequence[Row]
    words: Mapping[str, str]
    line: str = ""  # above the list, where the list has more to say than its days


def discards_page(lines: Sequence[DiscardLine]) -> Page:
    """What went in the bin, the latest first."""
    latest = list(reversed(lines))
    return Page(
        [_discard_row(line) for line in latest],
        {str(line.entry_id): _discard_words(line) for line in latest},
    )


def treatments_page(lines: Sequence[TreatmentLine]) -> Page:
    """What was cleaned, treated and mixed, the latest first."""
    latest = list(reversed(lines))
    return Page(
        [_treatment_row(line) for line in latest],
        {str(line.entry_id): _treatment_words(line) for line in latest},
    )


def flags_page(flags: Sequence[FlagMark], name_of: Callable[[str], str], zone: tzinfo) -> Page:
    """Uses outside the rules or the counted stock that nobody has settled."""
    latest = sorted(flags, key=lambda flag: flag.entry_id, reverse=True)
    rows: list[Row] = []
    words: dict[str, str] = {}
    for flag in latest:
        key, name = str(flag.entry_id), name_of(flag.item_id)
        at = flag.at.astimezone(zone)
        rows.append(
            Row(key, (Word("flagged", "bad"), f"{at:%d %b %H:%M}", name, str(flag.quantity)))
        )
        words[key] = f"{at:%a %d %b %Y %H:%M}: {flag.quantity} x {name}\n{flag.because}"
    return Page(rows, words)


def period_line(name: str, days: int, found: int, most: int) -> str:
    """What the list shows."""
    if name == "flagged":
        return f"FLAGGED: {found} not settled yet, from all days"
    shown = f", the latest {most} shown" if found > most else ""
    return f"{name.upper()}: the last {days} days, {found} lines{shown}"


def _discard_row(line: DiscardLine) -> Row:
    what = "outside rules" if line.what == "used outside the rules" else line.what
    return Row(
        str(line.entry_id),
        (
            Word(what, TONES.get(line.what, "")),
            f"{line.at:%d %b %H:%M}",
            line.item,
            str(line.quantity),
            line.where,
            line.who or "-",
            line.because,
        ),
    )


def _discard_words(line: DiscardLine) -> str:
    return (
        f"{line.at:%a %d %b %Y %H:%M}  {line.what}: {line.quantity} x {line.item}\n"
        f"to: {line.where}   because: {line.because}\n"
        f"lot or piece: {line.lot_or_piece or '-'}   visit: {line.visit_id or '-'}   "
        f"signed: {line.who or '-'}"
    )


def _treatment_row(line: TreatmentLine) -> Row:
    return Row(
        str(line.entry_id),
        (
            Word(line.what, TONES.get(line.what, "")),
            f"{line.at:%d %b %H:%M}",
            line.item,
            line.piece_or_jar,
            line.who or "-",
            line.detail,
        ),
    )


def _treatment_words(line: TreatmentLine) -> str:
    return (
        f"{line.at:%a %d %b %Y %H:%M}  {line.what}: {line.item} {line.piece_or_jar}\n"
        f"{line.detail or '-'}   signed: {line.who or '-'}"
    )
