"""A scanner types like a hand, only faster: its burst is heard as one scan and fires no key."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from textual.events import Event, Key, MouseDown, Paste

from consumables.items.scan import GS

if TYPE_CHECKING:
    from textual.app import App
    from textual.timer import Timer

PAUSE = 0.035  # s; keys of one scan follow each other faster, those of a hand more slowly
LEAST = 6  # signs; nothing that is scanned here is shorter
HELD_KEY = 0.015  # s; a key held down repeats no faster than this, a scanner types faster
REPEATS = 4
_ENDS = ("enter", "tab", "ctrl+j")
_GS_KEY = "ctrl+right_square_bracket"


class Scanner:
    """Holds back what is typed until the pause tells hand from scanner; then passes it on."""

    def __init__(
        self,
        app: App[Any],
        pass_on: Callable[[Event], Awaitable[None]],
        scanned: Callable[[str], object],
        pause: float = PAUSE,
    ) -> None:
        self.pause = pause
        self._app, self._pass_on, self._scanned = app, pass_on, scanned
        self._held: list[Key] = []
        self._timer: Timer | None = None
        self._typed = 0  # keys heard so far: an older timer has nothing to say
        self._scan_ended = float("-inf")

    @property
    def holding(self) -> bool:
        """Is something typed that is not passed on yet?"""
        return bool(self._held)

    async def hear(self, event: Event) -> None:
        """Every event of the app comes through here; only fresh keys are looked at."""
        if isinstance(event, Key) and not event.is_forwarded:
            await self._key(event)
            return
        if isinstance(event, MouseDown | Paste) and not event.is_forwarded:
            await self._let_go()
        await self._pass_on(event)

    async def _key(self, key: Key) -> None:
        if self._held and key.time - self._held[-1].time > self.pause:
            await self._let_go()
        if _sign(key):
            self._hold(key)
            if self._held_down():
                await self._let_go()
        elif key.key in _ENDS and len(self._held) >= LEAST:
            self._scan_ended = key.time
            self._scanned(self._forget())
        elif key.key in _ENDS and key.time - self._scan_ended <= self.pause:
            self._scan_ended = key.time  # some scanners end with two keys; the second is no Enter
        else:
            await self._let_go()
            await self._pass_on(key)

    def _hold(self, key: Key) -> None:
        self._held.append(key)
        self._typed += 1
        self._stop_timer()
        # The app's own queue keeps the sequence: a key typed before the pause ended comes first.
        self._timer = self._app.set_timer(self.pause, partial(self._rested, self._typed))

    async def _rested(self, typed: int) -> None:
        if typed == self._typed:
            await self._let_go()

    async def _let_go(self) -> None:
        keys, _ = self._held, self._forget()
        for key in keys:
            await self._pass_on(key)

    def _forget(self) -> str:
        text = "".join(map(_sign, self._held))
        self._held = []
        self._stop_timer()
        return text

    def _stop_timer(self) -> None:
        if self._timer is not None:
            self._timer.stop()
            self._timer = None

    def _held_down(self) -> bool:
        # Nothing but one sign, and at the pace of a keyboard: a slow scanner's 0000 is no such key.
        gaps = [later.time - key.time for key, later in pairwise(self._held)]
        same = len({key.key for key in self._held}) == 1
        return len(self._held) >= REPEATS and same and min(gaps) >= HELD_KEY


def _sign(key: Key) -> str:
    """What a key adds to a scan; an empty text: nothing, it is a key of its own."""
    if key.key == _GS_KEY:
        return GS
    return key.character or "" if key.is_printable else ""
