"""A list of things with a word for the state first, that fits whatever room there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import ClassVar

from rich.style import Style
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import DataTable, Static

LIGHT = {  # with no colour at all a word is told by weight alone
    "act": "bold",
    "wait": "",
    "good": "",
    "bad": "bold reverse",
    "quiet": "dim",
}
COLOUR = {
    "act": ("warning", "bold"),
    "wait": ("accent", ""),
    "good": ("success", ""),
    "bad": ("error", "bold"),
    "quiet": ("foreground", "dim"),
}
GAP = 1  # blank cells on each side of a cell


@dataclass(frozen=True)
class Word:
    """A word with a tone: act | wait | good | bad | quiet."""

    text: str
    tone: str = ""


Cell = str | Word


@dataclass(frozen=True)
class Column:
    """One column, shown in rooms from `from_width` to under `to_width`; `stretch`: the rest."""

    title: str
    width: int = 0
    stretch: bool = False
    from_width: int = 0
    to_width: int = 999
    right: bool = False  # figures


@dataclass(frozen=True)
class Row:
    """One line of a list, with a cell for each column."""

    key: str
    cells: tuple[Cell, ...]


class Rows(DataTable[Text], inherit_bindings=False):
    """The list itself; Enter is left to the screen, which knows what it means there."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "cursor_up", show=False),
        Binding("down", "cursor_down", show=False),
        Binding("pageup", "page_up", show=False),
        Binding("pagedown", "page_down", show=False),
        Binding("home", "scroll_top", show=False),
        Binding("end", "scroll_bottom", show=False),
    ]
    DEFAULT_CSS = """
    Rows { height: 1fr; scrollbar-size-vertical: 1; scrollbar-size-horizontal: 0; }
    """

    def __init__(self, columns: Sequence[Column], marks: bool = False) -> None:
        super().__init__(cursor_type="row", cell_padding=GAP)
        self._all = tuple(columns)
        self._marks = marks
        self._rows: tuple[Row, ...] = ()
        self._laid: tuple[int, ...] = ()  # widths of the columns as they stand now
        self.marked: set[str] = set()

    @property
    def current(self) -> str | None:
        """The key of the highlighted row."""
        return self._rows[self.cursor_row].key if 0 <= self.cursor_row < len(self._rows) else None

    @property
    def chosen(self) -> list[str]:
        """The marked rows in sequence; when none is marked, the highlighted one."""
        marked = [row.key for row in self._rows if row.key in self.marked]
        return marked or ([self.current] if self.current is not None else [])

    def on_resize(self) -> None:
        self._draw()

    def on_mount(self) -> None:
        self.app.theme_changed_signal.subscribe(self, lambda _theme: self._draw(anew=True))

    def show(self, rows: Sequence[Row], at: str | None = None) -> None:
        """Show these rows; the highlight stays with its row, or goes to the row `at`."""
        wanted = at or self.current
        before = self.cursor_row
        self._rows = tuple(rows)
        self.marked &= {row.key for row in rows}
        if not self._draw():
            return
        keys = [row.key for row in rows]
        self._highlight(keys.index(wanted) if wanted in keys else min(before, len(keys) - 1))

    def go_to(self, key: str) -> None:
        """Highlight the row with this key, if there is one."""
        keys = [row.key for row in self._rows]
        if key in keys:
            self._highlight(keys.index(key))

    def mark(self, keys: Sequence[str] | None = None) -> None:
        """Mark or unmark the highlighted row; with `keys` mark just these."""
        if keys is not None:
            self.marked = set(keys)
        elif self.current is not None:
            self.marked ^= {self.current}
        self._draw()
        if keys is None:
            self.action_cursor_down()

    def _highlight(self, index: int) -> None:
        if index >= 0:
            self.move_cursor(row=index)

    def _draw(self, anew: bool = False) -> bool:
        if not self.size.width:
            return False  # not on the screen yet; on_resize draws it
        widths = self._widths()
        cells = [self._texts(row, widths) for row in self._rows]
        if not anew and widths == self._laid and self._same_shape(cells):
            self._change(cells)
            return True
        self._rebuild(widths, cells)
        return True

    def _widths(self) -> tuple[int, ...]:
        room = self.size.width - 1  # the scroll bar
        shown = [c for c in self._all if c.from_width <= room < c.to_width]
        fixed = sum(c.width + 2 * GAP for c in shown if not c.stretch)
        stretched = [c for c in shown if c.stretch]
        share = (room - fixed) // max(1, len(stretched)) - 2 * GAP
        return tuple(
            (max(8, share) if c.stretch else c.width) if c in shown else 0 for c in self._all
        )

    def _texts(self, row: Row, widths: tuple[int, ...]) -> list[Text]:
        texts: list[Text] = []
        for at, (cell, column, width) in enumerate(zip(row.cells, self._all, widths, strict=True)):
            if width:
                word = Word(cell) if isinstance(cell, str) else cell
                mark = self._mark(row.key) if at == 0 else ""
                lines = wrap(mark + word.text, width) or [""]
                text = Text("\n".join(lines), style=self.tone(word.tone))
                text.justify = "right" if column.right else "left"
                texts.append(text)
        return texts

    def _mark(self, key: str) -> str:
        if not self._marks:
            return ""
        return "[x] " if key in self.marked else "[ ] "

    def tone(self, tone: str) -> Style:
        """The style of a tone under the theme in force."""
        if not tone:
            return Style()
        if self.app.no_color:
            return Style.parse(LIGHT[tone] or "none")
        name, weight = COLOUR[tone]
        colour = self.app.theme_variables.get(name, "").removeprefix("ansi_")
        plain = Style.parse(weight or "none")
        return plain if tone == "quiet" else plain + Style(color=colour or None)

    def _same_shape(self, cells: list[list[Text]]) -> bool:
        now = [(row.key.value, row.height) for row in self.ordered_rows]
        return now == [
            (row.key, _height(texts)) for row, texts in zip(self._rows, cells, strict=True)
        ]

    def _change(self, cells: list[list[Text]]) -> None:
        for at, texts in enumerate(cells):
            for column, text in enumerate(texts):
                if self.get_cell_at((at, column)) != text:  # type: ignore[arg-type]
                    self.update_cell_at((at, column), text)  # type: ignore[arg-type]

    def _rebuild(self, widths: tuple[int, ...], cells: list[list[Text]]) -> None:
        keep, offset = self.cursor_row, self.scroll_offset
        self.clear(columns=widths != self._laid)
        if widths != self._laid:
            for column, width in zip(self._all, widths, strict=True):
                if width:
                    title = Text(column.title, justify="right" if column.right else "left")
                    self.add_column(title, width=width)
        self._laid = widths
        for row, texts in zip(self._rows, cells, strict=True):
            self.add_row(*texts, key=row.key, height=_height(texts))
        self.move_cursor(row=min(keep, max(0, len(cells) - 1)), scroll=False)
        self.scroll_to(y=offset.y, animate=False)


class Listing(Vertical):
    """A list, or, where there is nothing to list, what to do next."""

    DEFAULT_CSS = """
    Listing { height: 1fr; }
    Listing > .nothing { padding: 1 2; height: auto; display: none; }
    """

    def __init__(self, columns: Sequence[Column], marks: bool = False, id: str = "") -> None:
        super().__init__(id=id or None)
        self.rows = Rows(columns, marks)
        self._nothing = Static("", classes="nothing", markup=False)

    def compose(self) -> ComposeResult:
        yield self.rows
        yield self._nothing

    def show(self, rows: Sequence[Row], nothing: str, at: str | None = None) -> None:
        """Show rows, or the sentence that says what to do next."""
        self._nothing.update(nothing)
        self._nothing.display = not rows
        self.rows.display = bool(rows)
        self.rows.show(rows, at)


def _height(texts: Sequence[Text]) -> int:
    return max((text.plain.count("\n") + 1 for text in texts), default=1)
