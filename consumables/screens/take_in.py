"""A delivery at the door: how many came, their use-by and lot; or nothing more will come."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from textual.widgets import Input

from consumables.errors import DeskProblem
from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form

if TYPE_CHECKING:
    from consumables.desk.opening import Desk, Receipt
    from consumables.desk.ordering import OpenLine
    from consumables.desk.scanning import Arrival

NO_MORE = ("sold out", "cancelled", "lost on the way")


class TakeIn(Form):
    """Asks for units, use-by and lot; scanning the pack fills in what its label says."""

    def __init__(
        self,
        place: Place,
        item_id: str,
        title: str,
        units: int,
        words: str = "Scanning the pack fills this in.",
        pack: Arrival | None = None,
    ) -> None:
        many = "How many arrived (single units or ml, not packs)?"
        fields = (
            Field("units", many, "whole", str(units or "")),
            Field("use_by", "Use-by, if one is printed", "date", hint="2031-05-28", needed=False),
            Field("lot", "Supplier's lot code, if one is printed", needed=False),
        )
        super().__init__(title, fields, words)
        self._place, self._item_id, self._pack = place, item_id, pack

    def on_mount(self) -> None:
        if self._pack is not None:
            self.fill(self._pack)

    async def fill_from(self, text: str) -> None:
        """Fill in what a scanned label says; refuses that of another item."""
        from consumables.desk.scanning import arrival

        try:
            pack = await self._place.shop.line.look(lambda desk: arrival(desk, text))
        except DeskProblem as problem:
            self.say_wrong(str(problem))
            return
        if pack.item_id != self._item_id:
            self.say_wrong(f"That is the label of {pack.name}; it was not filled in.")
            return
        self.fill(pack)

    def fill(self, pack: Arrival) -> None:
        """Write into the fields what a label says, and what it leaves open beneath them."""
        known = {
            "units": str(pack.units) if pack.units is not None else "",
            "use_by": pack.use_by.isoformat() if pack.use_by else "",
            "lot": pack.lot,
        }
        for name, text in known.items():
            if text:
                self.query_one(f"#{name}", Input).value = text
        if pack.doubts:
            self.say_wrong(" ".join(pack.doubts))


async def take_in(place: Place, order_id: str, line: OpenLine) -> None:
    """Part or all of one line has arrived."""
    from consumables.desk.delivering import receive

    form = TakeIn(place, line.item_id, f"Take in: {line.name}", line.outstanding)
    told = await _asked(place, form)
    if told is not None:
        units, use_by, lot = told
        await place.write(lambda desk: receive(desk, order_id, line.offer_id, units, use_by, lot))


async def take_in_pack(place: Place, pack: Arrival) -> None:
    """A scanned pack has arrived: into its order, or as bought where it is on none."""
    from consumables.desk.delivering import receive, receive_unordered

    where = "" if pack.order_id else "It is on no order on its way; it is taken in as bought. "
    title = f"Take in: {pack.name}"
    words = f"{where}A pack: {pack.pack_size}."
    form = TakeIn(place, pack.item_id, title, pack.outstanding, words, pack)
    told = await _asked(place, form)
    if told is None:
        return
    units, use_by, lot = told

    def job(desk: Desk) -> Receipt:
        if not pack.order_id:
            return receive_unordered(desk, pack.item_id, units, use_by, lot)
        return receive(desk, pack.order_id, pack.offer_id, units, use_by, lot)

    await place.write(job)


async def _asked(place: Place, form: TakeIn) -> tuple[int, date | None, str] | None:
    told = await place.app.push_screen_wait(form)
    if told is None:
        return None
    use_by = date.fromisoformat(told["use_by"]) if told["use_by"] else None
    return int(told["units"]), use_by, told["lot"]


async def nothing_more(place: Place, order_id: str) -> None:
    """The rest of an order will not come; asks why."""
    from consumables.desk.ordering import close_order

    reasons = [Choice(why, why) for why in NO_MORE]
    title = f"{order_id}: why does nothing more come?"
    why = await place.app.push_screen_wait(Choose(title, reasons, own_words=True))
    if why:
        await place.write(lambda desk: close_order(desk, order_id, why[0]))
