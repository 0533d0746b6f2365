"""Items: what each one is, why, who says so, and which books say otherwise."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, Static

from consumables.screens.items_words import (
    COLUMNS,
    book_choice,
    book_line,
    item_row,
    moving_words,
    verdict_words,
)
from consumables.screens.loosen import ask_back_to_the_book, ask_to_loosen
from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choose
from consumables.screens.widgets.form import Field, Form
from consumables.screens.widgets.question import Confirm, Notice
from consumables.screens.widgets.rows import Listing, Rows
from consumables.screens.widgets.search_line import SearchLine

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.verdicts import ItemRow
    from consumables.items.compare_books import Comparison
    from consumables.items.verdict import Verdict


class ItemsScreen(Place):
    """Every item with its mark; Enter shows the whole verdict."""

    PLACE = "items"
    HELP_PAGE = "items"
    CSS_PATH = "items.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "verdict", "verdict"),
        Binding("slash", "search", "search"),
        Binding("t", "tighten", "treat as single-use"),
        Binding("l", "loosen", "looser, signed"),
        Binding("k", "to_book", "back to the book"),
        Binding("b", "book", "rule book"),
        Binding("a", "asking", "all / with questions"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._items: dict[str, ItemRow] = {}
        self._find = ""
        self._only_asking = False

    def body(self) -> Iterable[Widget]:
        yield Static("", classes="glance", markup=False)
        yield SearchLine("find an item")
        with Container(classes="middle"):
            yield Listing(COLUMNS, id="items")
            with VerticalScroll(classes="side", can_focus=False):
                yield Static("", id="verdict", markup=False)

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self._go_to_wanted()

    async def reload(self) -> None:
        found = await self.look(_items)
        if found is not None:
            book, rows = found
            self.query_one(".glance", Static).update(book)
            self._items = {row.item_id: row for row in rows}
            self._show()
            self._go_to_wanted()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        self._find = event.value.casefold()
        self._show()

    @on(Rows.RowHighlighted)
    @work(exclusive=True, group="verdict")
    async def describe(self) -> None:
        """The verdict of the highlighted item in the panel."""
        row = self._current
        if row is None:
            return
        verdict = await self.look(lambda desk: _verdict(desk, row.item_id))
        if verdict is not None:
            self.query_one("#verdict", Static).update(verdict_words(row.name, verdict))

    @on(Rows.RowSelected)
    @work
    async def action_verdict(self) -> None:
        """The whole verdict, whatever the width of the screen."""
        row = self._current
        if row is not None:
            verdict = await self.look(lambda desk: _verdict(desk, row.item_id))
            if verdict is not None:
                self.app.push_screen(Notice(row.name, verdict_words("", verdict)))

    def action_search(self) -> None:
        """Find an item by a part of its name or kind."""
        self.query_one(SearchLine).open()

    def action_asking(self) -> None:
        """Only items with an open question or a conflict, or everything."""
        self._only_asking = not self._only_asking
        self._show()

    @work
    async def action_tighten(self) -> None:
        """Treat the item as single-use whatever the book says; asks why."""
        from consumables.desk.verdicts import tighten

        row = self._current
        if row is None:
            return
        words = "From now on it is single-use in this shop. The reason stands in the record."
        form = Form(f"{row.name}: why stricter than the book?", [Field("why", "Because")], words)
        told = await self.app.push_screen_wait(form)
        if told is not None:
            await self.write(lambda desk: tighten(desk, row.item_id, told["why"]))

    @work
    async def action_loosen(self) -> None:
        """Keep and treat what the book bins, on a citation signed with initials."""
        if (row := self._current) is not None:
            await ask_to_loosen(self, row.item_id, row.name)

    @work
    async def action_to_book(self) -> None:
        """End the shop's own stricter or looser answer; asks why."""
        if (row := self._current) is not None:
            await ask_back_to_the_book(self, row.item_id, row.name)

    @work
    async def action_book(self) -> None:
        """Put another rule book in force."""
        from consumables.desk.verdicts import books, use_book

        found = await self.look(lambda _desk: books())
        if not found:
            return
        choices = [book_choice(book) for book in found]
        chosen = await self.app.push_screen_wait(Choose("Which rule book applies here?", choices))
        if not chosen:
            return
        moving = await self.look(lambda desk: _moving(desk, chosen[0]))
        if moving is None:
            return
        question = Confirm(f"Put {chosen[0]} in force?", moving_words(moving), "put it in force")
        if await self.app.push_screen_wait(question):
            await self.write(lambda desk: use_book(desk, chosen[0]))

    @property
    def _current(self) -> ItemRow | None:
        return self._items.get(self.query_one(Rows).current or "")

    def _go_to_wanted(self) -> None:
        wanted = self.shop.item_wanted
        if wanted and wanted in self._items:
            self.shop.item_wanted = ""
            self._only_asking = False
            self.query_one(SearchLine).action_end_search()
            self._find = ""
            self._show()
            self.query_one(Rows).go_to(wanted)

    def _show(self) -> None:
        words = self._find
        shown = [r for r in self._items.values() if words in f"{r.name} {r.kind}".casefold()]
        if self._only_asking:
            shown = [row for row in shown if row.asks or row.conflict or row.banned]
        nothing = "No item here matches; / changes the search."
        if not self._items:
            nothing = "The catalogue is empty. `consumables begin FOLDER` brings one in."
        elif self._only_asking and not shown:
            nothing = "No item has an open question. a shows everything."
        self.query_one(Listing).show([item_row(row) for row in shown], nothing)
        self.describe()


def _items(desk: Desk) -> tuple[str, list[ItemRow]]:
    from consumables.desk.verdicts import item_rows

    return book_line(desk.book), item_rows(desk)


def _verdict(desk: Desk, item_id: str) -> Verdict:
    from consumables.desk.verdicts import verdict_of

    return verdict_of(desk, item_id)


def _moving(desk: Desk, name: str) -> Comparison:
    from consumables.desk.books import comparison

    return comparison(desk, desk.settings.rule_book, name)
