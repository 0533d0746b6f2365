"""The record: what was thrown away, what was treated, and what is flagged and not yet settled."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from consumables.screens.place import Place
from consumables.screens.record_words import (
    DISCARDS,
    FLAGS,
    PERIODS,
    TREATMENTS,
    Page,
    discards_page,
    flags_page,
    period_line,
    treatments_page,
)
from consumables.screens.widgets.form import Field, Form
from consumables.screens.widgets.rows import Listing, Rows

if TYPE_CHECKING:
    from consumables.desk.opening import Desk

MOST = 1500  # lines shown; the printed record has them all
LISTS = {"discards": DISCARDS, "treatments": TREATMENTS, "flagged": FLAGS}
NOTHING = {
    "discards": "Nothing was thrown away in these days. p shows a longer period.",
    "treatments": "Nothing was washed or treated in these days. p shows a longer period.",
    "flagged": "Nothing is flagged: every use kept to the rules and the counted stock.",
}


class RecordScreen(Place):
    """Three lists; d, t and f go from one to the other."""

    PLACE = "record"
    HELP_PAGE = "record"
    CSS_PATH = "record.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "list('discards')", "discards"),
        Binding("t", "list('treatments')", "treatments"),
        Binding("f", "list('flagged')", "flagged"),
        Binding("p", "period", "7 / 30 / 90 days"),
        Binding("space", "mark", "mark"),
        Binding("s", "settle", "settle"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._list = "discards"
        self._days = PERIODS[0]
        self._page = Page((), {})

    def body(self) -> Iterable[Widget]:
        yield Static("", classes="glance", markup=False)
        with Container(classes="middle"):
            for name, columns in LISTS.items():
                yield Listing(columns, marks=name == "flagged", id=name)
            with VerticalScroll(classes="side", can_focus=False):
                yield Static("", id="line", markup=False)

    async def reload(self) -> None:
        found = await self.look(lambda desk: _page(desk, self._list, self._days))
        if found is None:
            return
        self._page = found
        for name in LISTS:
            self.query_one(f"#{name}").display = name == self._list
        self._listing.show(self._page.rows[:MOST], NOTHING[self._list])
        told = period_line(self._list, self._days, len(self._page.rows), MOST)
        self.query_one(".glance", Static).update(told)
        self._listing.rows.focus()
        self._describe()
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Marking and settling belong to flagged uses only."""
        if action in ("mark", "settle"):
            return self._list == "flagged"
        return super().check_action(action, parameters)

    @on(Rows.RowHighlighted)
    def _describe(self) -> None:
        words = self._page.words.get(self._listing.rows.current or "", "")
        self.query_one("#line", Static).update(words)

    def action_list(self, name: str) -> None:
        """Another of the three lists."""
        self._list = name
        self.ask_again()

    def action_period(self) -> None:
        """The next longer period, or the shortest again."""
        self._days = PERIODS[(PERIODS.index(self._days) + 1) % len(PERIODS)]
        self.ask_again()

    @on(Rows.RowSelected)
    def action_mark(self) -> None:
        """Mark or unmark the highlighted flagged use."""
        if self._list == "flagged":
            self._listing.rows.mark()

    @work
    async def action_settle(self) -> None:
        """Say what was found about the marked flagged uses."""
        from consumables.desk.undoing import settle

        chosen = [int(key) for key in self._listing.rows.chosen]
        if not chosen:
            return
        words = "\n\n".join(self._page.words[str(number)] for number in chosen[:4])
        field = Field("found", "What was found")
        form = Form(f"Settle {len(chosen)} flagged", [field], words, yes="settle")
        told = await self.app.push_screen_wait(form)
        if told is not None:
            await self.write(lambda desk: settle(desk, chosen, told["found"]))

    @property
    def _listing(self) -> Listing:
        return self.query_one(f"#{self._list}", Listing)


def _page(desk: Desk, name: str, days: int) -> Page:
    from consumables.desk.recording import discards, last_days, treatments
    from consumables.desk.undoing import flagged

    if name == "discards":
        return discards_page(discards(desk, last_days(desk, days)))
    if name == "treatments":
        return treatments_page(treatments(desk, last_days(desk, days)))
    return flags_page(flagged(desk), desk.name_of, desk.zone)
