"""The keys that do something here and now, each also a thing to click; never cut off."""

from __future__ import annotations

from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

_SHORT = {
    "question_mark": "?",
    "escape": "esc",
    "plus": "+",
    "minus": "-",
    "slash": "/",
    "comma": ",",
    "full_stop": ".",
    "enter": "enter",
    "space": "space",
}


LAST = {
    "escape": 1,
    "u": 1,
    "question_mark": 2,
    "ctrl+p": 3,
    "ctrl+q": 4,
}  # the keys of every place


TINY = 60  # narrower than this only the first keys are shown; ? and ^p tell the others


class KeyLine(Static):
    """As many lines as the keys of this screen need at this width."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    KeyLine { height: auto; max-height: 4; padding: 0 1; background: $panel; color: $foreground;
        text-wrap: nowrap; link-color: $foreground; link-style: none;
        link-background-hover: $primary; }
    """

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._changed)

    def on_resize(self) -> None:
        self._draw()

    def _changed(self, screen: Screen[object]) -> None:
        if screen is self.screen:
            self._draw()

    def _draw(self) -> None:
        width = self.size.width
        if not width:
            return
        lines: list[list[tuple[str, str]]] = [[]]
        used = 0
        for name, label, key in self._keys() if width >= TINY else self._few_keys(2 * width):
            plain = f"{name} {label}"
            if used and used + len(plain) > width:
                lines.append([])
                used = 0
            lines[-1].append((plain, f"[@click=app.press_key('{key}')][b]{name}[/b] {label}[/]"))
            used += len(plain) + 2
        self.update(Content.from_markup("\n".join("  ".join(m for _, m in line) for line in lines)))

    def _few_keys(self, room: int) -> list[tuple[str, str, str]]:
        keys = self._keys()
        finders = [key for key in keys if key[2] in ("question_mark", "ctrl+p")]
        room -= 40  # for the finders and ragged line ends
        few: list[tuple[str, str, str]] = []
        for key in keys:
            room -= len(f"{key[0]} {key[1]}") + 2
            if room > 0 and key not in finders:
                few.append(key)
        return few + finders

    def _keys(self) -> list[tuple[str, str, str]]:
        found: dict[str, tuple[str, str, str]] = {}
        for _node, binding, enabled, _tooltip in self.screen.active_bindings.values():
            if binding.show and enabled:
                found.setdefault(
                    binding.action, (key_name(binding), binding.description, binding.key)
                )
        return sorted(found.values(), key=lambda key: LAST.get(key[2], 0))


def key_name(binding: Binding) -> str:
    """A key as it is printed on the keyboard."""
    return binding.key_display or _SHORT.get(binding.key, binding.key.replace("ctrl+", "^"))
