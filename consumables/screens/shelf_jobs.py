"""Counting, throwing away, using and tagging at the shelf: asked for step by step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from consumables.screens.place import Place
from consumables.screens.shelf_words import WHAT_FOR, WHY_GONE, lot_words
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form
from consumables.screens.widgets.question import Confirm

if TYPE_CHECKING:
    from consumables.desk.shelving import ShelfLot, ShelfRow


async def count_it(place: Place, row: ShelfRow) -> None:
    """Ask how many are really there."""
    from consumables.desk.shelving import count

    words = "Count units on the shelf, opened ones too. Tagged pieces are not part of it."
    seen = await _how_many(place, f"Count: {row.name}", row, words, "write it")
    if seen is not None:
        await place.write(lambda desk: count(desk, row.item_id, seen))


async def discard_some(place: Place, row: ShelfRow, lots: Sequence[ShelfLot]) -> None:
    """Ask which lot, how many and why."""
    from consumables.desk.shelving import discard

    if not lots:
        place.notify("Nothing of it lies on the shelf.")
        return
    lot = await _which_lot(place, row, lots)
    many = await _how_many(place, f"Discard {row.name} ({lot})", row) if lot else None
    if many is None:
        return
    why = await _why(place, "Why is it thrown away?", WHY_GONE)
    if why:
        await place.write(lambda desk: discard(desk, row.item_id, lot, many, why))


async def discard_all_expired(place: Place, rows: Sequence[ShelfRow]) -> None:
    """Show what is past its use-by and ask whether it lies in the bin."""
    from consumables.desk.shelving import discard_expired

    stale = [f"{row.past_use_by} {row.unit}  {row.name}" for row in rows if row.past_use_by]
    words = "\n".join(stale) or "Nothing on the shelf is past its use-by."
    question = Confirm("Throw away everything past its use-by?", words, "it is in the bin")
    if await place.app.push_screen_wait(question):
        await place.write(discard_expired)


async def use_some(place: Place, row: ShelfRow) -> None:
    """Ask how much was used outside a visit, and what for."""
    from consumables.desk.shelving import use_loose

    many = await _how_many(place, f"Use {row.name}", row)
    if many is None:
        return
    why = await _why(place, "What for?", WHAT_FOR)
    if why:
        await place.write(lambda desk: use_loose(desk, row.item_id, many, why))


async def tag_new(place: Place, row: ShelfRow) -> None:
    """Ask how many new ones get a tag, and whether they are one client's own."""
    from consumables.desk.tagging import tag

    fields = (
        Field("many", "How many new ones?", "whole", "1"),
        Field("client", "Kept for one client (code), if the book allows kits", needed=False),
    )
    told = await place.app.push_screen_wait(Form(f"Tag {row.name}", fields, yes="tag"))
    if told is not None:
        many, client = int(told["many"]), told["client"]
        await place.write(lambda desk: tag(desk, row.item_id, many, client))


async def _which_lot(place: Place, row: ShelfRow, lots: Sequence[ShelfLot]) -> str:
    if len(lots) == 1:
        return lots[0].lot_id
    choices = [Choice(lot.lot_id, lot_words(lot, row.unit)) for lot in lots]
    taken = await place.app.push_screen_wait(Choose(f"Which lot of {row.name}?", choices))
    return taken[0] if taken else ""


async def _how_many(
    place: Place, title: str, row: ShelfRow, words: str = "", yes: str = "next"
) -> int | None:
    field = Field("many", f"How many ({row.unit})?", "whole")
    told = await place.app.push_screen_wait(Form(title, [field], words, yes))
    return int(told["many"]) if told is not None else None


async def _why(place: Place, title: str, usual: Iterable[str]) -> str:
    choices = [Choice(why, why) for why in usual]
    taken = await place.app.push_screen_wait(Choose(title, choices, own_words=True))
    return taken[0] if taken else ""
