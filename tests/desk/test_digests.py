"""The seal of the ledger: it says whether anything was changed since it was printed, and where."""

import hashlib
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from consumables.desk.checking import check
from consumables.desk.closing import card_for, close_visit
from consumables.desk.digests import all_digests, changed_since, digest, digest_sheet, kept
from consumables.desk.opening import Desk, open_desk
from consumables.errors import BadFile, NotFound, Refused
from consumables.store.digest import Digest


@pytest.fixture
def closed(desk: Desk, visit: Callable[..., str]) -> Desk:
    """The test shop after one manicure."""
    close_visit(desk, card_for(desk, visit("manicure")))
    return desk


def doctored(desk: Desk, into: Path, statement: str) -> Path:
    """A copy of the shop with its guards taken off and one thing changed by hand."""
    copy = into / "doctored.db"
    desk.store.backup(copy)
    with sqlite3.connect(copy) as connection:
        for (name,) in connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(statement)
    return copy


def changed(copy: Path, seals: list[Digest]) -> list[str]:
    with open_desk(str(copy)) as desk:
        return changed_since(desk, seals)


def test_the_seal_is_what_anybody_works_out_from_the_bare_file(closed: Desk) -> None:
    """SHA-256 (FIPS 180-4) by the recipe in docs/record.md, without a line of the tool."""
    columns = [
        "entry_id",
        "at",
        "who",
        "job_key",
        "kind",
        "item_id",
        "lot_id",
        "piece_id",
        "visit_id",
        "service_id",
        "order_id",
        "corrects",
        "quantity",
        "body",
    ]
    sealed = hashlib.sha256(b"consumables ledger digest 1").digest()
    with sqlite3.connect(closed.store.location) as connection:
        for row in connection.execute(f"SELECT {', '.join(columns)} FROM entry ORDER BY entry_id"):
            cells = [None if cell is None else str(cell).encode() for cell in row]
            told = b"".join(b"-;" if c is None else b"%d:%b;" % (len(c), c) for c in cells)
            sealed = hashlib.sha256(sealed + told).digest()
    assert digest(closed).digest == sealed.hex()


def test_an_unchanged_ledger_has_the_same_seal_in_a_copy_and_after_more_was_written(
    closed: Desk, visit: Callable[..., str], tmp_path: Path
) -> None:
    before = digest(closed)
    closed.store.backup(tmp_path / "copy.db")
    close_visit(closed, card_for(closed, visit("pedicure", visit_id="v2")))
    assert digest(closed).digest != before.digest
    assert digest(closed, before.entry_id) == before
    assert changed(tmp_path / "copy.db", [before]) == []


@pytest.mark.parametrize("number", [1, 7, 20])
@pytest.mark.parametrize(
    "change",
    [
        "body = replace(body, substr(body, 15, 1), 'q')",
        "who = 'CD'",
        "at = replace(at, '2026', '2025')",
        "item_id = NULL",
        "body = CAST(x'ff' AS TEXT)",
    ],
)
def test_one_byte_changed_behind_the_guards_is_found_and_named(
    closed: Desk, tmp_path: Path, change: str, number: int
) -> None:
    seals = all_digests(closed)
    copy = doctored(closed, tmp_path, f"UPDATE entry SET {change} WHERE entry_id = {number}")
    assert changed(copy, seals) == [f"Entry {number} is not what it was when its seal was kept."]
    (told,) = changed(copy, [seals[-1]])  # the one line of a printed record
    assert f"an entry from 1 to {seals[-1].entry_id} is not what it was" in told


def test_entries_cut_off_the_end_are_missed(closed: Desk, tmp_path: Path) -> None:
    last = digest(closed)
    copy = doctored(closed, tmp_path, f"DELETE FROM entry WHERE entry_id = {last.entry_id}")
    assert changed(copy, [last]) == [
        f"Entry {last.entry_id} was there when the seal was kept and is gone now."
    ]


def test_an_entry_slipped_in_between_is_found(closed: Desk, tmp_path: Path) -> None:
    seals = all_digests(closed)
    move = "UPDATE entry SET entry_id = entry_id + 100 WHERE entry_id = 3"
    assert changed(doctored(closed, tmp_path, move), seals) == [
        "Entry 3 was there when the seal was kept and is gone now."
    ]


def test_several_printed_seals_narrow_it_down(closed: Desk, tmp_path: Path) -> None:
    seals = all_digests(closed)
    copy = doctored(closed, tmp_path, "UPDATE entry SET who = 'XX' WHERE entry_id = 12")
    (told,) = changed(copy, [seals[9], seals[14], seals[-1]])
    assert "from 11 to 15" in told


def test_a_ledger_that_cannot_be_read_any_more_is_a_sentence(closed: Desk, tmp_path: Path) -> None:
    copy = doctored(closed, tmp_path, "UPDATE entry SET body = '{' WHERE entry_id = 4")
    with open_desk(str(copy)) as desk:
        (told,) = check(desk)
    assert "cannot be read any more" in told


def test_a_kept_sheet_is_read_back_as_it_was_written(closed: Desk, tmp_path: Path) -> None:
    sheet = tmp_path / "seals.csv"
    sheet.write_text(digest_sheet(all_digests(closed)), encoding="utf-8")
    assert kept(str(sheet)) == all_digests(closed)
    shutil.copy(sheet, tmp_path / "bad.csv")
    with (tmp_path / "bad.csv").open("a") as more:
        more.write("12,not a seal\r\n")
    with pytest.raises(BadFile, match="column 'digest'"):
        kept(str(tmp_path / "bad.csv"))


def test_a_seal_is_typed_off_the_paper_with_its_spaces() -> None:
    assert kept("118: C42C 4868 a2bb 4e22") == [Digest(118, "c42c4868a2bb4e22")]
    with pytest.raises(Refused, match="12 digits"):
        kept("118:c42c4868a2bb")


def test_an_entry_that_does_not_exist_has_no_seal(closed: Desk) -> None:
    with pytest.raises(NotFound, match="No entry 9999"):
        digest(closed, 9999)
