"""A delivery at the door: how many came, their use-by and lot; or nothing more will come."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form

if TYPE_CHECKING:
    from consumables.desk.ordering import OpenLine

NO_MORE = ("sold out", "cancelled", "lost on the way")


async def take_in(place: Place, order_id: str, line: OpenLine) -> None:
    """Part or all of one line has arrived."""
    from consumables.desk.delivering import receive

    many = "How many arrived (single units or ml, not packs)?"
    fields = (
        Field("units", many, "whole", str(line.outstanding)),
        Field("use_by", "Use-by, if one is printed", "date", hint="2031-05-28", needed=False),
        Field("lot", "Supplier's lot code, if one is printed", needed=False),
    )
    told = await place.app.push_screen_wait(Form(f"Take in: {line.name}", fields))
    if told is not None:
        units, lot = int(told["units"]), told["lot"]
        use_by = date.fromisoformat(told["use_by"]) if told["use_by"] else None
        await place.write(lambda desk: receive(desk, order_id, line.offer_id, units, use_by, lot))


async def nothing_more(place: Place, order_id: str) -> None:
    """The rest of an order will not come; asks why."""
    from consumables.desk.ordering import close_order

    reasons = [Choice(why, why) for why in NO_MORE]
    title = f"{order_id}: why does nothing more come?"
    why = await place.app.push_screen_wait(Choose(title, reasons, own_words=True))
    if why:
        await place.write(lambda desk: close_order(desk, order_id, why[0]))
