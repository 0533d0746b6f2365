"""The sheet a card is shown on: its lines, what is known of one, and what stands against it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.containers import Container, VerticalScroll
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Static

from consumables.screens.card_jobs import lay_out, look_over_card
from consumables.screens.card_words import (
    COLUMNS,
    caution_words,
    heading,
    line_row,
    line_words,
    refused_words,
)
from consumables.screens.place import Place
from consumables.screens.widgets.rows import Listing, Rows

if TYPE_CHECKING:
    from consumables.closeout.service_card import ServiceCard
    from consumables.desk.closing import CardView
    from consumables.desk.today import DayVisit


class CardSheet(Place):
    """Follows the card as it is put right; what may be pressed on it stands in CardScreen."""

    PLACE: ClassVar[str] = "today"

    view: reactive[CardView | None] = reactive(None, bindings=True)

    def __init__(self, visit: DayVisit) -> None:
        super().__init__()
        self._visit = visit
        self._card: ServiceCard | None = None  # as put right so far; `view` follows it
        self._doses: Mapping[str, int] = {}
        self._set_up: dict[int, int] = {}  # quantities before a line was said to be unused
        self._rested_from = monotonic()

    def body(self) -> Iterable[Widget]:
        yield Static(heading(self._visit), classes="heading", markup=False)
        with Container(classes="middle"):
            yield Listing(COLUMNS, id="lines")
            with VerticalScroll(classes="side", can_focus=False):
                yield Static("Laying out the card ...", id="words", markup=False)
        with VerticalScroll(id="against", can_focus=False):
            yield Static("", id="cautions", markup=False)
            yield Static("", id="refused", markup=False)

    async def reload(self) -> None:
        card = self._card
        if card is None:
            laid = await self.look(lambda desk: lay_out(desk, self._visit.visit_id))
            if laid is not None:
                self._doses, self._card = laid.doses, laid.view.card
                self._rested_from = monotonic()
                self.view = laid.view
        else:
            self.view = await self.look(lambda desk: look_over_card(desk, card)) or self.view

    def watch_view(self, view: CardView | None) -> None:
        """Show the card as it now stands."""
        if view is None:
            return
        rows = [line_row(at, line) for at, line in enumerate(view.lines)]
        nothing = "This service has no set-up yet.\n\ne adds what was used; c closes the visit."
        self.query_one(Listing).show(rows, nothing)
        self.query_one("#cautions", Static).update(caution_words(view))
        self.query_one("#refused", Static).update(refused_words(view))
        self.query_one("#against").display = bool(view.cautions or view.refusals)
        self.query_one("#cautions").display = bool(view.cautions)
        self.query_one("#refused").display = bool(view.refusals)
        self._describe()

    def recall(self) -> None:
        """The card says what it has to say itself; the last receipt waits on the list."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that mean nothing on this card are not shown."""
        if action == "flag_it":
            return self.view is not None and bool(self.view.refusals)
        return super().check_action(action, parameters)

    @on(Rows.RowHighlighted)
    def _describe(self) -> None:
        if self.view is not None and self._index is not None:
            self.query_one("#words", Static).update(line_words(self.view.lines[self._index]))

    @property
    def _index(self) -> int | None:
        current = self.query_one(Rows).current
        return int(current) if current is not None else None

    def _set_quantity(self, at: int, quantity: int) -> None:
        from consumables.desk.closing import set_quantity

        if self._card is not None:
            self._amend(set_quantity(self._card, at, quantity))

    def _amend(self, card: ServiceCard | None) -> None:
        if card is not None:
            self._card = card
            self.ask_again()
