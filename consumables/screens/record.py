"""The record: what was thrown away and treated, what is flagged, and what the cards leave out."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from consumables.screens.place import Place
from consumables.screens.record_gap_words import (
    COUNTED,
    LEFT_OUT,
    LIST_OF,
    ROWS,
    WAYS,
    gap_page,
)
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
LISTS = {
    "discards": DISCARDS,
    "treatments": TREATMENTS,
    "flagged": FLAGS,
    "gap": ROWS,
    "left-out": LEFT_OUT,
    "counted": COUNTED,
}
NOTHING = {
    "discards": "Nothing was thrown away in these days. p shows a longer period.",
    "treatments": "Nothing was washed or treated in these days. p shows a longer period.",
    "flagged": "Nothing is flagged: every use kept to the rules and the counted stock.",
    "gap": "No visit of these days asks for a single-use thing. p shows a longer period.",
    "left-out": "No card of these days leaves out a single-use thing that its services ask for.",
    "counted": "Nothing was counted in these days. A count of the shelf tells what cards cannot.",
}


class RecordScreen(Place):
    """Four lists; d, t, f and g go from one to the other, g again looks at it another way."""

    PLACE = "record"
    HELP_PAGE = "record"
    CSS_PATH = "record.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "list('discards')", "discards"),
        Binding("t", "list('treatments')", "treatments"),
        Binding("f", "list('flagged')", "flagged"),
        Binding("g", "gap", "reuse gap"),
        Binding("p", "period", "7 to 182 days"),
        Binding("space", "mark", "mark"),
        Binding("s", "settle(False)", "settle"),
        Binding("n", "settle(True)", "surplus is new"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._list = "discards"
        self._way = WAYS[-1]  # of looking at the reuse gap; g begins with the first
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
        found = await self.look(lambda desk: _page(desk, self._list, self._days, self._way))
        if found is None:
            return
        self._page = found
        for name in LISTS:
            self.query_one(f"#{name}").display = name == self._shown
        self._listing.show(found.rows[:MOST], NOTHING[self._shown], self._first_new(found))
        told = period_line(self._list, self._days, len(found.rows), MOST)
        self.query_one(".glance", Static).update(found.line or told)
        self._listing.rows.focus()
        self._describe()
        self.refresh_bindings()

    def _first_new(self, found: Page) -> str | None:
        """Another way of looking at the gap begins at its top, where the surest rows are."""
        if self._list != "gap" or self._listing.rows.current in found.words:
            return None
        return found.rows[0].key if found.rows else None

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
        """Another of the lists."""
        self._list = name
        self.ask_again()

    def action_gap(self) -> None:
        """Visits not accounted for: by service, item, technician, card, then the counts."""
        if self._list != "gap":
            self._way = WAYS[-1]
        self._way = WAYS[(WAYS.index(self._way) + 1) % len(WAYS)]
        self.action_list("gap")

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
    async def action_settle(self, as_new: bool) -> None:
        """Say what was found about what is marked; `as_new` puts a surplus on the shelf."""
        from consumables.desk.undoing import settle

        chosen = [int(key) for key in self._listing.rows.chosen]
        if not chosen:
            return
        words = "\n\n".join(self._page.words[str(number)] for number in chosen[:4])
        field = Field("found", "What was found")
        title = "New and unused: back on the shelf" if as_new else "Settle"
        form = Form(f"{title}: {len(chosen)} flagged", [field], words, yes="settle")
        told = await self.app.push_screen_wait(form)
        if told is not None:
            await self.write(lambda desk: settle(desk, chosen, told["found"], as_new))

    @property
    def _listing(self) -> Listing:
        return self.query_one(f"#{self._shown}", Listing)

    @property
    def _shown(self) -> str:
        return LIST_OF.get(self._way, "gap") if self._list == "gap" else self._list


def _page(desk: Desk, name: str, days: int, way: str) -> Page:
    from consumables.desk.recording import discards, last_days, treatments
    from consumables.desk.reuse_gap import reuse_gap
    from consumables.desk.undoing import flagged

    if name == "gap":
        return gap_page(desk, reuse_gap(desk, last_days(desk, days)), way, days)
    if name == "discards":
        return discards_page(discards(desk, last_days(desk, days)))
    if name == "treatments":
        return treatments_page(treatments(desk, last_days(desk, days)))
    return flags_page(flagged(desk), desk.name_of, desk.zone)
