"""The card of a visit: what was used and where it goes, agreed with one key or put right first."""

from __future__ import annotations

from dataclasses import replace
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import Binding, BindingType

from consumables.errors import Refused
from consumables.screens.card_jobs import item_choices, piece_choices
from consumables.screens.card_sheet import CardSheet
from consumables.screens.place import told_problem
from consumables.screens.widgets.choose import Choose
from consumables.screens.widgets.form import Field, Form
from consumables.screens.widgets.question import Confirm
from consumables.screens.widgets.told import Told

if TYPE_CHECKING:
    from consumables.desk.opening import Receipt
    from consumables.desk.scanning import PieceSeen


class CardScreen(CardSheet):
    """One line for each item; Escape goes back and the card stays open."""

    HELP_PAGE = "card"
    CSS_PATH = "card.tcss"
    # A held or bounced Enter must not close the card it has just opened.
    ENTER_RESTS = 0.4
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "close_visit", "close visit"),
        Binding("enter", "enter", "close visit", show=False),
        Binding("f", "flag_it", "it is already done: write it, flagged"),
        Binding("plus,equals_sign", "change(1)", "more", key_display="+"),
        Binding("minus", "change(-1)", "less"),
        Binding("space", "not_used", "not used"),
        Binding("q", "quantity", "how many"),
        Binding("e", "extra", "extra item"),
        Binding("p", "piece", "which piece"),
        Binding("b", "blood", "blood"),
        Binding("escape", "back", "back"),
    ]

    # --- putting the card right --------------------------------------------------------------

    def action_change(self, step: int) -> None:
        """One more or one less of the highlighted item, in its smallest measure."""
        if self._card is not None and self._index is not None:
            line = self._card.lines[self._index]
            step *= self._doses.get(line.item_id, 1)
            self._set_quantity(self._index, line.quantity + step)

    def action_not_used(self) -> None:
        """Not used, or used after all."""
        if self._card is None or self._index is None:
            return
        quantity = self._card.lines[self._index].quantity
        if quantity:
            self._set_up[self._index] = quantity
            self._set_quantity(self._index, 0)
        else:
            self._set_quantity(self._index, self._set_up.get(self._index, 1))

    @work
    async def action_quantity(self) -> None:
        """Type how many were used."""
        if self.view is None or self._index is None:
            return
        at, line = self._index, self.view.lines[self._index]
        field = Field("many", f"How many ({line.unit})?", "whole", str(line.line.quantity))
        answers = await self.app.push_screen_wait(Form(line.name, [field], yes="take it"))
        if answers is not None:
            self._set_quantity(at, int(answers["many"]))

    @work
    async def action_extra(self) -> None:
        """Something that the set-up did not ask for."""
        from consumables.desk.closing import add_item

        choices = await self.look(item_choices)
        card = self._card
        if choices is None or card is None:
            return
        chosen = await self.app.push_screen_wait(Choose("What else was used?", choices))
        if chosen:
            self._amend(await self.look(lambda desk: add_item(desk, card, chosen[0])))

    @work
    async def action_piece(self) -> None:
        """Name the pieces that really were in her hand."""
        from consumables.desk.closing import name_pieces

        if self.view is None or self._index is None:
            return
        at, line = self._index, self.view.lines[self._index]
        choices = await self.look(lambda desk: piece_choices(desk, line.line.item_id))
        if not choices:
            self.notify(f"{line.name} has no tagged pieces.", markup=False)
            return
        title = f"{line.name}: which pieces were used?"
        chosen = await self.app.push_screen_wait(Choose(title, choices, several=True))
        if chosen and self._card is not None:
            self._amend(name_pieces(self._card, at, chosen))

    def name_scanned(self, piece: PieceSeen) -> None:
        """A piece whose tag was scanned was in her hand: its line names it, beside earlier ones."""
        from consumables.desk.closing import name_pieces

        lines = self._card.lines if self._card is not None else ()
        at = next((n for n, line in enumerate(lines) if line.item_id == piece.item_id), None)
        if self._card is None or at is None:
            self.tell(
                Told.problem(f"{piece.sentence} {piece.name} is not on this card; e adds it.")
            )
            return
        self.tell(Told.scanned(piece.sentence))
        self._amend(name_pieces(self._card, at, [*lines[at].piece_ids, piece.piece_id]))

    def action_blood(self) -> None:
        """Blood, broken skin or an unhealthy nail: on or off."""
        if self._card is not None:
            self._amend(replace(self._card, contaminated=not self._card.contaminated))

    # --- closing it --------------------------------------------------------------------------

    def action_enter(self) -> None:
        """Close the visit, unless this Enter still belongs to the opening of the card."""
        rested = monotonic() - self._rested_from
        self._rested_from = monotonic()
        if rested >= self.ENTER_RESTS:
            self.action_close_visit()

    def action_close_visit(self) -> None:
        """Write the card: used, bin, strip, wash."""
        self._close(already_done=False)

    @work
    async def action_flag_it(self) -> None:
        """Write what was done although it is not allowed; it stays flagged until settled."""
        if self.view is None:
            return
        words = "\n".join(self.view.refusals) + (
            "\n\nIt will be written as used outside the rules, and shown until somebody looked "
            "into it. What was done to a client is always written down."
        )
        if await self.app.push_screen_wait(
            Confirm("Is it already done?", words, "it is done: write it, flagged")
        ):
            self._close(already_done=True)

    def action_back(self) -> None:
        """Back to the list; nothing was written."""
        self.dismiss(None)

    @work(group="close")
    async def _close(self, already_done: bool) -> None:
        from consumables.desk.closing import close_visit

        card = self._card
        if card is None:
            return
        try:
            receipt = await self.do(lambda desk: close_visit(desk, card, already_done))
        except Refused as problem:
            await self.reload()
            self.tell(Told.problem(self._why_not(problem)))
        except Exception as problem:
            self.tell(told_problem(problem))
        else:
            self._is_closed(receipt)

    def _why_not(self, problem: Refused) -> str:
        if self.view is not None and self.view.refusals:
            return "Nothing was written. Change the card, or press f if it is already done."
        return str(problem)

    def _is_closed(self, receipt: Receipt | None) -> None:
        if receipt is not None:
            self.tell(Told.receipt(receipt))
            self.toast(receipt.sentence)
            self.dismiss(True)
