"""A delivery taken in by its bar code: what the label tells is not asked for."""

import json
from datetime import date

import pytest
from bar_coded_shop import ACETONE, BOARD, GS, give_bar_codes
from small_shop import Clock

from consumables.desk.opening import open_desk


@pytest.fixture
def coded(shop: str, clock: Clock) -> None:
    with open_desk(shop, "AB", clock) as desk:
        give_bar_codes(desk)


@pytest.fixture
def placed(coded: None, run) -> str:
    """The id of one order of two packs of boards."""
    run("count", "board", "0")
    run("order", "place", "--packs", "board-50=2")
    return str(json.loads(run("order", "open", "--json").stdout)["orders"][0]["order_id"])


def lots(answer, item: str) -> list[dict[str, object]]:
    found: list[dict[str, object]] = answer("shelf", item)["lots"]
    return found


def test_a_counted_label_needs_nothing_else(run, answer, placed: str) -> None:
    done = run("order", "receive", "--scan", f"(02){BOARD}(37)2(17)270630(10)K4")
    assert done.exit_code == 0, done.output
    assert "Received 100 board." in done.stdout
    assert {lot["use_by"] for lot in lots(answer, "board")} >= {"2027-06-30"}
    assert answer("order", "open")["orders"] == []


def test_where_the_label_does_not_count_only_that_is_asked(run, answer, placed: str) -> None:
    asked = run("order", "receive", "--scan", BOARD)
    assert asked.exit_code == 2
    assert "add UNITS" in asked.stderr
    assert run("order", "receive", "48", "--scan", BOARD).exit_code == 0
    (order,) = answer("order", "open")["orders"]
    assert order["lines"][0]["outstanding"] == 52
    assert run("order", "receive", placed, "52", "--scan", BOARD).exit_code == 0


def test_what_is_typed_stands_above_what_is_scanned(run, answer, placed: str) -> None:
    label = f"(01){BOARD}(17)270630"
    run("order", "receive", "50", "--scan", label, "--use-by", "2027-01-31")
    assert "2027-01-31" in {lot["use_by"] for lot in lots(answer, "board")}


def test_a_scan_may_come_through_a_pipe_with_its_separators(run, answer, placed: str) -> None:
    done = run("order", "receive", "--scan", "-", stdin=f"]C102{BOARD}371{GS}10K4\n")
    assert done.exit_code == 0, done.output
    assert "Received 50 board." in done.stdout


def test_a_doubtful_lot_is_left_out_and_said(run, placed: str) -> None:
    done = run("order", "receive", "50", "--scan", f"01{BOARD}10A21B")
    assert done.exit_code == 0
    assert "Read the lot off the pack" in done.stderr


def test_what_was_bought_over_the_counter_is_scanned_too(run, answer, coded: None) -> None:
    done = run("order", "bought", "250", "--scan", f"(01){ACETONE}(17)270630", "--cost", "0.0084")
    assert done.exit_code == 0, done.output
    assert date(2027, 6, 30).isoformat() in {lot["use_by"] for lot in lots(answer, "acetone")}
    other = run("order", "bought", "board", "250", "--scan", ACETONE)
    assert other.exit_code == 1
    assert "of acetone, not of board" in other.stderr


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("receive", "--scan", "5012345678900"), 1, "offers.csv"),
        (("receive", "--scan", BOARD[:-1] + "4"), 1, "should be 3"),
        (("receive",), 2, "--scan"),
        (("bought", "board"), 2, "--scan"),
        (("receive", "order-1", "board-50", "5", "--scan", BOARD), 2, "only one name"),
        (("bought", "--scan", f"(01){BOARD}(10)(17)270630"), 1, "is empty"),
    ],
)
def test_a_scan_that_does_not_help_says_why(run, coded: None, words, code, says) -> None:
    done = run("order", *words)
    assert done.exit_code == code
    assert says in done.stderr
