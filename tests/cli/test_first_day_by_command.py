"""The first day by command: a shop is made whole or not at all, and files come in whole or not."""

import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from consumables.cli import main

SCRIPT = Path(__file__).parents[2] / "demo_shop" / "make_demo_shop.py"
HALF_A_BOOK = "visit,starts_on,services\nx1,2026-03-09T10:00,no-such-service\n"


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo shop's files as they stand today, its past cut down to be quick."""
    folder = tmp_path_factory.mktemp("files")
    moved = [str(SCRIPT), "--into", str(folder), "--today", date.today().isoformat()]
    subprocess.run([sys.executable, *moved], check=True)
    past = folder / "past"
    past.mkdir()
    for sheet in folder.glob("past_*.csv"):
        lines = sheet.read_text(encoding="utf-8").splitlines(keepends=True)
        if sheet.stem == "past_loose_use":
            (past / sheet.name).write_text("".join(lines[:20]), encoding="utf-8")
        sheet.unlink()
    return folder


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., Result]:
    """Runs a command on a shop file that does not exist yet."""

    def command(*words: str, stdin: str | None = None) -> Result:
        where = ["--shop", str(tmp_path / "new.db"), *words]
        done = CliRunner().invoke(main, where, input=stdin)
        assert "Traceback" not in done.output
        return done

    return command


def test_a_shop_is_made_from_a_folder_with_its_book_and_its_past(run, files: Path) -> None:
    book, past = str(files / "appointments.ics"), str(files / "past")
    done = run("begin", str(files), "--appointments", book, "--history", past)
    assert done.exit_code == 0, done.output
    assert "new visits" in done.stdout
    assert run("check").exit_code == 0
    assert run("shelf").stdout.count("\n") > 50


def test_where_a_shop_is_no_second_one_is_made(run, files: Path) -> None:
    run("begin", str(files))
    again = run("begin", str(files))
    assert again.exit_code == 1
    assert "bring-in" in again.stderr


def test_when_making_fails_no_half_made_shop_stays_behind(run, files: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken"
    shutil.copytree(files, broken)
    (broken / "items.csv").write_text("item,name,unit\nx,,each\n")
    assert run("begin", str(broken)).exit_code == 3
    assert list(tmp_path.glob("new.db*")) == []
    assert run("today").exit_code == 4


def test_reading_the_same_book_twice_changes_nothing(run, files: Path) -> None:
    run("begin", str(files))
    book = str(files / "appointments.ics")
    assert ": 0 new visits" not in run("bring-in", "appointments", book).stdout
    assert ": 0 new visits, 0 changed, 0 cancelled" in run("bring-in", "appointments", book).stdout


def test_a_book_comes_through_a_pipe(run, files: Path) -> None:
    run("begin", str(files))
    text = (files / "appointments.ics").read_bytes().decode()
    assert "new visits" in run("bring-in", "appointments", "-", stdin=text).stdout


def test_a_bad_row_refuses_the_whole_file(run, files: Path) -> None:
    run("begin", str(files))
    done = run("bring-in", "appointments", "-", stdin=HALF_A_BOOK)
    assert done.exit_code == 3
    assert "Nothing was brought in" in done.stderr


@pytest.mark.parametrize(
    ("what", "where"),
    [("catalogue", ""), ("appointments", "appointments.ics"), ("history", "past")],
)
def test_a_dry_run_reads_and_writes_nothing(run, files: Path, what: str, where: str) -> None:
    run("begin", str(files))
    before = run("undo", "--list").stdout
    done = run("bring-in", what, str(files / where), "--dry-run")
    assert done.exit_code == 0, done.output
    assert "nothing" in done.stdout
    assert run("undo", "--list").stdout == before


def test_a_past_is_brought_in_once(run, files: Path) -> None:
    run("begin", str(files))
    assert run("bring-in", "history", str(files / "past")).exit_code == 0
    assert run("bring-in", "history", str(files / "past")).exit_code == 1


def test_a_catalogue_is_brought_in_again_after_a_change(run, files: Path) -> None:
    run("begin", str(files))
    assert "nothing new" in run("bring-in", "catalogue", str(files)).stdout


def test_the_demo_without_a_terminal_prints_tonight_and_the_order_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    done = CliRunner().invoke(main, ["demo"])
    assert done.exit_code == 0, done.output
    assert "(invented)" in done.stdout
    assert "close-outs" in done.stdout
    assert "  bin: " in done.stdout
    assert "The week's order list" in done.stdout
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str | None, str, bool]]:
    """What the screens were opened on: shop, initials, and whether its file was there."""
    seen: list[tuple[str | None, str, bool]] = []

    def screens(shop: str | None, who: str) -> None:
        seen.append((shop, who, bool(shop) and Path(str(shop)).exists()))

    monkeypatch.setattr("consumables.cli.starting.has_terminal", lambda: True)
    monkeypatch.setattr("consumables.screens.app.run_screens", screens)
    return seen


def test_in_a_terminal_the_screens_open(run, files: Path, opened, tmp_path: Path) -> None:
    run("begin", str(files))
    assert run("--who", "MR").exit_code == 0
    assert opened == [(str(tmp_path / "new.db"), "MR", True)]


def test_in_a_terminal_the_demo_opens_the_screens_and_clears_up(opened) -> None:
    assert CliRunner().invoke(main, ["demo"]).exit_code == 0
    ((shop, _, was_there),) = opened
    assert was_there
    assert not Path(str(shop)).exists()
