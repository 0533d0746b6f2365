"""The jobs at the sink: each step of the wash, the jars, the steriliser, the foot basins."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from textual import work

from consumables.screens.basins import log_a_basin
from consumables.screens.jars import empty_a_jar, mix_a_jar, mix_the_ultrasonic
from consumables.screens.look_over import look_them_over
from consumables.screens.place import Place
from consumables.screens.sink import AtTheSink
from consumables.screens.steriliser import load_them, spore_test, unload_them
from consumables.screens.wash_up_words import WORN
from consumables.screens.widgets.choose import Choice, Choose
from consumables.screens.widgets.question import Confirm
from consumables.screens.widgets.rows import Rows

if TYPE_CHECKING:
    from consumables.desk.opening import Desk, Receipt
    from consumables.desk.washing import WashPiece


class SinkJobs(Place):
    """What can be done with what is marked, or with the highlighted piece."""

    def __init__(self) -> None:
        super().__init__()
        self.pieces: dict[str, WashPiece] = {}
        self.sink = AtTheSink()

    @property
    def rows(self) -> Rows:
        """The list of pieces."""
        return self.query_one(Rows)

    def action_next_step(self) -> None:
        """Clean, treat or take out: whatever comes next for all that is marked."""
        steps = {self.pieces[name].next_step for name in self.rows.chosen}
        if steps == {"clean"}:
            self.action_clean()
        elif steps == {"treat"}:
            self.action_treat(False)
        elif steps == {"load"}:
            self.action_load()
        elif steps == {"again"}:
            self.action_wash_again()
        elif steps and steps <= {"wait", "take out", "unload"}:
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

        marked = self.rows.chosen if self.rows.marked else []
        await self.write(lambda desk: wipe_down(desk, marked))

    @work
    async def action_treat(self, blood_level: bool) -> None:
        """Into the bath, wiped or sprayed, each by its own route."""
        from consumables.desk.washing import treat

        if not blood_level:
            await self._do(treat)
            return
        names = self.rows.chosen
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
    async def action_load(self) -> None:
        """Into the steriliser as one load: asks for the cycle."""
        if await load_them(self, self.rows.chosen):
            self.rows.marked.clear()

    @work
    async def action_ultrasonic(self) -> None:
        """Cleaned pieces ran in the ultrasonic bath; without a bath, it is mixed first."""
        from consumables.desk.washing import ultrasonic

        if self.sink.jar_for("ultrasonic") is None:
            await mix_the_ultrasonic(self, None)
        else:
            await self._do(ultrasonic)

    @work
    async def action_take_out(self) -> None:
        """Lifted, rinsed, dried and ready; of a load, after what its indicator shows."""
        from consumables.desk.washing import take_out

        loads = {name: self.pieces[name].load_in for name in self.rows.chosen}
        await unload_them(self, tuple(dict.fromkeys(filter(None, loads.values()))))
        await self._do(take_out, [name for name, load in loads.items() if not load])

    @work
    async def action_look_over(self) -> None:
        """Look at it before it serves: rust, pits, a bent tip, a torn pouch, or nothing."""
        await look_them_over(self, self.rows.chosen)

    @work
    async def action_wash_again(self) -> None:
        """Dropped or doubted: the whole wash again."""
        from consumables.desk.washing import wash_again

        await self._do(wash_again)

    @work
    async def action_retire(self) -> None:
        """Worn out: asks why, and it never comes back."""
        from consumables.desk.washing import retire

        piece = self.pieces.get(self.rows.current or "")
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
        wanted = self.rows.chosen if names is None else names
        if wanted and await self.write(lambda desk: job(desk, wanted)):
            self.rows.marked.clear()

    # --- jars --------------------------------------------------------------------------------

    @work
    async def action_mix(self) -> None:
        """Mix and date a fresh jar."""
        await mix_a_jar(self, self.sink.jar_for("disinfect"))

    @work
    async def action_empty(self) -> None:
        """Empty a jar whose time is up or that went cloudy."""
        await empty_a_jar(self, self.sink.jars)

    @work
    async def action_spore_test(self) -> None:
        """A spore test of the steriliser ran, or its result is known."""
        await spore_test(self)

    @work
    async def action_basin(self) -> None:
        """A foot basin was cleaned and disinfected."""
        await log_a_basin(self)
