"""Wash-up: what is soiled, what must be treated, what is wet for how long, and the jars."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from consumables.screens.jars import empty_a_jar, mix_a_jar
from consumables.screens.place import Place
from consumables.screens.sink import AtTheSink, at_the_sink
from consumables.screens.wash_up_words import (
    COLUMNS,
    WORN,
    beside,
    count_line,
    jar_words,
    piece_row,
    seconds_left,
)
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.question import Confirm
from consumables.screens.widgets.rows import Listing, Rows

if TYPE_CHECKING:
    from consumables.desk.opening import Desk, Receipt
    from consumables.desk.washing import WashPiece


NO_JAR = "No jar in use: m mixes and dates one."


class WashUpScreen(Place):
    """Pieces by state, soiled first. Enter does the next step of what is marked."""

    PLACE = "wash"
    HELP_PAGE = "wash_up"
    CSS_PATH = "wash_up.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "next_step", "next step"),
        Binding("space", "mark", "mark"),
        Binding("s", "all_at('clean')", "all soiled"),
        Binding("a", "all_at('')", "all at this step"),
        Binding("c", "clean", "clean"),
        Binding("d", "wipe_down", "wipe down"),
        Binding("t", "treat(False)", "treat"),
        Binding("b", "treat(True)", "blood-level"),
        Binding("o", "take_out", "take out"),
        Binding("w", "wash_again", "again"),
        Binding("x", "retire", "retire"),
        Binding("m", "mix", "mix jar"),
        Binding("j", "empty", "empty jar"),
        Binding("r", "ready_too", "ready too"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._pieces: dict[str, WashPiece] = {}
        self._sink = AtTheSink()
        self._everything = False
        self._wet: set[str] = set()  # pieces whose contact time runs; only then the clock ticks

    def body(self) -> Iterable[Widget]:
        yield Static("", classes="glance", markup=False)
        with Container(classes="middle"):
            yield Listing(COLUMNS, marks=True, id="pieces")
            with VerticalScroll(classes="side", can_focus=False):
                yield Static("", id="beside", markup=False)
        yield Static("", id="jars", markup=False)

    def on_mount(self) -> None:
        self._ticker = self.set_interval(1, self._count_down, pause=True)

    async def reload(self) -> None:
        found = await self.look(partial(at_the_sink, everything=self._everything))
        if found is not None:
            self._sink = found
            self._pieces = {piece.piece_id: piece for piece in found.pieces}
            self._wet = self._still_wet()
            if self._wet:
                self._ticker.resume()
            else:
                self._ticker.pause()
            self._show()

    @on(Rows.RowHighlighted)
    def _describe(self) -> None:
        piece = self._pieces.get(self._rows.current or "")
        self.query_one("#beside", Static).update(beside(piece, self._sink.cautions))

    @on(Rows.RowSelected)
    def action_mark(self) -> None:
        """Mark or unmark the highlighted piece."""
        self._rows.mark()
        self._count()

    def action_all_at(self, step: str) -> None:
        """Mark every piece at a step, or at the step of the highlighted one."""
        here = self._pieces.get(self._rows.current or "")
        step = step or (here.next_step if here else "")
        self._rows.mark([name for name, p in self._pieces.items() if p.next_step == step])
        self._count()

    def action_ready_too(self) -> None:
        """Show the ready and retired pieces as well, or hide them again."""
        self._everything = not self._everything
        self.ask_again()

    # --- the wash, step by step --------------------------------------------------------------

    def action_next_step(self) -> None:
        """Clean, treat or take out: whatever comes next for all that is marked."""
        steps = {self._pieces[name].next_step for name in self._rows.chosen}
        if steps == {"clean"}:
            self.action_clean()
        elif steps == {"treat"}:
            self.action_treat(False)
        elif steps <= {"wait", "take out"} and steps:
            self.action_take_out()
        elif steps:
            self.notify("What is marked stands at different steps: use c, t or o.")

    @work
    async def action_clean(self) -> None:
        """Washed, rinsed, dried."""
        from consumables.desk.washing import clean

        await self._do(clean)

    @work
    async def action_wipe_down(self) -> None:
        """Clean and wipe in one go what never goes into a bath: what is marked, or all of it."""
        from consumables.desk.washing import wipe_down

        marked = self._rows.chosen if self._rows.marked else []
        await self.write(lambda desk: wipe_down(desk, marked))

    @work
    async def action_treat(self, blood_level: bool) -> None:
        """Into the bath, wiped, sprayed or to the steriliser: each by its own route."""
        from consumables.desk.washing import treat

        if not blood_level:
            await self._do(treat)
            return
        names = self._rows.chosen
        if not names:
            return
        question = Confirm(
            "Treat after blood?",
            f"{', '.join(names)}\n\nSay yes only when the product's label names the claims your "
            "rule book asks for after blood, and the full label time is kept. Gloves on.",
            "treat after blood",
        )
        if await self.app.push_screen_wait(question):
            await self._do(partial(treat, blood_level=True), names)

    @work
    async def action_take_out(self) -> None:
        """Out of treatment, ready for the next client."""
        from consumables.desk.washing import take_out

        await self._do(take_out)

    @work
    async def action_wash_again(self) -> None:
        """Dropped or doubted: the whole wash again."""
        from consumables.desk.washing import wash_again

        await self._do(wash_again)

    @work
    async def action_retire(self) -> None:
        """Worn out: asks why, and it never comes back."""
        from consumables.desk.washing import retire

        piece = self._pieces.get(self._rows.current or "")
        if piece is None:
            return
        title = f"Why is {piece.piece_id} ({piece.name}) retired?"
        choices = [Choice(why, why) for why in WORN]
        chosen = await self.app.push_screen_wait(Choose(title, choices, own_words=True))
        if chosen:
            await self.write(lambda desk: retire(desk, piece.piece_id, chosen[0]))

    async def _do(
        self, job: Callable[[Desk, Sequence[str]], Receipt], names: list[str] | None = None
    ) -> None:
        wanted = names or self._rows.chosen
        if wanted and await self.write(lambda desk: job(desk, wanted)):
            self._rows.marked.clear()

    # --- jars --------------------------------------------------------------------------------

    @work
    async def action_mix(self) -> None:
        """Mix and date a fresh jar."""
        await mix_a_jar(self, self._sink.jars[0] if self._sink.jars else None)

    @work
    async def action_empty(self) -> None:
        """Empty a jar whose time is up or that went cloudy."""
        await empty_a_jar(self, self._sink.jars)

    # --- what is shown -----------------------------------------------------------------------

    @property
    def _rows(self) -> Rows:
        return self.query_one(Rows)

    def _show(self) -> None:
        now = self.shop.line.now()
        nothing = "Nothing waits at the sink: everything is ready.\n\nr shows the ready ones too."
        rows = [piece_row(piece, now) for piece in self._pieces.values()]
        self.query_one(Listing).show(rows, nothing)
        jars = [jar_words(jar) for jar in self._sink.jars] or [
            "No jar in use: m mixes and dates one."
        ]
        self.query_one("#jars", Static).update("JARS  " + "\n      ".join(jars))
        self._count()
        self._describe()

    def _count(self) -> None:
        words = count_line(list(self._pieces.values()), len(self._rows.marked))
        self.query_one(".glance", Static).update(words)

    def _count_down(self) -> None:
        before, self._wet = self._wet, self._still_wet()
        if before - self._wet:
            self.app.bell()
            self.notify(f"Time is up: {', '.join(sorted(before - self._wet))}.", markup=False)
            self.ask_again()
        elif self.app.screen is self:
            self._show()

    def _still_wet(self) -> set[str]:
        now = self.shop.line.now()
        return {name for name, p in self._pieces.items() if seconds_left(p, now)}
