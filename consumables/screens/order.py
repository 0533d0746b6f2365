"""The week's order: what to buy from whom and why, placing it, and taking it in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from consumables.screens.order_jobs import open_orders, priced, week_order
from consumables.screens.order_words import (
    COMING,
    NO_ORDERS,
    TO_BUY,
    buy_rows,
    coming_rows,
    heading,
    in_full,
    nothing_to_buy,
    soon_words,
)
from consumables.screens.place import Place
from consumables.screens.take_in import nothing_more, take_in, take_in_pack
from consumables.screens.widgets.question import Confirm, Notice
from consumables.screens.widgets.rows import Listing, Rows

if TYPE_CHECKING:
    from consumables.desk.opening import Desk, Receipt
    from consumables.desk.ordering import OpenLine, OpenOrder
    from consumables.desk.scanning import Arrival
    from consumables.reorder.order_list import OrderLine, OrderList

BUYING = ("change", "place_supplier", "place_all", "soon", "work_out")
TAKING_IN = ("receive", "close_order")


class OrderScreen(Place):
    """Two lists: what to buy, and what is on its way; o goes from one to the other."""

    PLACE = "order"
    HELP_PAGE = "order"
    CSS_PATH = "order.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "why", "why, in full"),
        Binding("plus,equals_sign", "change(1)", "more packs", key_display="+"),
        Binding("minus", "change(-1)", "fewer"),
        Binding("p", "place_supplier", "place this supplier's"),
        Binding("a", "place_all", "place all"),
        Binding("n", "soon", "soon, and notes"),
        Binding("g", "work_out", "work out again"),
        Binding("r", "receive", "take in"),
        Binding("k", "close_order", "nothing more comes"),
        Binding("o", "other_list", "to buy / on the way"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._list: OrderList | None = None
        self._shown: OrderList | None = None  # the same with the packs she changed
        self._currency = ""
        self._packs: dict[str, int] = {}  # packs she changed, by offer
        self._worked_out_at = -1  # the count of changes the list rests on
        self._coming: list[OpenOrder] = []
        self._buying = True

    def body(self) -> Iterable[Widget]:
        yield Static("", classes="glance", markup=False)
        with Container(classes="middle"):
            yield Listing(TO_BUY, id="buy")
            yield Listing(COMING, id="coming")
            with VerticalScroll(classes="side", can_focus=False):
                yield Static("", id="why", markup=False)

    async def reload(self) -> None:
        self._coming = await self.look(open_orders) or []
        self._show()
        if self._list is None:
            self.action_work_out()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of the list that is shown."""
        if action in BUYING:
            return self._buying
        if action in TAKING_IN:
            return not self._buying
        return super().check_action(action, parameters)

    @work(exclusive=True, group="order")
    async def action_work_out(self) -> None:
        """Work out the week's order; this can take some seconds."""
        self.query_one(".glance", Static).update("Working out the week's order ...")
        self.query_one("#buy").loading = True
        found = await self.look(week_order)
        self.query_one("#buy").loading = False
        if found is None:
            self.query_one(".glance", Static).update("No order was worked out. g tries again.")
            return
        self._list, self._currency = found
        self._shown = self._list
        self._worked_out_at = self.shop.changes
        self._packs.clear()
        self._show()
        self._listing.rows.focus()

    @on(Rows.RowHighlighted)
    def _describe(self) -> None:
        self.query_one("#why", Static).update(self._words())

    @on(Rows.RowSelected)
    def action_why(self) -> None:
        """All that speaks for the highlighted line; on the way: take it in."""
        if not self._buying:
            self.action_receive()
        elif self._listing.rows.current:
            self.app.push_screen(Notice("Why", self._words()))

    def action_other_list(self) -> None:
        """From what to buy to what is on its way, and back."""
        self._buying = not self._buying
        self._show()
        self._listing.rows.focus()
        self.refresh_bindings()

    def action_soon(self) -> None:
        """What is nearly due, and what the planner noticed."""
        if self._list is not None:
            self.app.push_screen(Notice("Soon, and notes", soon_words(self._list)))

    # --- placing -----------------------------------------------------------------------------

    @work
    async def action_change(self, step: int) -> None:
        """More or fewer packs of the highlighted line; 0 leaves it out."""
        line, planned = self._line, self._list
        if line is None or planned is None:
            return
        packs = self._packs.get(line.offer, line.packs) + step
        self._packs[line.offer] = max(0, packs)
        amended = await self.look(lambda desk: priced(desk, planned, self._packs))
        if amended is not None and self._list is planned:
            self._shown = amended
            self._show()

    @work
    async def action_place_supplier(self) -> None:
        """Write down that the order to this line's supplier was placed."""
        supplier = self._supplier
        if self._list is not None and supplier:
            name = next(t.name for t in self._list.totals if t.supplier == supplier)
            await self._place(self._list, f"Place the order to {name}?", [supplier])

    @work
    async def action_place_all(self) -> None:
        """Write down that every order of the list was placed."""
        if self._list is not None and self._list.lines:
            await self._place(self._list, "Place all orders of this list?", None)

    async def _place(self, order_list: OrderList, title: str, suppliers: list[str] | None) -> None:
        words = (
            "This writes the order into the ledger and counts it as on its way. "
            "Sending it to the supplier is yours to do."
        )
        if not await self.app.push_screen_wait(Confirm(title, words, "placed")):
            return

        def job(desk: Desk) -> Receipt:
            from consumables.desk.ordering import place

            receipts = place(desk, order_list, suppliers, self._packs)
            return replace(receipts[0], sentence=" ".join(r.sentence for r in receipts))

        if await self.write(job):
            self._list = self._shown = None

    # --- taking in ---------------------------------------------------------------------------

    @work
    async def action_receive(self) -> None:
        """Part or all of the highlighted line has arrived."""
        found = self._open_line
        if found is not None:
            await take_in(self, found[0].order_id, found[1])

    @work
    async def take_in_scanned(self, pack: Arrival) -> None:
        """A pack was scanned: its line on the way, with what the label says filled in."""
        if self._buying:
            self.action_other_list()
        self._listing.rows.go_to(f"{pack.order_id} {pack.offer_id}")
        await take_in_pack(self, pack)

    @work
    async def action_close_order(self) -> None:
        """Nothing more will come of this order; asks why."""
        found = self._open_line
        if found is not None:
            await nothing_more(self, found[0].order_id)

    # --- what is shown -----------------------------------------------------------------------

    @property
    def _listing(self) -> Listing:
        return self.query_one("#buy" if self._buying else "#coming", Listing)

    @property
    def _line(self) -> OrderLine | None:
        lines = self._list.lines if self._list else ()
        return next((x for x in lines if x.offer == self._listing.rows.current), None)

    @property
    def _supplier(self) -> str:
        if self._line is not None:
            return self._line.supplier
        return (self._listing.rows.current or "").removeprefix("supplier:")

    @property
    def _open_line(self) -> tuple[OpenOrder, OpenLine] | None:
        key = self._listing.rows.current
        lines = ((order, line) for order in self._coming for line in order.lines)
        return next((x for x in lines if f"{x[0].order_id} {x[1].offer_id}" == key), None)

    @property
    def _planned(self) -> dict[str, int]:
        return {line.offer: line.packs for line in self._list.lines} if self._list else {}

    def _words(self) -> str:
        current = self._listing.rows.current
        if not self._buying or self._shown is None or current is None:
            return ""
        return in_full(self._shown, current, self._planned)

    def _show(self) -> None:
        self.query_one("#buy").display = self._buying
        self.query_one("#coming").display = not self._buying
        stale = self._worked_out_at != self.shop.changes
        self.query_one(".glance", Static).update(
            heading(self._shown, self._coming, self._buying, stale, self._currency)
        )
        if self._shown is not None:
            self.query_one("#buy", Listing).show(buy_rows(self._shown), nothing_to_buy(self._shown))
        self.query_one("#coming", Listing).show(coming_rows(self._coming), NO_ORDERS)
        self._describe()
