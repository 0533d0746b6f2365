"""The shop's memory: nothing lost, nothing rewritten, nothing drawn twice."""

import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from consumables.desk.checking import check
from consumables.desk.closing import card_for, close_visit
from consumables.desk.opening import Desk
from consumables.desk.shelving import discard, lots_of
from consumables.errors import ShopUnavailable
from consumables.store.shop_store import ShopStore


def raw(desk: Desk) -> sqlite3.Connection:
    return sqlite3.connect(desk.store.location)


@pytest.mark.parametrize(
    "forgery",
    [
        "UPDATE entry SET who = 'XX'",
        "DELETE FROM entry",
        "INSERT OR REPLACE INTO entry SELECT * FROM entry LIMIT 1",
        "REPLACE INTO entry SELECT * FROM entry LIMIT 1",
    ],
)
def test_the_ledger_cannot_be_rewritten_from_any_connection(desk: Desk, forgery: str) -> None:
    with raw(desk) as connection, pytest.raises(sqlite3.IntegrityError, match="never"):
        connection.execute(forgery)


def test_the_database_itself_refuses_less_than_nothing(desk: Desk) -> None:
    with raw(desk) as connection, pytest.raises(sqlite3.IntegrityError, match="never_below"):
        connection.execute("UPDATE lot SET on_hand = -1")


def test_a_doctored_balance_is_found_by_the_check(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    assert check(desk) == []
    with raw(desk) as connection:
        connection.execute("UPDATE lot SET on_hand = 49 WHERE lot_id = 'board-new'")
    assert [line.split(":")[0] for line in check(desk)] == ["lot board-new"]


def test_a_refused_job_leaves_nothing_behind(desk: Desk) -> None:
    before = raw(desk).execute("SELECT count(*) FROM entry").fetchone()
    with pytest.raises(Exception, match="holds 3"):
        discard(desk, "board", "board-old", 4, "dropped")
    assert raw(desk).execute("SELECT count(*) FROM entry").fetchone() == before


_TAKE_ONE = """
import sys
from consumables.desk.opening import open_desk
from consumables.desk.shelving import discard
from consumables.errors import DeskProblem
with open_desk(sys.argv[1]) as desk:
    for _ in range(30):
        try:
            discard(desk, "strip", "strip-1", 1, "race")
            print("took")
        except DeskProblem:
            pass
"""


def test_two_desks_never_draw_the_last_unit_twice(desk: Desk) -> None:
    command = [sys.executable, "-c", _TAKE_ONE, desk.store.location]
    desks = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    took = sum(process.communicate()[0].count("took") for process in desks)
    assert took == 5
    assert lots_of(desk, "strip") == []


def test_a_file_that_is_no_shop_is_said_to_be_none(tmp_path: Path) -> None:
    path = tmp_path / "letter.db"
    path.write_text("Dear inspector, " * 100)
    with pytest.raises(ShopUnavailable, match="cannot be opened as a shop"):
        ShopStore(str(path))


def test_a_backup_is_a_whole_shop(desk: Desk, tmp_path: Path) -> None:
    desk.store.backup(tmp_path / "copy.db")
    copy = Desk(ShopStore(str(tmp_path / "copy.db")))
    assert check(copy) == []
    assert copy.items.keys() == desk.items.keys()


def test_every_event_survives_its_writing(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure", "pedicure")))
    with desk.store.reading() as session:
        entries = session.read()
    assert all(entry.at.tzinfo is not None for entry in entries)
    assert {type(entry.event).__name__ for entry in entries} >= {"UseRecorded", "SurfaceStripped"}


def test_a_file_from_an_earlier_version_gets_what_it_lacks_and_keeps_the_rest(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    path = desk.store.location
    desk.store.close()
    with sqlite3.connect(path) as connection:
        for table, column in (("lot", "doubted"), ("piece", "keep_until"), ("shop", "revision")):
            connection.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
    older = Desk(ShopStore(path), "AB", desk.clock)
    assert check(older) == []
    with raw(older) as connection, pytest.raises(sqlite3.IntegrityError, match="never"):
        connection.execute("UPDATE entry SET who = 'XX'")
    discard(older, "board", "board-old", 1, "dropped")
