"""The shelf, the verdicts and the record by command."""

import csv
import io
from pathlib import Path

from small_shop import Clock

from consumables.desk.opening import open_desk


def test_the_shelf_shows_every_item_with_a_state_in_words(run) -> None:
    done = run("shelf")
    assert done.exit_code == 0
    assert "past use-by" in done.stdout
    assert "nipper" in done.stdout


def test_a_list_in_a_pipe_has_one_row_a_line_and_no_colour(run) -> None:
    lines = run("shelf").stdout.splitlines()
    assert len(lines) == 1 + 9
    assert not any("\x1b" in line or "│" in line for line in lines)


def test_a_count_is_written_and_a_difference_said_aloud(run, answer) -> None:
    assert "more than the ledger says" in run("count", "strip", "9").stderr
    assert sum(lot["on_hand"] for lot in answer("shelf", "strip")["lots"]) == 5  # held back


def test_what_is_past_its_day_is_discarded_in_one_go(run) -> None:
    assert "board-stale" in run("discard", "--past-use-by").stdout
    assert run("discard", "--past-use-by").exit_code == 1


def test_some_of_a_lot_is_discarded_with_a_reason(run) -> None:
    assert run("discard", "strip", "strip-1", "2", "--because", "got wet").exit_code == 0
    assert run("discard", "strip", "no-lot", "2", "--because", "got wet").exit_code == 1
    assert run("discard", "strip").exit_code == 2
    assert run("discard", "strip", "strip-1", "1", "--past-use-by").exit_code == 2


def test_loose_use_leaves_the_shelf(run, answer) -> None:
    assert run("use", "acetone", "30", "--because", "spilt").exit_code == 0
    assert answer("shelf", "acetone")["lots"][0]["on_hand"] == 470


def test_every_item_has_a_verdict_and_one_item_its_reasons(run, answer) -> None:
    assert {row["category"] for row in answer("items")["items"]} == {
        "single-use",
        "disinfectable",
        "replaceable-surface",
    }
    assert "because" in run("items", "board").stdout
    assert answer("items", "nipper")["verdict"]["category"] == "disinfectable"


def test_an_unknown_item_is_named_with_the_way_to_the_known_ones(run) -> None:
    done = run("items", "anvil")
    assert done.exit_code == 1
    assert "No item anvil" in done.stderr


def test_a_verdict_is_tightened_with_a_reason(run, answer) -> None:
    assert run("tighten", "nipper", "--because", "they rust").exit_code == 0
    assert answer("items", "nipper")["verdict"]["category"] == "single-use"


def test_the_books_are_listed_shown_and_put_in_force(run, answer) -> None:
    names = [book["name"] for book in answer("book")["books"]]
    assert names == [book["name"] for book in answer("book", "list")["books"]]
    other = next(name for name in names if name != "strict-majority")
    assert answer("book", "show", other)["book"]["name"] == other
    assert run("book", "show", other).exit_code == 0
    assert run("book", "use", other).exit_code == 0
    assert answer("items", "board")["verdict"]["book"] == other
    assert run("book", "show", "no-such-book").exit_code == 1


def test_a_book_that_cannot_be_trusted_is_a_bad_file(run, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("name = 'mine'\n")
    assert run("book", "show", str(tmp_path / "mine.toml")).exit_code == 3


def test_the_record_is_printed_and_written_as_a_sheet(run, answer, tmp_path: Path) -> None:
    run("close", "v1")
    assert "used on one client" in run("record").stdout
    rows = list(csv.DictReader(io.StringIO(run("record", "--csv", "-").stdout)))
    assert len(rows) == len(answer("record")["discards"]) == 2
    assert all(row["who"] == "AB" for row in rows)
    assert run("record", "--csv", str(tmp_path / "r.csv")).exit_code == 0
    assert (tmp_path / "r.csv").read_bytes().startswith(b"\xef\xbb\xbfentry_id")
    assert run("record", "--csv", str(tmp_path / "no" / "r.csv")).exit_code == 1


def test_the_wash_up_has_its_own_record(run) -> None:
    run("wash", "mix", "concentrate", "--total", "1000", "--water", "32")
    assert "jar mixed" in run("record", "--wash").stdout


def test_a_sound_shop_is_said_to_be_sound(run, answer) -> None:
    assert run("check").exit_code == 0
    assert answer("check")["sound"] is True


def test_a_copy_is_a_whole_shop_and_is_never_written_over(run, tmp_path: Path) -> None:
    copy = str(tmp_path / "copy.db")
    done = run("backup", copy)
    assert done.exit_code == 0
    assert f"consumables restore {copy} --because" in done.stderr
    with open_desk(copy, clock=Clock()) as desk:
        assert desk.settings.name == "A test shop"
    assert run("backup", copy).exit_code == 1
