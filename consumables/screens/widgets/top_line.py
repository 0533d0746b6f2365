"""The line at the top: the six places of the desk, where she is, and the time."""

from __future__ import annotations

from datetime import datetime

from textual.content import Content
from textual.widgets import Static

PLACES = (
    ("today", "Today"),
    ("wash", "Wash-up"),
    ("shelf", "Shelf"),
    ("order", "Order"),
    ("items", "Items"),
    ("record", "Record"),
)


class TopLine(Static):
    """Digits and names of the places; each is also a thing to click."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    TopLine { height: 1; text-wrap: nowrap; background: $panel; color: $foreground;
        link-color: $foreground; link-style: none; link-background-hover: $primary; }
    """

    def __init__(self, place: str) -> None:
        super().__init__()
        self._place = place
        self._now: datetime | None = None

    def tell_time(self, now: datetime) -> None:
        """Show the day and the time of the shop."""
        if (now.date(), now.hour, now.minute) != (self._now and _minute(self._now)):
            self._now = now
            self._draw()

    def on_mount(self) -> None:
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def _draw(self) -> None:
        width = self.size.width
        names = [self._place_name(number, width < 62) for number in range(1, len(PLACES) + 1)]
        places = Content.from_markup("".join(names))
        told = f"{self._now:%a %d %b  %H:%M} " if self._now else ""
        gap = width - places.cell_length - len(told)
        self.update(places + Content(" " * gap + told) if gap > 1 else places)

    def _place_name(self, number: int, short: bool) -> str:
        place, name = PLACES[number - 1]
        if place == self._place:
            return f"[b reverse] {number} {name} [/]"
        return f"[@click=app.place('{place}')] [b]{number}[/b]{'' if short else ' ' + name} [/]"


def _minute(now: datetime) -> tuple[object, int, int]:
    return now.date(), now.hour, now.minute
