"""Choosing from a list by typing a part of the name, or marking several."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Button, Input, Label, Static

from consumables.screens.widgets.question import Question
from consumables.screens.widgets.rows import Column, Row, Rows

MOST = 200  # rows shown at once; typing finds the others


@dataclass(frozen=True)
class Choice:
    """One thing to choose."""

    key: str
    name: str
    more: str = ""


class Choose(Question[list[str]]):
    """Type to find, arrows to move, Enter to take; gives the keys that were taken.

    With `several` the list has the keys at first: space marks, `/` goes to the search. With
    `own_words` what is typed is taken as it stands when nothing in the list matches.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "take"),
        Binding("space", "mark", "mark"),
        Binding("slash", "search", "search"),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]
    DEFAULT_CSS = """
    Choose Rows { height: auto; }
    Choose Input { background: $panel; margin-bottom: 1; }
    """

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        several: bool = False,
        own_words: bool = False,
        words: str = "",
    ) -> None:
        super().__init__()
        self._title, self._choices, self._words = title, tuple(choices), words
        self._several, self._own_words = several, own_words
        columns = (Column("", stretch=True), Column("", 24, from_width=54))
        self._rows = Rows(columns, marks=several)
        self._rows.show_header = False

    def compose(self) -> ComposeResult:
        hint = "type your own words, or take one below" if self._own_words else "type to find"
        with VerticalScroll(classes="box", can_focus=False):
            yield Label(self._title, classes="title", markup=False)
            yield Input(placeholder=hint, id="find", compact=True)
            yield self._rows
            yield Static("", classes="wrong", markup=False)
            yield Static(self._words, classes="words", markup=False)
            with Horizontal(classes="buttons"):
                yield Button("enter  take", id="take", compact=True)
                if self._several:
                    yield Button("space  mark", id="mark", compact=True)
                yield Button("esc  leave it", id="leave", compact=True)

    def on_mount(self) -> None:
        self.query_one(Input).cursor_blink = False
        self._find("")
        if self._several:
            self._rows.focus()
        else:
            self.query_one(Input).focus()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        self._find(event.value)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        if self._several:
            self._rows.focus()
        else:
            self.action_take()

    @on(Button.Pressed)
    def _pressed(self, event: Button.Pressed) -> None:
        actions = {"take": self.action_take, "mark": self.action_mark, "leave": self.action_leave}
        actions[event.button.id or "leave"]()

    @on(Rows.RowSelected)
    def _clicked(self) -> None:
        if self._several:
            self.action_mark()
        else:
            self.action_take()

    def action_take(self) -> None:
        """Take what is marked or highlighted, or the words as typed."""
        typed = self.query_one(Input).value.strip()
        found = self._rows.chosen
        if found:
            self.dismiss(found)
        elif self._own_words and typed:
            self.dismiss([typed])
        else:
            self.say_wrong("Nothing here matches; type less of the name.")

    def action_mark(self) -> None:
        """Mark or unmark the highlighted one."""
        if self._several:
            self._rows.mark()

    def action_search(self) -> None:
        """Go to the search field."""
        self.query_one(Input).focus()

    def action_move(self, step: int) -> None:
        """Move the highlight while the search field has the keys."""
        self._rows.move_cursor(row=self._rows.cursor_row + step)

    def _find(self, typed: str) -> None:
        words = typed.casefold().split()
        found = [c for c in self._choices if all(w in c.name.casefold() for w in words)]
        room = max(3, min(12, self.app.size.height - 12))
        self._rows.styles.height = min(2 * max(1, len(found)), room)  # long names take two lines
        self._rows.show([Row(c.key, (c.name, c.more)) for c in found[:MOST]])
