"""The command line on the small shop: one visit has just ended, and the clock stands still."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from small_shop import Clock, fill, put_in_book

from consumables.cli import main
from consumables.desk.opening import open_desk

Run = Callable[..., Result]


@pytest.fixture
def shop(tmp_path: Path, clock: Clock) -> str:
    """A shop file with its shelf filled and the visit `v1` due."""
    path = str(tmp_path / "shop.db")
    with open_desk(path, "AB", clock, must_exist=False) as desk:
        fill(desk)
        put_in_book(desk, "v1", ("manicure",))
    return path


@pytest.fixture
def run(shop: str, clock: Clock, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Run]:
    """Runs a command in that shop as AB; no traceback may ever be seen, nor HOME be touched."""
    monkeypatch.setenv("CONSUMABLES_SHOP", shop)
    monkeypatch.setenv("CONSUMABLES_WHO", "AB")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))

    def command(*words: str, stdin: str | None = None) -> Result:
        done = CliRunner().invoke(main, words, input=stdin, obj=clock)
        assert "Traceback" not in done.output
        return done

    yield command
    assert not (tmp_path / "home").exists()


@pytest.fixture
def answer(run: Run) -> Callable[..., dict[str, Any]]:
    """The JSON answer of a command that must succeed; words beside it stay off stdout."""

    def asked(*words: str) -> dict[str, Any]:
        done = run(*words, "--json")
        assert done.exit_code == 0, done.output
        found: dict[str, Any] = json.loads(done.stdout)
        assert found["schema"] == 1
        return found

    return asked
