"""How the shelf is worded: states first, bars of cover, lots in the sequence they are used."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from consumables.screens.widgets.rows import Column, Row, Word

if TYPE_CHECKING:
    from consumables.desk.shelving import ShelfLot, ShelfRow

COLUMNS = (
    Column("state", 11),
    Column("item", stretch=True),
    Column("on hand", 9, right=True, to_width=90),
    Column("on hand", 8, right=True, from_width=90),
    Column("ready", 6, right=True, from_width=90),
    Column("uses", 5, right=True, from_width=90),
    Column("order", 7, right=True, from_width=84),
    Column("cover", 11, from_width=50),
    Column("use-by", 6, right=True, from_width=56),
)
TONES = {
    "count first": "bad",
    "past use-by": "bad",
    "none": "bad",
    "below floor": "act",
    "expiring": "act",
    "in stock": "good",
}
SEQUENCE = list(TONES)
WHY_GONE = ("past use-by", "spoiled", "dropped", "packet torn", "recalled by the maker")
WHAT_FOR = ("spilt", "desk cleaned", "test")
BAR = 6  # blocks in a full bar
FULL_DAYS = 42  # a full bar: six weeks, our own choice
EIGHTHS = " ▏▎▍▌▋▊▉█"
Days = float | str | None


def shelf_row(row: ShelfRow, days: Days) -> Row:
    """One item as it stands on the shelf."""
    kept = f"{row.pieces_ready}/{row.pieces_kept}" if row.pieces_kept else ""
    return Row(
        row.item_id,
        (
            Word(row.state, TONES[row.state]),
            row.name,
            _held(row),
            amount(row.on_hand, row.unit) if row.on_hand or not kept else "",
            kept,
            str(row.uses) if row.pieces_kept else "",
            amount(row.on_order, row.unit) if row.on_order else "",
            Word(cover_words(days), "wait"),
            f"{row.next_use_by:%d %b}" if row.next_use_by else "",
        ),
    )


def _held(row: ShelfRow) -> str:
    if not row.pieces_kept:
        return amount(row.on_hand, row.unit)
    new = f"+{row.on_hand} new" if row.on_hand else "ready"
    return f"{row.pieces_ready}/{row.pieces_kept} {new}"


def amount(quantity: int, unit: str) -> str:
    """A quantity with its unit; pieces need none."""
    return str(quantity) if unit == "each" else f"{quantity} {unit}"


def cover_words(days: Days) -> str:
    """A bar of blocks and the number of days the shelf lasts."""
    if isinstance(days, str):
        return days
    if days is None:
        return ""
    number = f"{min(days, 999):.0f}d"
    return f"{bar(days)} {number:>4}"


def bar(days: float) -> str:
    """Six blocks, full at six weeks, in eighths of a block."""
    eighths = round(min(max(days, 0) / FULL_DAYS, 1) * BAR * 8)
    whole, rest = divmod(eighths, 8)
    return ("█" * whole + (EIGHTHS[rest] if rest else "")).ljust(BAR, "·")


def lot_words(lot: ShelfLot, unit: str) -> str:
    """One lot on one line."""
    told = [f"{lot.lot_id}: {amount(lot.on_hand, unit)}"]
    if lot.use_by:
        told.append(f"use by {lot.use_by:%d %b %Y}" if lot.in_date else "PAST USE-BY")
    if lot.opened_on:
        told.append(f"opened {lot.opened_on:%d %b}")
    return ", ".join(told)


def in_detail(row: ShelfRow, lots: Sequence[ShelfLot], days: Days) -> str:
    """One item with all its lots."""
    told = [f"{row.name}: {row.state}, {row.category}"]
    if isinstance(days, int | float):
        told.append(f"Lasts about {days:.0f} days at the use expected.")
    elif days is None:
        told.append("No use is expected, so no days of cover are worked out.")
    if row.pieces_kept:
        told.append(
            f"Pieces: {row.pieces_ready} ready of {row.pieces_kept}, {row.uses} uses so far."
        )
    if row.on_order:
        told.append(f"On order: {amount(row.on_order, row.unit)}.")
    told += ["Lots, first to be used first:"] + [f"  {lot_words(lot, row.unit)}" for lot in lots]
    if not lots:
        told[-1] = "No lot lies on the shelf."
    return "\n".join(told)
