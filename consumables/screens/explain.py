"""Help for one place, in her words: what it is for, what to press, what to watch."""

from __future__ import annotations

from importlib.resources import files
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Markdown, Static

from consumables.screens.widgets.question import Question


class Explain(Question[None]):
    """One page of help; Escape, ? or a click below closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark,enter,q", "leave", "close", show=False)
    ]
    DEFAULT_CSS = """
    Explain .box { width: 78; height: 90%; }
    Explain Markdown { height: auto; margin: 0; padding: 0; background: transparent; }
    Explain .close { dock: bottom; height: 1; width: 100%; text-style: bold; }
    """

    def __init__(self, page: str) -> None:
        super().__init__()
        self._page = page

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="box"):
            yield Markdown(page_text(self._page), open_links=False)
            yield Static("[@click=screen.leave]esc  close[/]    arrows scroll", classes="close")


def page_text(page: str) -> str:
    """The help of a place, then what works everywhere."""
    folder = files("consumables.screens") / "help"
    parts = [(folder / f"{name}.md").read_text(encoding="utf-8") for name in (page, "everywhere")]
    return "\n".join(parts)
