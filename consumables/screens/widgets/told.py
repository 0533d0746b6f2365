"""What the last job said, kept in sight: the bin now, the wash, and what was flagged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

if TYPE_CHECKING:
    from consumables.desk.opening import Receipt


@dataclass(frozen=True)
class Told:
    """A sentence and, beneath it, lists by heading."""

    sentence: str
    lists: tuple[tuple[str, tuple[str, ...]], ...] = ()
    refused: bool = False
    word: str = "DONE"

    @classmethod
    def receipt(cls, receipt: Receipt, cautions: bool = True) -> Told:
        """What a job did, under the heading of where things go."""
        again = "Done before; nothing was written twice. " if receipt.again else ""
        lists = (
            ("SHARPS", receipt.sharps),
            ("BIN NOW", receipt.bin),
            ("STRIP", receipt.strip),
            ("TO WASH", receipt.wash),
            ("FLAGGED", receipt.flagged),
            ("CAUTION", receipt.cautions if cautions else ()),
        )
        return cls(again + receipt.sentence, tuple(entry for entry in lists if entry[1]))

    @classmethod
    def scanned(cls, sentence: str) -> Told:
        """What a scanned code stands for; nothing was written."""
        return cls(sentence, word="SCANNED")

    @classmethod
    def problem(cls, sentence: str) -> Told:
        """Why a job was not done."""
        return cls(sentence, refused=True)


class ToldPanel(VerticalScroll, can_focus=False):
    """The last sentence, in its place until the next one."""

    DEFAULT_CSS = """
    ToldPanel { height: auto; max-height: 50%; border-top: solid $secondary; padding: 0 1;
        scrollbar-size-vertical: 1; display: none; }
    ToldPanel > Static { height: auto; }
    ToldPanel.-folded { max-height: 3; }
    ToldPanel.-refused { border-top: heavy $error; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._words = Static("")

    def compose(self) -> ComposeResult:
        yield self._words

    def show(self, told: Told | None, folded: bool = False) -> None:
        """Show what was told last, folded into one line or in full; None hides the panel."""
        self.display = told is not None
        if told is None:
            return
        self.set_class(told.refused, "-refused")
        self.set_class(folded, "-folded")
        self._words.update(
            _laid_out(Told(told.sentence, (), told.refused, told.word) if folded else told)
        )
        self.scroll_home(animate=False)


def _laid_out(told: Told) -> Table:
    grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
    grid.add_column(no_wrap=True, width=8)
    grid.add_column(ratio=1)
    word = "NOT DONE" if told.refused else told.word
    grid.add_row(Text(word, style="bold"), Text(told.sentence))
    for heading, lines in told.lists:
        grid.add_row(
            Text(heading, style="bold"), Text(("\n" if heading == "CAUTION" else "; ").join(lines))
        )
    return grid
