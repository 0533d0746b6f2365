"""Today: who comes, whose card is still open, and what waits meanwhile."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.widget import Widget
from textual.widgets import Static

from consumables.screens.place import Place
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.form import Field, Form
from consumables.screens.widgets.question import Confirm
from consumables.screens.widgets.rows import Column, Listing, Row, Rows, Word
from consumables.screens.widgets.told import Told

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.today import DayGlance, DayVisit

COLUMNS = (
    Column("state", 9),
    Column("time", 11),
    Column("client", 10, from_width=50),
    Column("who", 4, from_width=60),
    Column("services", stretch=True),
)
TONES = {"due": "act", "open": "wait", "closed": "quiet", "no-show": "quiet", "cancelled": "quiet"}


class TodayScreen(Place):
    """The opening screen: the first open visit, due ones before others, is highlighted."""

    PLACE = "today"
    HELP_PAGE = "today"
    CSS_PATH = "today.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "card", "card"),
        Binding("n", "no_show", "no-show"),
        Binding("w", "walk_in", "walk-in"),
        Binding("comma", "day(-1)", "day before"),
        Binding("full_stop", "day(1)", "day after"),
        Binding("t", "day(0)", "today"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._day: date | None = None  # None: today, whatever day it is
        self._visits: dict[str, DayVisit] = {}
        self._highlight_next = True  # the first open visit, not where the highlight was

    def body(self) -> Iterable[Widget]:
        yield Static("Opening the shop ...", classes="glance", markup=False)
        with Container(classes="middle"):
            yield Listing(COLUMNS, id="visits")
            yield Static("", classes="side", markup=False)

    def on_mount(self) -> None:
        self.set_interval(60, self._minute)  # an open visit becomes due as time goes by

    async def reload(self) -> None:
        found = await self.look(lambda desk: _day_at(desk, self._day))
        if found is None:
            self.query_one(".glance", Static).update("The shop could not be opened.")
            return
        glance, visits = found
        if self.shop.line.stranger:
            self.tell(Told.problem(f"{self.shop.line.stranger} Press i and choose."))
            self.shop.line.stranger = ""
        self._visits = {visit.visit_id: visit for visit in visits}
        self.query_one(".glance", Static).update(self._glance_line(glance))
        at = _first_open(visits) if self._highlight_next else None
        self._highlight_next = False
        rows = [_row(visit) for visit in visits]
        self.query_one(Listing).show(rows, self._nothing_to_do(), at)
        self._describe()

    @on(Rows.RowHighlighted)
    def _describe(self) -> None:
        visit = self._current
        side = self.query_one(".side", Static)
        side.display = visit is not None and self.has_class("-broad")
        if visit is not None:
            side.update(_in_words(visit))

    @on(Rows.RowSelected)
    def action_card(self) -> None:
        """Lay out the card of the highlighted visit."""
        from consumables.screens.card import CardScreen

        visit = self._current
        if visit is None:
            return
        if visit.state == "open":
            self.app.push_screen(CardScreen(visit), self._card_done)
        else:
            self.notify(f"This visit is {visit.state}; u undoes the last job.", markup=False)

    @work
    async def action_no_show(self) -> None:
        """The client of the highlighted visit did not come."""
        from consumables.desk.closing import no_show

        visit = self._current
        if visit is None or visit.state != "open":
            return
        words = f"{_when(visit)} {visit.client}: {', '.join(visit.services)}"
        question = Confirm("The client did not come?", words, "no-show, nothing was used")
        if await self.app.push_screen_wait(question):
            self._highlight_next = True
            await self.write(lambda desk: no_show(desk, visit.visit_id))

    @work
    async def action_walk_in(self) -> None:
        """A client without an appointment."""
        services = await self.look(_services)
        if services is None:
            return
        title = "Walk-in: which services?"
        chosen = await self.app.push_screen_wait(Choose(title, services, several=True))
        if not chosen:
            return
        fields = (Field("client", "Client's code or initials", needed=False),)
        answers = await self.app.push_screen_wait(Form("Walk-in: who is it?", fields))
        if answers is not None:
            await self._put_in_book(chosen, answers["client"])

    def action_day(self, step: int) -> None:
        """Another day, or back to today."""
        shown = self._day or self.shop.line.now().date()
        self._day = shown + timedelta(days=step) if step else None
        if self._day == self.shop.line.now().date():
            self._day = None
        self._highlight_next = True
        self.ask_again()

    async def _put_in_book(self, services: list[str], client: str) -> None:
        from consumables.desk.opening import Receipt
        from consumables.desk.today import walk_in

        def job(desk: Desk) -> Receipt:
            visit_id = walk_in(desk, services, client)
            return Receipt(visit_id, "Walk-in written into today's list; Enter opens its card.")

        self._day = None
        receipt = await self.write(job)
        if receipt is not None:
            await self.reload()
            self.query_one(Rows).go_to(receipt.job_key)

    def _minute(self) -> None:
        if self.app.screen is self:
            self.ask_again()

    def _card_done(self, closed: bool | None) -> None:
        self._highlight_next = bool(closed)

    @property
    def _current(self) -> DayVisit | None:
        return self._visits.get(self.query_one(Rows).current or "")

    def _glance_line(self, glance: DayGlance) -> str:
        day = f"{self._day:%a %d %b %Y}: " if self._day else ""
        signed = f", signed {self.shop.line.who}" if self.shop.line.who else ", nobody signs (i)"
        return f"{day}{glance.shop}{signed}: {_waiting(glance)}"

    def _nothing_to_do(self) -> str:
        if self._day:
            return "Nobody is booked on this day.\n\n, and . go to other days, t back to today."
        return (
            "Nobody is booked today.\n\n"
            "w puts a walk-in on the list. An appointment book is brought in with\n"
            "`consumables bring-in appointments FILE`."
        )


def _day_at(desk: Desk, day: date | None) -> tuple[DayGlance, list[DayVisit]]:
    from consumables.desk.today import glance, visits_on

    return glance(desk), visits_on(desk, day)


def _services(desk: Desk) -> list[Choice]:
    return [Choice(s.service_id, s.name, f"{s.minutes} min") for s in desk.catalogue.services]


def _first_open(visits: list[DayVisit]) -> str | None:
    waiting = [visit for visit in visits if visit.state == "open"]
    first = sorted(waiting, key=lambda visit: not visit.due)[:1]
    return first[0].visit_id if first else None


def _row(visit: DayVisit) -> Row:
    state = "due" if visit.due else visit.state
    return Row(
        visit.visit_id,
        (
            Word(state, TONES[state]),
            _when(visit),
            visit.client or "-",
            visit.technician or "-",
            ", ".join(visit.services),
        ),
    )


def _when(visit: DayVisit) -> str:
    return f"{visit.starts_at:%H:%M}-{visit.ends_at:%H:%M}"


def _in_words(visit: DayVisit) -> str:
    services = "\n".join(f"  {name}" for name in visit.services)
    state = "its time is over, its card still open" if visit.due else visit.state
    return (
        f"{_when(visit)}  {visit.client or 'no client code'}\n{state}\n\n"
        f"Services\n{services}\n\nDone by  {visit.technician or '-'}"
    )


def _waiting(glance: DayGlance) -> str:
    told = (
        (glance.open_visits, "open"),
        (glance.closed_visits, "closed"),
        (glance.soiled, "to wash"),
        (glance.in_treatment - glance.ready_to_take_out, "in treatment"),
        (glance.ready_to_take_out, "to take out now"),
        (glance.stale_jars, "jar to empty" if glance.stale_jars == 1 else "jars to empty"),
        (glance.late, "late at the sink"),
        (glance.past_use_by, "past use-by"),
        (glance.flagged, "flagged to settle"),
    )
    parts = [f"{number} {words}" for number, words in told if number]
    if glance.order_day:
        parts.append("order day")
    return " | ".join(parts) or "Nothing waits."
