"""First paint of the desk beside an empty Textual app, both measured in the same run.

Each start is a process of its own on a pseudo-terminal; the clock runs from the start of the
process to the first screenful. Printed, never asserted. The wish is a ratio of 2.5 at most.
"""

import os
import pty
import select
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

RUNS = 7
EMPTY = "from textual.app import App; App().run()"
OURS = "import sys; from consumables.screens.app import run_screens; run_screens({shop!r}, '')"


@pytest.mark.bench
def test_the_desk_paints_within_a_few_empty_apps(tmp_path: Path) -> None:
    from small_shop import Clock, fill

    from consumables.desk.opening import open_desk

    shop = str(tmp_path / "shop.db")
    with open_desk(shop, clock=Clock(), must_exist=False) as desk:
        fill(desk)
    ours = OURS.format(shop=shop)
    floor = _median(EMPTY, b"\x1b[48;")
    print(f"\nempty app, first paint {floor * 1e3:.0f} ms = 1")
    print(f"the desk, first paint    {_median(ours, b'Wash-up') / floor:.2f}")
    print(f"the desk, visits listed  {_median(ours, b'Nobody is booked') / floor:.2f}")


def _median(code: str, until: bytes) -> float:
    return statistics.median(_seconds(code, until) for _ in range(RUNS))


def _seconds(code: str, until: bytes) -> float:
    ours, theirs = pty.openpty()
    begun = time.perf_counter()
    surroundings = os.environ | {"TERM": "xterm-256color", "COLUMNS": "80", "LINES": "24"}
    app = subprocess.Popen(
        [sys.executable, "-c", code], stdin=theirs, stdout=theirs, stderr=theirs, env=surroundings
    )
    try:
        _read(ours, until)
        return time.perf_counter() - begun
    finally:
        app.kill()
        app.wait()
        os.close(ours)
        os.close(theirs)


def _read(terminal: int, until: bytes) -> None:
    seen = b""
    while until not in seen:
        ready, _, _ = select.select([terminal], [], [], 20)
        if not ready:
            raise AssertionError(f"{until!r} was never painted; seen: {seen[-200:]!r}")
        seen += os.read(terminal, 65536)
