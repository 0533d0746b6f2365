"""One client, for certain, from the command line."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from click.testing import Result

Run = Callable[..., Result]
SIGN = ("--route", "spray", "--because", "the board agrees", "--citation", "letter of 2026-02-03")


def on_hand(answer: Callable[..., dict[str, Any]], item: str) -> int:
    rows = {row["item_id"]: row["on_hand"] for row in answer("shelf")["shelf"]}
    return int(rows[item])


def test_an_undone_visit_leaves_its_units_out_unless_it_did_not_use_them(
    run: Run, answer: Callable[..., dict[str, Any]]
) -> None:
    run("close", "v1")
    assert "1 board stay out" in run("undo").output
    assert on_hand(answer, "board") == 52
    run("close", "v1")
    run("undo", "--not-used")
    assert on_hand(answer, "board") == 52


def test_loosening_is_signed_shown_and_taken_back(run: Run) -> None:
    done = run("loosen", "board", *SIGN)
    assert done.exit_code == 0, done.output
    assert "Caution: This is looser than your book" in done.stderr
    assert "signed AB" in run("items", "board").output
    assert run("to-book", "board", "--because", "withdrawn").exit_code == 0
    assert "signed AB" not in run("items", "board").output


def test_loosening_what_nobody_described_is_refused(run: Run) -> None:
    done = run("loosen", "puzzle", *SIGN)
    assert done.exit_code == 1
    assert "answer the open question first" in done.stderr


def test_a_surplus_is_held_back_and_settled_as_new(
    run: Run, answer: Callable[..., dict[str, Any]]
) -> None:
    assert "held back" in run("count", "strip", "9").stderr
    (flag,) = answer("flags")["flags"]
    run("settle", flag["entry_id"], "--because", "a parcel nobody wrote down", "--as-new")
    assert on_hand(answer, "strip") == 9


def test_a_copy_is_put_back_where_no_shop_is(run: Run, tmp_path: Path, shop: str) -> None:
    copy = str(tmp_path / "copy.db")
    run("backup", copy)
    assert "still there" in run("restore", copy, "--because", "to see").stderr
    new = str(tmp_path / "new" / "shop.db")
    done = run("restore", copy, "--because", "the disk failed", "--shop", new)
    assert done.exit_code == 0, done.output
    assert "before use" in done.stdout
