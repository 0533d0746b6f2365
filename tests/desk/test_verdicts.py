"""Which book is in force, and how a shop may be stricter than its book."""

import pytest

from consumables.desk.opening import Desk
from consumables.desk.verdicts import books, item_rows, tighten, use_book, verdict_of
from consumables.errors import DeskProblem, Refused


def test_another_book_changes_what_the_same_board_is(desk: Desk) -> None:
    assert desk.verdicts["board"].category == "single-use"
    receipt = use_book(desk, "us-indiana")
    assert "partial" in receipt.cautions[0]
    assert {row.item_id: row.category for row in item_rows(desk)}["nipper"] == "disinfectable"


def test_an_unknown_book_leaves_the_one_in_force(desk: Desk) -> None:
    with pytest.raises(DeskProblem, match="atlantis"):
        use_book(desk, "atlantis")
    assert desk.book.name == "strict-majority"


def test_a_shop_may_be_stricter_and_must_say_why(desk: Desk) -> None:
    with pytest.raises(Refused, match="why"):
        tighten(desk, "nipper", " ")
    tighten(desk, "nipper", "the steriliser is broken")
    verdict = verdict_of(desk, "nipper")
    assert verdict.category == "single-use"
    assert "steriliser is broken" in verdict.reasons[-1].sentence


def test_every_shipped_book_says_whether_it_is_partial(desk: Desk) -> None:
    assert all(book.partial for book in books() if book.name != "strict-majority")


def test_a_verdict_shows_the_books_that_disagree(desk: Desk) -> None:
    assert verdict_of(desk, "board").disagree
