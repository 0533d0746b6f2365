"""The shelf: what is there, how long it lasts, what is past its day, and counting it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, Static

from consumables.screens.place import Place
from consumables.screens.shelf_jobs import (
    count_it,
    discard_all_expired,
    discard_some,
    tag_new,
    use_some,
)
from consumables.screens.shelf_words import (
    COLUMNS,
    SEQUENCE,
    in_detail,
    shelf_row,
)
from consumables.screens.widgets.question import Notice
from consumables.screens.widgets.rows import Listing, Rows
from consumables.screens.widgets.search_line import SearchLine

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.shelving import ShelfLot, ShelfRow

Cover = Mapping[str, float | None]


class ShelfScreen(Place):
    """Every item with a word for its state first; Enter shows its lots."""

    PLACE = "shelf"
    HELP_PAGE = "shelf"
    CSS_PATH = "shelf.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "lots", "lots"),
        Binding("slash", "search", "search"),
        Binding("c", "count", "count"),
        Binding("d", "discard", "discard"),
        Binding("x", "discard_expired", "discard all past use-by"),
        Binding("l", "use_loose", "use loose"),
        Binding("t", "tag", "tag"),
        Binding("a", "attention", "all / to see to"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._shelf: dict[str, ShelfRow] = {}
        self._lots: dict[str, list[ShelfLot]] = {}
        self._lasts: Cover | None = None  # None: still being worked out
        self._find = ""
        self._only_attention = False

    def body(self) -> Iterable[Widget]:
        yield SearchLine("find an item")
        with Container(classes="middle"):
            yield Listing(COLUMNS, id="shelf")
            with VerticalScroll(classes="side", can_focus=False):
                yield Static("", id="detail", markup=False)

    async def reload(self) -> None:
        rows = await self.look(_shelf)
        if rows is None:
            return
        self._shelf = {row.item_id: row for row in rows}
        self._lots.clear()
        self._show()
        self.work_out_cover()

    @work(exclusive=True, group="cover")
    async def work_out_cover(self) -> None:
        """Days of cover take longer than the shelf itself, so they follow it."""
        cover = await self.look(_cover)
        self._lasts = cover if cover is not None else {}
        self._show()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        self._find = event.value.casefold()
        self._show()

    @on(Rows.RowHighlighted)
    @work(exclusive=True, group="detail")
    async def describe(self) -> None:
        """The highlighted item with its lots, in the panel beside the list."""
        row = self._current
        if row is None:
            return
        self.query_one("#detail", Static).update(
            in_detail(row, await self._lots_of(row), self._days(row))
        )

    @on(Rows.RowSelected)
    @work
    async def action_lots(self) -> None:
        """The lots of the highlighted item, whatever the width of the screen."""
        row = self._current
        if row is not None:
            words = in_detail(row, await self._lots_of(row), self._days(row))
            self.app.push_screen(Notice(row.name, words))

    def action_search(self) -> None:
        """Find an item by a part of its name."""
        self.query_one(SearchLine).open()

    def action_attention(self) -> None:
        """Only what needs to be seen to, or everything."""
        self._only_attention = not self._only_attention
        self._show()

    # --- jobs --------------------------------------------------------------------------------

    @work
    async def action_count(self) -> None:
        """Write what is really there."""
        if self._current is not None:
            await count_it(self, self._current)

    @work
    async def action_discard(self) -> None:
        """Throw away units of one lot, with the reason."""
        row = self._current
        if row is not None:
            await discard_some(self, row, await self._lots_of(row))

    @work
    async def action_discard_expired(self) -> None:
        """Everything past its use-by goes in the bin."""
        await discard_all_expired(self, list(self._shelf.values()))

    @work
    async def action_use_loose(self) -> None:
        """Use that belongs to no visit."""
        if self._current is not None:
            await use_some(self, self._current)

    @work
    async def action_tag(self) -> None:
        """Give new units of a kept item a tag each; they start in the wash."""
        if self._current is not None:
            await tag_new(self, self._current)

    # --- what is shown -----------------------------------------------------------------------

    @property
    def _current(self) -> ShelfRow | None:
        return self._shelf.get(self.query_one(Rows).current or "")

    async def _lots_of(self, row: ShelfRow) -> list[ShelfLot]:
        from consumables.desk.shelving import lots_of

        if row.item_id not in self._lots:
            found = await self.look(lambda desk: lots_of(desk, row.item_id))
            self._lots[row.item_id] = found or []
        return self._lots[row.item_id]

    def _days(self, row: ShelfRow) -> float | str | None:
        if self._lasts is None:
            return "..."
        return self._lasts.get(row.item_id)

    def _show(self) -> None:
        shown = [row for row in self._shelf.values() if self._find in row.name.casefold()]
        if self._only_attention:
            shown = [row for row in shown if row.state != "in stock"]
        shown.sort(key=lambda row: SEQUENCE.index(row.state))
        nothing = "No item here matches; Escape ends the search."
        if not self._shelf:
            nothing = "The catalogue is empty. `consumables begin FOLDER` brings one in."
        elif self._only_attention and not shown:
            nothing = "Nothing needs to be seen to. a shows everything."
        self.query_one(Listing).show([shelf_row(row, self._days(row)) for row in shown], nothing)
        self.describe()


def _shelf(desk: Desk) -> list[ShelfRow]:
    from consumables.desk.shelving import shelf

    return shelf(desk)


def _cover(desk: Desk) -> Cover:
    from consumables.desk.ordering import days_of_cover

    return days_of_cover(desk)
