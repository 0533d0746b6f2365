"""What would change a verdict is found by asking again, never by a fixed sentence."""

from dataclasses import replace

import pytest
from any_item import books, items
from hypothesis import given
from hypothesis import strategies as st

from consumables.items.classify import classify
from consumables.items.describe import describe_text
from consumables.items.item import Part
from consumables.items.rulebook_reader import shipped
from consumables.items.what_if import what_would_change
from consumables.words import Category, Route

KEPT, STRIP = Category.DISINFECTABLE, Category.REPLACEABLE_SURFACE


def changes(text: str, book: str = "strict-majority") -> dict[str, tuple[Category, Route]]:
    item, rules = describe_text(text).item, shipped(book)
    found = what_would_change(item, rules, classify(item, rules))
    return {one.condition: (one.category, one.route) for one in found}


def test_a_bare_file_shows_what_each_answer_would_make_of_it() -> None:
    assert changes("nail file 100/180") == {
        "if its grit came off a core of metal or glass": (STRIP, Route.STRIP),
        "if it were wholly metal or glass": (KEPT, Route.IMMERSE),
    }


@pytest.mark.parametrize(
    ("text", "condition", "answer"),
    [
        ("metal file with non-removable abrasive", "if the surface came off the body", STRIP),
        ("metal file 180 grit", "if the grit surface came off the body", STRIP),
        ("glass file, cork handle", "if the handle were metal", KEPT),
        ("glass file, cork handle", "if it were wholly metal or glass", KEPT),
        ("e-file mandrel with paper bands", "if the body were metal", STRIP),
        ("hard plastic tray", "if it may lie in solution", KEPT),
        ("hard plastic tray", "if it may not lie in solution", KEPT),
        ("peel-off grit file, steel core", "if the surface did not come off", Category.SINGLE_USE),
        ("steel nipper", "if it had a wooden handle", Category.SINGLE_USE),
        ("steel pusher, do not re-use", "if it were not made for one use", KEPT),
    ],
)
def test_the_answer_to_each_alteration_is_the_books_own(
    text: str, condition: str, answer: Category
) -> None:
    assert changes(text)[condition][0] is answer


def test_another_book_gives_other_changes() -> None:
    """16 TAC 83.106 sterilises metal and sprays porous files; 820 IAC 3-1-15 immerses metal."""
    board = "nail file, abrasive paper on cardboard"
    whole = "if it were wholly metal or glass"
    assert whole not in changes(board, "us-texas")  # metal is sterilised, glass immersed: two
    assert changes(board, "us-indiana")[whole] == (KEPT, Route.IMMERSE)


@pytest.mark.parametrize("text", ["acetone", "pedicure blade", "cotton pads", "nitrile gloves"])
def test_what_nothing_can_change_has_no_changes(text: str) -> None:
    assert changes(text) == {}


@given(items, books)
def test_a_change_is_always_a_change_and_never_a_question(item, book) -> None:
    verdict = classify(item, book)
    for one in what_would_change(item, book, verdict):
        assert (one.category, one.route) != (verdict.category, verdict.route)
        assert one.condition.startswith("if ")


@given(items, books, st.sampled_from(["sharp", "dispensed"]))
def test_no_alteration_is_offered_for_a_blade_or_for_what_is_poured(item, book, mark) -> None:
    marked = replace(item, **{mark: True})
    assert what_would_change(marked, book, classify(marked, book)) == ()


def test_a_wooden_core_makes_no_peel_off_file() -> None:
    item = describe_text("nail file, abrasive on birch wood").item
    core = replace(item, parts=(Part("core", "birch wood"), Part("surface", "grit", None, True)))
    rules = shipped("strict-majority")
    found = what_would_change(core, rules, classify(core, rules))
    assert ("if the core were metal", STRIP) in {(one.condition, one.category) for one in found}
