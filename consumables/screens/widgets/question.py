"""Asking before something that cannot be taken lightly: yes or no, nothing in between."""

from __future__ import annotations

from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Label, Static

T = TypeVar("T")


class Question(ModalScreen[T]):
    """A box in the middle of the screen; Escape always leaves things as they are."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "leave it")]
    DEFAULT_CSS = """
    Question { align: center middle; background: $background 60%; }
    Question .box { width: 74; max-width: 100%; height: auto; max-height: 100%; padding: 0 1;
        border: round $primary; background: $surface; scrollbar-size-vertical: 1; }
    Question .title { text-style: bold; width: 100%; height: auto; margin-bottom: 1; }
    Question .words { width: 100%; height: auto; }
    Question .caution { width: 100%; height: auto; margin-top: 1; text-style: bold; }
    Question .wrong { display: none; width: 100%; height: auto; text-style: bold; color: $error; }
    Question .buttons { height: auto; width: 100%; margin-top: 1; }
    Question .buttons Button { margin-right: 2; }
    """

    def say_wrong(self, sentence: str) -> None:
        """Why the answer does not hold, in words beneath the fields."""
        line = self.query_one(".wrong", Static)
        line.update(sentence)
        line.display = True

    def action_leave(self) -> None:
        """Close the box; nothing is done."""
        self.dismiss(None)


class Confirm(Question[bool]):
    """y does it, n or Escape does not; Enter does whatever is highlighted (at first: no)."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "answer(True)", "yes"),
        Binding("n", "answer(False)", "no"),
        Binding("left,right", "other", show=False),
    ]

    def __init__(self, title: str, words: str, yes: str, no: str = "leave it") -> None:
        super().__init__()
        self._told = (title, words, yes, no)

    def compose(self) -> ComposeResult:
        title, words, yes, no = self._told
        with VerticalScroll(classes="box", can_focus=False):
            yield Label(title, classes="title", markup=False)
            yield Static(words, classes="words", markup=False)
            with Horizontal(classes="buttons"):
                yield Button(f"n  {no}", id="no", compact=True)
                yield Button(f"y  {yes}", id="yes", compact=True)

    def on_mount(self) -> None:
        self.query_one("#no").focus()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        self.dismiss(event.button.id == "yes")

    def action_answer(self, yes: bool) -> None:
        """Answer with a key."""
        self.dismiss(yes)

    def action_leave(self) -> None:
        """Escape is a no."""
        self.dismiss(False)

    def action_other(self) -> None:
        """From one button to the other."""
        self.focus_next(Button)


class Notice(Question[None]):
    """Something to read; Escape or Enter closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "leave", "close")]

    def __init__(self, title: str, words: str) -> None:
        super().__init__()
        self._told = (title, words)

    def compose(self) -> ComposeResult:
        title, words = self._told
        with VerticalScroll(classes="box"):
            yield Label(title, classes="title", markup=False)
            yield Static(words, classes="words", markup=False)
            with Horizontal(classes="buttons"):
                yield Button("esc  close", compact=True)

    def on_button_pressed(self) -> None:
        self.dismiss(None)
