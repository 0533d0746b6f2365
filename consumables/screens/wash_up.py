"""Wash-up: what is soiled, what must be treated, what is wet for how long, and the jars."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from consumables.screens.sink import at_the_sink
from consumables.screens.wash_up_jobs import SinkJobs
from consumables.screens.wash_up_words import (
    COLUMNS,
    beside,
    count_line,
    jar_lines,
    piece_row,
    seconds_left,
)
from consumables.screens.widgets.rows import Listing, Rows


class WashUpScreen(SinkJobs):
    """Pieces by state, soiled first. Enter does the next step of what is marked."""

    PLACE = "wash"
    HELP_PAGE = "wash_up"
    CAUTIONS_IN_SIGHT = True
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
        Binding("v", "look_over", "look over"),
        Binding("n", "ultrasonic", "ultrasonic"),
        Binding("w", "wash_again", "again"),
        Binding("x", "retire", "retire"),
        Binding("m", "mix", "mix jar"),
        Binding("j", "empty", "empty jar"),
        Binding("p", "spore_test", "spore test"),
        Binding("f", "basin", "foot basin"),
        Binding("r", "ready_too", "ready too"),
    ]

    def __init__(self) -> None:
        super().__init__()
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
            self.sink = found
            self.pieces = {piece.piece_id: piece for piece in found.pieces}
            self._wet = self._still_wet()
            if self._wet:
                self._ticker.resume()
            else:
                self._ticker.pause()
            self._show()

    @on(Rows.RowHighlighted)
    def _describe(self) -> None:
        piece = self.pieces.get(self.rows.current or "")
        self.query_one("#beside", Static).update(beside(piece, self.sink.cautions))

    @on(Rows.RowSelected)
    def action_mark(self) -> None:
        """Mark or unmark the highlighted piece."""
        self.rows.mark()
        self._count()

    def action_all_at(self, step: str) -> None:
        """Mark every piece at a step, or at the step of the highlighted one."""
        here = self.pieces.get(self.rows.current or "")
        step = step or (here.next_step if here else "")
        self.rows.mark([name for name, p in self.pieces.items() if p.next_step == step])
        self._count()

    def action_ready_too(self) -> None:
        """Show the ready and retired pieces as well, or hide them again."""
        self._everything = not self._everything
        self.ask_again()

    # --- what is shown -----------------------------------------------------------------------

    def _show(self) -> None:
        now = self.shop.line.now()
        nothing = "Nothing waits at the sink: everything is ready.\n\nr shows the ready ones too."
        rows = [piece_row(piece, now) for piece in self.pieces.values()]
        self.query_one(Listing).show(rows, nothing)
        self.query_one("#jars", Static).update(jar_lines(self.sink.jars, self.sink.overdue))
        self._count()
        self._describe()

    def _count(self) -> None:
        words = count_line(list(self.pieces.values()), len(self.rows.marked))
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
        return {name for name, p in self.pieces.items() if seconds_left(p, now)}
