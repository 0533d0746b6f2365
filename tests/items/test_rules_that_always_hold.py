"""Promises that hold for every thing anybody can describe, under every shipped book."""

from dataclasses import replace

from any_item import LISTED, PORES, UNLISTED, books, items
from hypothesis import given
from hypothesis import strategies as st

from consumables.items.classify import classify, classify_contaminated
from consumables.items.item import Item, Part
from consumables.items.made_of import SeenItem
from consumables.items.matching import STRICTNESS
from consumables.items.rulebook_reader import ROUTES_OF, shipped, shipped_names
from consumables.words import Category, Route

STRICT = shipped("strict-majority")
ALL = tuple(map(shipped, shipped_names()))


def strictness(item: Item) -> int:
    return STRICTNESS.index(classify(item, STRICT).category)


@given(items, books)
def test_the_answer_is_always_one_of_three_with_a_way_that_fits_it(item, book) -> None:
    verdict = classify(item, book)
    assert verdict.category in Category
    assert verdict.route in ROUTES_OF[verdict.category]
    assert (verdict.core_route is not None) is (verdict.route is Route.STRIP)
    assert verdict.reasons[0].cites


@given(items, books)
def test_a_do_not_reuse_mark_means_single_use_under_every_book(item, book) -> None:
    verdict = classify(replace(item, do_not_reuse=True), book)
    assert verdict.category is Category.SINGLE_USE


@given(items, books)
def test_a_blade_always_goes_into_the_sharps_box(item, book) -> None:
    assert classify(replace(item, sharp=True), book).route is Route.SHARPS


@given(items, books)
def test_what_is_poured_never_goes_back(item, book) -> None:
    assert classify(replace(item, dispensed=True), book).category is Category.SINGLE_USE


@given(items, st.sampled_from(LISTED + PORES + UNLISTED))
def test_one_more_porous_part_that_stays_on_never_loosens_a_verdict(item, material) -> None:
    padded = replace(item, parts=(*item.parts, Part("pad", material, porous=True)))
    assert strictness(padded) <= strictness(item)


@given(items, st.sampled_from(UNLISTED), books)
def test_an_unknown_material_is_never_kept_for_the_next_client(item, material, book) -> None:
    unknown = replace(item, parts=(*item.parts, Part("part", material)))
    assert classify(unknown, book).category is Category.SINGLE_USE


@given(items, books)
def test_a_thing_of_which_nothing_is_said_is_single_use(item, book) -> None:
    assert classify(replace(item, parts=()), book).category is Category.SINGLE_USE


@given(items, books)
def test_contamination_never_leaves_a_porous_thing_in_use(item, book) -> None:
    after = classify_contaminated(classify(item, book), item)
    seen = SeenItem(item)
    assert after.discard_now != after.blood_level_cycle
    if after.surface_discard:
        assert all(part.porous is False for part in seen.staying)
    elif after.blood_level_cycle:
        assert seen.porous is False


@given(items, books)
def test_a_question_or_a_ban_or_a_quarrel_of_sources_is_answered_strictly(item, book) -> None:
    verdict = classify(item, book)
    if verdict.questions or verdict.banned_here or verdict.conflict:
        assert verdict.category is Category.SINGLE_USE


@given(items, books)
def test_the_same_thing_gets_the_same_verdict_twice(item, book) -> None:
    assert classify(item, book, ALL) == classify(item, book, ALL)


@given(items, books)
def test_other_books_are_shown_but_never_change_the_verdict(item, book) -> None:
    alone, beside = classify(item, book), classify(item, book, ALL)
    assert (alone.category, alone.route) == (beside.category, beside.route)
    assert alone.banned_here == beside.banned_here
    said = {opinion.book for opinion in beside.disagree}
    assert book.name not in said
    assert all(
        (opinion.category, opinion.route) != (beside.category, beside.route)
        for opinion in beside.disagree
    )


@given(items, books)
def test_parts_may_be_named_in_any_sequence(item, book) -> None:
    turned = replace(item, parts=tuple(reversed(item.parts)))
    one, other = classify(item, book), classify(turned, book)
    assert (one.category, one.route, one.core_route) == (
        other.category,
        other.route,
        other.core_route,
    )


@given(items, books)
def test_a_washable_stamp_changes_nothing(item, book) -> None:
    stamped = replace(item, label_says_washable=True)
    plain = replace(item, label_says_washable=False)
    assert classify(stamped, book) == classify(plain, book)


@given(items)
def test_a_porous_surface_on_a_porous_core_is_never_a_replaceable_surface(item) -> None:
    core = Part("core", "cardboard")
    surface = Part("surface", "abrasive paper", removable=True)
    padded = replace(item, parts=(core, surface))
    assert classify(padded, STRICT).category is Category.SINGLE_USE
