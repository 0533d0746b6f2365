"""What the six places of the desk have in common: the top line, the last word, the keys."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widget import Widget

from consumables.errors import DeskProblem
from consumables.screens.fault_log import note_fault
from consumables.screens.widgets.key_line import KeyLine
from consumables.screens.widgets.told import Told, ToldPanel
from consumables.screens.widgets.top_line import TopLine

if TYPE_CHECKING:
    from consumables.desk.opening import Desk, Receipt
    from consumables.screens.app import ShopApp

T = TypeVar("T")


class Place(Screen[bool]):
    """One place. It asks the desk, shows the answer, and keeps the last word in sight."""

    PLACE: ClassVar[str] = ""  # as in PLACES
    HELP_PAGE: ClassVar[str] = ""  # file name in help/
    CAUTIONS_IN_SIGHT: ClassVar[bool] = False  # they stand beside the list at all times
    AUTO_FOCUS = "Rows"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "fold", "fold")]

    def __init__(self) -> None:
        super().__init__()
        self._seen = -1  # the shop's count of changes when this place last asked
        self._writing = False
        self._can_fold = False

    @property
    def shop(self) -> ShopApp:
        """The app this place belongs to."""
        return cast("ShopApp", self.app)

    def compose(self) -> ComposeResult:
        yield TopLine(self.PLACE)
        yield from self.body()
        yield ToldPanel()
        yield KeyLine()

    def body(self) -> Iterable[Widget]:
        """What this place shows between the top line and the last word."""
        return ()

    async def reload(self) -> None:
        """Ask the desk anew and show what it says."""

    # --- coming and going --------------------------------------------------------------------

    def on_screen_resume(self) -> None:
        self.recall()
        if self._seen != self.shop.changes:
            self.ask_again()
        self.tick()

    def recall(self) -> None:
        """Show again what was told last, wherever that was."""
        self._told_folded(self.shop.told_in != self.PLACE)

    def action_fold(self) -> None:
        """Make the last word one line, so that the list has the room."""
        self._told_folded(True)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Folding is for what is not folded yet."""
        return action != "fold" or self._can_fold

    def tick(self) -> None:
        """Once in a while: the time at the top."""
        if self.shop.line.is_open:
            self.query_one(TopLine).tell_time(self.shop.line.now())

    @work(exclusive=True, group="reload")
    async def ask_again(self) -> None:
        """Reload in the background; a later call takes over from an earlier one."""
        self._seen = self.shop.changes
        await self.reload()
        self.tick()

    # --- asking the desk ---------------------------------------------------------------------

    async def look(self, job: Callable[[Desk], T]) -> T | None:
        """The answer of a job that only reads, or None when it was told why there is none."""
        try:
            return await self.shop.line.look(job)
        except Exception as problem:
            self.tell(told_problem(problem))
            return None

    async def write(self, job: Callable[[Desk], Receipt]) -> Receipt | None:
        """Do a job, tell its receipt and show the place anew; None when it was not done."""
        try:
            receipt = await self.do(job)
        except Exception as problem:
            self.tell(told_problem(problem))
            return None
        if receipt is not None:
            self.tell(Told.receipt(receipt, cautions=not self.CAUTIONS_IN_SIGHT))
            self.toast(receipt.sentence)
            self.ask_again()
        return receipt

    async def do(self, job: Callable[[Desk], T]) -> T | None:
        """Do a writing job; None when an earlier one is still being written."""
        if self._writing:
            self.app.bell()
            return None
        self._writing = True
        try:
            return await self.shop.line.write(job)
        finally:
            self._writing = False
            self.shop.changes += 1

    def toast(self, sentence: str) -> None:
        """The first words of a sentence, for a moment; the whole of it stands at the bottom."""
        self.app.clear_notifications()
        self.notify(sentence.split(":")[0].rstrip("."), timeout=3, markup=False)

    def tell(self, told: Told | None) -> None:
        """Put a sentence where the last word stands."""
        self.shop.told, self.shop.told_in = told, self.PLACE
        self._told_folded(False)

    def _told_folded(self, folded: bool) -> None:
        told = self.shop.told
        for panel in self.query(ToldPanel):
            panel.show(told, folded)
        self._can_fold = told is not None and bool(told.lists) and not folded
        self.refresh_bindings()


def told_problem(problem: Exception) -> Told:
    """A problem as the sentence she reads; what nobody foresaw is noted and told in one line."""
    if isinstance(problem, DeskProblem):
        return Told.problem(str(problem))
    return Told.problem(note_fault(problem))
