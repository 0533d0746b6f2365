"""The line from the screens to the desk: every job runs aside, so that no key ever waits."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import ExitStack
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING, TypeVar

from consumables.errors import Refused

if TYPE_CHECKING:
    from consumables.desk.opening import Desk

T = TypeVar("T")
Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """The wall clock, aware."""
    return datetime.now(UTC)


class DeskLine:
    """Opens the shop with the first job that needs it; jobs run in threads of their own.

    The threads are daemons: a long sum never holds up the way out. Jobs that write are waited
    for by `hang_up`, so that nothing is cut off half way.
    """

    def __init__(self, shop: str | None, who: str, clock: Clock | None) -> None:
        self.who = who
        self.stranger = ""  # why the initials given at the start were not taken
        self.running = 0  # jobs asked for and not yet answered
        self._shop = shop
        self._clock = clock or utc_now
        self._zone: tzinfo = UTC
        self._desk: Desk | None = None
        self._opening = threading.Lock()
        self._writing = threading.Lock()
        self._open = ExitStack()

    def now(self) -> datetime:
        """The time in the shop's own zone (UTC until the shop is open)."""
        return self._clock().astimezone(self._zone)

    @property
    def is_open(self) -> bool:
        """Has the shop been opened yet?"""
        return self._desk is not None

    async def look(self, job: Callable[[Desk], T]) -> T:
        """Run a job that only reads; its problems are raised here."""
        return await self._ask(lambda: job(self._opened()))

    async def write(self, job: Callable[[Desk], T]) -> T:
        """Run a job that writes, one at a time; its problems are raised here."""

        def alone() -> T:
            with self._writing:
                return job(self._opened())

        return await self._ask(alone)

    def sign(self, who: str) -> None:
        """Somebody else sits down at the desk."""
        self.who = who
        if self._desk is not None:
            self._desk.who = who

    def hang_up(self) -> None:
        """Wait for a job that is being written, then let go of the shop."""
        with self._writing, self._opening:
            self._open.close()
            self._desk = None

    async def _ask(self, job: Callable[[], T]) -> T:
        answer: Future[T] = Future()

        def run() -> None:
            if not answer.set_running_or_notify_cancel():
                return
            try:
                answer.set_result(job())
            except Exception as problem:
                answer.set_exception(problem)

        self.running += 1
        try:
            threading.Thread(target=run, daemon=True).start()
            return await asyncio.wrap_future(answer)
        finally:
            self.running -= 1

    def _opened(self) -> Desk:
        with self._opening:
            if self._desk is None:
                self._desk = self._open_shop()
            return self._desk

    def _open_shop(self) -> Desk:
        from consumables.desk.opening import open_desk

        with ExitStack() as opening:
            desk = opening.enter_context(open_desk(self._shop, self.who, self._clock))
            self._check_initials(desk)
            self._zone = desk.zone
            self._open = opening.pop_all()
        return desk

    def _check_initials(self, desk: Desk) -> None:
        # Initials nobody knows sign nothing; the shop opens all the same, so that she can choose.
        from consumables.desk.opening import refuse_unknown_initials

        try:
            refuse_unknown_initials(desk)
        except Refused as problem:
            self.who = desk.who = ""
            self.stranger = str(problem)
