"""Somebody at the keys of the running desk, on the small invented shop."""

import re
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from textual.events import Key
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.widgets import Static

from consumables.desk.opening import Desk
from consumables.screens.app import ShopApp
from consumables.screens.widgets.question import Question

QUIET = 5  # rounds of the message loop without a running job


class Hand:
    """One person at the keys; counts what she presses and waits until the desk has answered."""

    def __init__(self, app: ShopApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot = app, pilot
        self.pressed = 0

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.pressed += 1
            self.app.simulate_key(key)
            await self.settle()

    async def type(self, text: str) -> None:
        for character in text:
            key = "space" if character == " " else _character_to_key(character)
            self.app.post_message(Key(key, character))
        await self.settle()

    async def scan(self, text: str, end: str = "enter") -> None:
        """A scanner types all at once and ends with a key."""
        for sign in text:
            known = "ctrl+right_square_bracket" if sign == "\x1d" else _character_to_key(sign)
            self.app.post_message(Key(known, sign))
        if end:
            self.app.post_message(Key(end, "\r" if end == "enter" else None))
        await self.settle()

    async def click(self, selector: str, word: str) -> None:
        """Click on a word in a widget of the screen."""
        widget = self.app.screen.query_one(selector)
        lines = [line.text for line in widget.render_lines(widget.size.region)]
        row = next(at for at, line in enumerate(lines) if word in line)
        await self.pilot.click(selector, offset=(lines[row].index(word) + 1, row))
        await self.settle()

    async def settle(self) -> None:
        quiet = 0
        for _ in range(4000):
            await self.pilot.pause(0.002)
            busy = self.app.line.running or self.app.scanner.holding
            quiet = 0 if busy else quiet + 1
            if quiet == QUIET:
                return
        raise AssertionError("The desk did not answer.")

    @property
    def asked(self) -> str:
        """What the box in the middle of the screen says."""
        assert isinstance(self.app.screen, Question)
        return " ".join(str(words.render()) for words in self.app.screen.query(Static))

    @property
    def sees(self) -> str:
        """Every word on the screen, in reading sequence, single-spaced."""
        svg = self.app.export_screenshot()
        words = re.findall(r"<text[^>]*>([^<]*)</text>", svg)
        return re.sub(r"\s+", " ", unescape(" ".join(words)).replace("\xa0", " "))


AtDesk = Callable[..., AbstractAsyncContextManager[Hand]]


@pytest.fixture
def at_desk(tmp_path: Path, clock: Any) -> AtDesk:
    """Sits down at the desk of the test shop: `async with at_desk() as hand`."""

    @asynccontextmanager
    async def sit(
        size: tuple[int, int] = (80, 24),
        shop: str = "",
        who: str = "AB",
        toasts: bool = False,
        pause: float = 0.001,  # between hand and scanner; the true one would make tests slow
    ) -> AsyncIterator[Hand]:
        app = ShopApp(shop or str(tmp_path / "shop.db"), who, clock)
        app.animation_level = "none"
        app.scanner.pause = pause
        async with app.run_test(size=size, notifications=toasts) as pilot:
            hand = Hand(app, pilot)
            await hand.settle()
            yield hand
        app.line.hang_up()

    return sit


@pytest.fixture
def lamp_in_the_wash(desk: Desk, visit: Callable[..., str]) -> str:
    """A visit whose only lamp has just been used and is not clean; gives the visit's id."""
    from consumables.desk.closing import card_for, close_visit

    close_visit(desk, card_for(desk, visit("lamp", visit_id="before")))
    return visit("lamp", visit_id="next")
