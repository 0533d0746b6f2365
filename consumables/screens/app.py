"""The desk on the screen: six places, one line to the shop, and the keys that work everywhere."""

from __future__ import annotations

import sys
from asyncio import Lock
from collections.abc import Callable, Iterable
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar

from textual import work
from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.command import Provider
from textual.events import Event
from textual.reactive import Reactive
from textual.screen import Screen

from consumables.screens.desk_line import Clock, DeskLine
from consumables.screens.fault_log import note_fault
from consumables.screens.look import OUR_THEMES, first_theme
from consumables.screens.place import Place
from consumables.screens.scanner import Scanner

if TYPE_CHECKING:
    from consumables.screens.widgets.told import Told

_PLACES = {
    "today": "today.TodayScreen",
    "wash": "wash_up.WashUpScreen",
    "shelf": "shelf.ShelfScreen",
    "order": "order.OrderScreen",
    "items": "items.ItemsScreen",
    "record": "record.RecordScreen",
}


def _open_place(where: str) -> Screen[Any]:
    module, name = where.split(".")
    made: Screen[Any] = getattr(import_module(f"consumables.screens.{module}"), name)()
    return made


def _actions() -> type[Provider]:
    from consumables.screens.palette import Actions

    return Actions


class ShopApp(App[None]):
    """The whole desk; `clock` gives aware times and is the wall clock when not said."""

    TITLE = "consumables"
    CSS_PATH = "place.tcss"
    CSS = """
    ToastRack { dock: top; align: right top; margin-top: 1; margin-bottom: 0; }
    CommandPalette SearchIcon { display: none; }
    Toast { width: auto; max-width: 60; padding: 0 1; margin: 0; }
    """
    MODES: ClassVar[dict[str, str | Callable[[], Screen[Any]]]] = {
        place: partial(_open_place, where) for place, where in _PLACES.items()
    }
    DEFAULT_MODE = "today"
    HORIZONTAL_BREAKPOINTS = [(0, "-tiny"), (60, "-slim"), (120, "-broad")]  # noqa: RUF012 (as in Textual)
    VERTICAL_BREAKPOINTS = [(0, "-flat"), (20, "-low"), (30, "-tall")]  # noqa: RUF012
    COMMANDS: ClassVar[set[type[Provider] | Callable[[], type[Provider]]]] = {_actions}
    # Chosen before the colour filters are: with NO_COLOR only a theme without RGB stays readable.
    theme: Reactive[str] = Reactive(first_theme)
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(str(digit), f"place('{place}')", place, show=False)
            for digit, place in enumerate(_PLACES, 1)
        ),
        Binding("u", "undo", "undo"),
        Binding("i", "sign", "who", show=False),
        Binding("question_mark", "explain", "help"),
        Binding("ctrl+p", "command_palette", "all", key_display="^p", priority=True),
        Binding("ctrl+q", "quit", "quit", key_display="^q", priority=True),
    ]

    def __init__(self, shop: str | None, who: str = "", clock: Clock | None = None) -> None:
        super().__init__()
        self.line = DeskLine(shop, who, clock)
        self.scanner = Scanner(self, super().on_event, self._scanned)
        self.changes = 0  # jobs written since the start; a place that saw fewer asks again
        self.told: Told | None = None
        self.told_in = ""  # the place it was told in; elsewhere it is one line
        self.item_wanted = ""  # an item the palette asked for, until the items list shows it
        self._one_scan_at_a_time = Lock()
        self.fault = ""  # the sentence of a fault that ended the app
        for ours in OUR_THEMES:
            self.register_theme(ours)
        if not self.no_color:
            self.theme = OUR_THEMES[0].name

    def on_mount(self) -> None:
        self.set_interval(20, self._tick)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """The palette's own commands; without colour there is no other theme to choose."""
        hidden = {"Keys", "Maximize", "Minimize"} | ({"Theme"} if self.no_color else set())
        for command in super().get_system_commands(screen):
            if command.title not in hidden:
                yield command

    def action_place(self, place: str) -> None:
        """Go to one of the six places."""
        self.switch_mode(place)

    def show_item(self, item_id: str) -> None:
        """Go to one item and its verdict."""
        self.item_wanted = item_id
        if self.current_mode == "items" and isinstance(self.screen, Place):
            self.screen.ask_again()
        self.switch_mode("items")

    def action_press_key(self, key: str) -> None:
        """What a click on a key of the key line does."""
        self.simulate_key(key)

    @work
    async def action_undo(self) -> None:
        """Say which job would be undone, ask, and undo it."""
        from consumables.screens.undo import ask_to_undo

        if isinstance(self.screen, Place):
            await ask_to_undo(self.screen)

    @work
    async def action_sign(self) -> None:
        """Somebody else sits down at the desk."""
        from consumables.screens.undo import ask_who

        if isinstance(self.screen, Place):
            await ask_who(self.screen)

    async def action_explain(self) -> None:
        """Help for the place she is in."""
        from consumables.screens.explain import Explain

        if isinstance(self.screen, Place):
            await self.push_screen(Explain(self.screen.HELP_PAGE))

    async def on_event(self, event: Event) -> None:
        """A scanner's burst is told from what a hand types before any key does anything."""
        await self.scanner.hear(event)

    @work(group="scan")
    async def _scanned(self, text: str) -> None:
        from consumables.screens.scanned import scanned

        async with self._one_scan_at_a_time:
            await scanned(self, text)

    def _tick(self) -> None:
        if isinstance(self.screen, Place):
            self.screen.tick()

    def _handle_exception(self, error: Exception) -> None:
        # Textual would print a traceback with the values of variables, a client's among them.
        self.fault = note_fault(error)
        self.error_console.quiet = True
        super()._handle_exception(error)


def run_screens(shop: str | None, who: str) -> None:
    """Open the desk on a terminal until she leaves; ends with code 1 after a fault."""
    app = ShopApp(shop, who)
    try:
        app.run()
    finally:
        app.line.hang_up()
    if app.fault:
        print(app.fault, file=sys.stderr)
        raise SystemExit(1)
