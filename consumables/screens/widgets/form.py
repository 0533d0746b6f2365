"""Asking for a few words or figures, with the reason beside a field that does not hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Button, Input, Label, Static

from consumables.screens.widgets.question import Question


@dataclass(frozen=True)
class Field:
    """One thing to fill in; `kind` is text | whole | date."""

    name: str
    label: str
    kind: str = "text"
    value: str = ""
    hint: str = ""
    needed: bool = True


class Form(Question[dict[str, str]]):
    """Enter goes to the next field and, in the last one, writes it; gives {name: text}."""

    DEFAULT_CSS = """
    Form Input { margin-bottom: 1; background: $panel; }
    """

    def __init__(self, title: str, fields: Sequence[Field], words: str = "", yes: str = "write it"):
        super().__init__()
        self._title, self._fields, self._words, self._yes = title, tuple(fields), words, yes

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="box", can_focus=False):
            yield Label(self._title, classes="title", markup=False)
            for field in self._fields:
                yield Label(field.label, markup=False)
                restrict = r"[0-9]*" if field.kind == "whole" else None
                yield Input(field.value, field.hint, id=field.name, restrict=restrict, compact=True)
            yield Static("", classes="wrong", markup=False)
            yield Static(self._words, classes="words", markup=False)
            with Horizontal(classes="buttons"):
                yield Button(f"enter  {self._yes}", id="write", compact=True)
                yield Button("esc  leave it", id="leave", compact=True)

    def on_mount(self) -> None:
        for field in self.query(Input):
            field.cursor_blink = False
        self.query(Input).first().focus()

    @on(Input.Submitted)
    def _next(self, event: Input.Submitted) -> None:
        event.stop()
        if event.input.id == self._fields[-1].name:
            self._write()
        else:
            self.focus_next(Input)

    @on(Button.Pressed)
    def _pressed(self, event: Button.Pressed) -> None:
        if event.button.id == "write":
            self._write()
        else:
            self.dismiss(None)

    def _write(self) -> None:
        answers = {field.name: self._text(field) for field in self._fields}
        for field in self._fields:
            wrong = _wrong(field, answers[field.name])
            if wrong:
                self.say_wrong(wrong)
                self.query_one(f"#{field.name}", Input).focus()
                return
        self.dismiss(answers)

    def _text(self, field: Field) -> str:
        return self.query_one(f"#{field.name}", Input).value.strip()


def _wrong(field: Field, text: str) -> str:
    if not text:
        return f"{field.label}: fill this in." if field.needed else ""
    if field.kind == "whole" and not text.isdecimal():
        return f"{field.label}: a whole number is expected."
    if field.kind == "date":
        try:
            date.fromisoformat(text)
        except ValueError:
            return f"{field.label}: a date like 2031-05-28 is expected."
    return ""
