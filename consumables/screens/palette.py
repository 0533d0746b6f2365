"""Every action by name, and every item: type what you want instead of remembering its key."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, cast

from textual.binding import Binding
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.types import IgnoreReturnCallbackType

from consumables.screens.place import Place
from consumables.screens.widgets.key_line import key_name
from consumables.screens.widgets.top_line import PLACES

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.screens.app import ShopApp

Command = tuple[str, str, IgnoreReturnCallbackType]


class Actions(Provider):
    """The keys of this place, the six places, undo, who, and the items of the shop."""

    async def startup(self) -> None:
        self._items: list[tuple[str, str]] = []
        if isinstance(self.screen, Place):
            self._items = await self.screen.look(_items) or []

    async def discover(self) -> Hits:
        """What is offered before anything is typed: this place's actions."""
        for name, words, run in self._commands():
            yield DiscoveryHit(name, run, help=words)

    async def search(self, query: str) -> Hits:
        """What matches the words typed."""
        matcher = self.matcher(query)
        for name, words, run in [*self._commands(), *self._item_commands()]:
            score = matcher.match(name)
            if score > 0:
                yield Hit(score, matcher.highlight(name), run, help=words)

    def _commands(self) -> Iterator[Command]:
        app = cast("ShopApp", self.app)
        for node, binding, enabled, _tip in self.screen.active_bindings.values():
            if binding.show and enabled and binding.action not in ("command_palette", "quit"):
                run = partial(app.run_action, binding.action, node)
                yield binding.description.capitalize(), _words(node, binding), run
        for digit, (place, name) in enumerate(PLACES, 1):
            yield f"Go to {name}", f"key {digit}", partial(app.action_place, place)
        yield "Who is at the desk", "key i: whose initials the jobs carry", app.action_sign
        for command in app.get_system_commands(self.screen):
            yield command.title, command.help, command.callback

    def _item_commands(self) -> Iterator[Command]:
        app = cast("ShopApp", self.app)
        for item_id, name in self._items:
            yield name, "item: its verdict and the reasons", partial(app.show_item, item_id)


def _items(desk: Desk) -> list[tuple[str, str]]:
    from consumables.desk.verdicts import item_rows

    return [(row.item_id, row.name) for row in item_rows(desk)]


def _words(node: object, binding: Binding) -> str:
    name = binding.action.split("(")[0].removeprefix("app.")
    told = getattr(node, f"action_{name}", None)
    sentence = (getattr(told, "__doc__", None) or "").strip().split("\n")[0]
    return f"key {key_name(binding)}: {sentence}" if sentence else f"key {key_name(binding)}"
