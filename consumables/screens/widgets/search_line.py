"""A line to type a part of a name into; hidden until it is asked for."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widgets import Input

from consumables.screens.widgets.rows import Rows


class SearchLine(Input):
    """Enter goes back to the list and keeps the search; Escape ends it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "end_search", "end search"),
        Binding("down", "to_list", "to the list", show=False),
    ]
    DEFAULT_CSS = """
    SearchLine { display: none; background: $panel; }
    SearchLine.-open { display: block; }
    """

    def __init__(self, hint: str) -> None:
        super().__init__(placeholder=hint, compact=True)
        self.cursor_blink = False

    def open(self) -> None:
        """Show the line and give it the keys."""
        self.add_class("-open")
        self.focus()

    def action_end_search(self) -> None:
        """Show everything again."""
        self.value = ""
        self.remove_class("-open")
        self.action_to_list()

    def action_to_list(self) -> None:
        """Give the keys back to the list."""
        self.screen.query_one(Rows).focus()

    async def action_submit(self) -> None:
        self.action_to_list()
