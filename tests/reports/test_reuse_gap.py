"""What each visit must draw anew, and what its card leaves out."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

from hypothesis import given
from hypothesis import strategies as st
from small_shop import CATALOGUE, ITEMS, solid

from consumables.items.catalogue import SetUpLine
from consumables.items.classify import classify
from consumables.items.item import Item, Part
from consumables.items.rulebook_reader import shipped
from consumables.reports.gap_chances import WAYS, ReuseGap, reckon
from consumables.reports.reuse_gap import (
    DRAWN,
    FLAGGED,
    MISSING,
    STOOD_IN,
    CardTold,
    Rule,
    UseTold,
    answers,
    not_counted,
    rule_of,
)

NOON = datetime(2026, 3, 4, 12, tzinfo=UTC)
BOOK = shipped("strict-majority")
GLASS = solid("glass", "glass", False, kind="emery board", immersible=True)
OTHER = solid("other-board", "abrasive on wood", True, kind="emery board")


def rule(set_ups: Sequence[SetUpLine] = CATALOGUE.set_ups, *more: Item) -> Rule:
    items = {item.item_id: item for item in (*ITEMS, GLASS, OTHER, *more)}
    return rule_of(set_ups, items, {name: classify(item, BOOK) for name, item in items.items()})


def card(*uses: UseTold, services: Sequence[str] = ("manicure",), visit: str = "v1") -> CardTold:
    return CardTold(visit, NOON, "AB", tuple(services), uses)


def said(told: CardTold, by: Rule | None = None) -> dict[tuple[str, str], str]:
    return {(a.service_id, a.item_id): a.said for a in answers(told, by or rule())}


def use(item: str, units: int = 1, service: str = "manicure", flagged: bool = False) -> UseTold:
    return UseTold(service, item, units, flagged)


FULL = (use("board"), use("gloves", 2))


def test_single_use_things_of_the_set_up_are_asked_for_and_liquids_and_tools_are_not() -> None:
    assert set(said(card(*FULL))) == {("manicure", "board"), ("manicure", "gloves")}


def test_a_core_asks_for_a_fresh_surface_and_not_for_a_fresh_core() -> None:
    told = said(card(use("core", service="pedicure"), services=["pedicure"]))
    assert told == {("pedicure", "strip"): MISSING, ("pedicure", "gloves"): MISSING}


def test_one_of_each_is_enough_however_many_the_set_up_plans() -> None:
    assert said(card(use("board"), use("gloves", 1)))["manicure", "gloves"] == DRAWN


def test_a_card_without_its_board_is_one_unit_short() -> None:
    assert said(card(use("gloves", 2))) == {
        ("manicure", "board"): MISSING,
        ("manicure", "gloves"): DRAWN,
    }


def test_what_a_visit_uses_once_is_asked_for_once_for_two_services() -> None:
    both = card(use("board"), use("gloves", 2), services=["manicure", "pedicure"])
    told = said(both)
    assert [key for key in told if key[1] == "gloves"] == [("manicure", "gloves")]
    assert told["pedicure", "strip"] == MISSING


def test_two_services_that_each_take_a_board_ask_for_two() -> None:
    set_ups = [SetUpLine("manicure", "board", 1), SetUpLine("pedicure", "board", 1)]
    both = card(use("board"), services=["manicure", "pedicure"])
    assert said(both, rule(set_ups)) == {
        ("manicure", "board"): DRAWN,
        ("pedicure", "board"): MISSING,
    }


def test_two_units_written_under_one_service_answer_for_both() -> None:
    set_ups = [SetUpLine("manicure", "board", 1), SetUpLine("pedicure", "board", 1)]
    both = card(use("board", 2), services=["manicure", "pedicure"])
    assert set(said(both, rule(set_ups)).values()) == {DRAWN}


def test_a_flagged_use_is_told_apart_and_is_not_missing() -> None:
    told = said(card(use("board", flagged=True), use("gloves", 2)))
    assert told["manicure", "board"] == FLAGGED


def test_another_thing_of_the_same_kind_stands_in() -> None:
    assert said(card(use("other-board"), use("gloves", 2)))["manicure", "board"] == STOOD_IN
    assert said(card(use("glass"), use("gloves", 2)))["manicure", "board"] == STOOD_IN


def test_what_the_set_up_plans_anyway_stands_in_for_nothing() -> None:
    set_ups = [*CATALOGUE.set_ups, SetUpLine("manicure", "glass", 1)]
    told = said(card(use("glass"), use("gloves", 2)), rule(set_ups))
    assert told["manicure", "board"] == MISSING


def test_a_thing_of_unknown_kind_stands_in_for_nothing() -> None:
    # Gloves and strips of the small shop: kinds differ, and an empty kind is no kind.
    nameless = replace(OTHER, item_id="nameless", name="nameless", kind="")
    told = said(card(use("nameless"), use("gloves", 2)), rule(CATALOGUE.set_ups, nameless))
    assert told["manicure", "board"] == MISSING


def test_an_item_nobody_is_sure_about_is_asked_for_anew() -> None:
    # `puzzle` is a nail file of unknown make: single-use until its question is answered.
    told = said(card(), rule([SetUpLine("manicure", "puzzle", 1)]))
    assert told == {("manicure", "puzzle"): MISSING}


def test_a_core_whose_surface_is_no_item_of_its_own_is_named_as_not_counted() -> None:
    parts = (
        Part("core", "stainless steel", False),
        Part("surface", "abrasive paper", True, removable=True),
    )
    bare = Item("bare", "bare core", kind="nail file", immersible=True, parts=parts)
    items = {"bare": bare}
    verdicts = {"bare": classify(bare, BOOK)}
    assert not_counted([SetUpLine("manicure", "bare", 1)], items, verdicts) == ("bare",)


# --- what holds for every week -------------------------------------------------------------------


@cache
def weekly_rule() -> Rule:
    return rule()


SERVICES = ("manicure", "lamp", "pedicure")


def full_card(number: int, services: tuple[str, ...], technician: str) -> CardTold:
    by = weekly_rule()
    uses = tuple(
        UseTold(thing.service_id, thing.item_id, by.planned[service, thing.item_id])
        for service in services
        for thing in by.asked.get(service, ())
    )
    at = NOON + timedelta(hours=number)
    return CardTold(f"v{number}", at, technician, services, uses)


full_weeks = st.lists(
    st.tuples(
        st.lists(st.sampled_from(SERVICES), min_size=1, max_size=2, unique=True).map(tuple),
        st.sampled_from(["AB", "CD", "EF"]),
    ),
    max_size=25,
).map(lambda drawn: [full_card(n, services, who) for n, (services, who) in enumerate(drawn)])


def gap(cards: Sequence[CardTold]) -> ReuseGap:
    return reckon(cards, weekly_rule())


@given(full_weeks)
def test_full_cards_leave_no_gap(cards: list[CardTold]) -> None:
    found = gap(cards)
    assert found.missing == ()
    assert found.whole.short == found.whole.missing == 0
    assert {row.state for row in found.rows} <= {"nothing missing"}


@given(full_weeks, st.data())
def test_a_thing_taken_off_one_card_widens_the_gap_by_exactly_one(
    cards: list[CardTold], data: st.DataObject
) -> None:
    places = [
        (at, number)
        for at, one in enumerate(cards)
        for number, told in enumerate(one.uses)
        if told.item_id in ("board", "strip")
    ]
    if not places:
        return
    at, number = data.draw(st.sampled_from(places))
    short = replace(cards[at], uses=cards[at].uses[:number] + cards[at].uses[number + 1 :])
    found = gap([*cards[:at], short, *cards[at + 1 :]])
    assert (found.whole.missing, found.whole.short) == (1, 1)
    for way in WAYS:
        assert sum(row.missing for row in found.by(way)) == 1
    assert found.missing[0].visit_id == cards[at].visit_id


@given(full_weeks, st.data())
def test_a_visit_taken_back_leaves_both_sides(cards: list[CardTold], data: st.DataObject) -> None:
    if not cards:
        return
    gone = data.draw(st.sampled_from(cards))
    before, after = gap(cards), gap([one for one in cards if one is not gone])
    asked = len(answers(gone, weekly_rule()))
    assert before.served - after.served == 1
    assert before.whole.asked - after.whole.asked == asked
    drawn = sum(told.units for told in gone.uses)
    assert before.whole.drawn - after.whole.drawn == drawn
    assert before.whole.missing == after.whole.missing == 0


@given(full_weeks, st.randoms(use_true_random=False), st.permutations(["AB", "CD", "EF"]))
def test_other_initials_change_whose_row_it_is_and_nothing_else(
    cards: list[CardTold], rng, others: list[str]
) -> None:
    short = [replace(one, uses=()) if rng.random() < 0.3 else one for one in cards]
    initials = dict(zip(["AB", "CD", "EF"], others, strict=True))
    renamed = [replace(one, technician=initials[one.technician]) for one in short]
    before, after = gap(short), gap(renamed)
    rows = {replace(row, name=initials[row.name]) for row in before.by("technician")}
    assert rows == set(after.by("technician"))
    for way in ("service", "item"):
        assert before.by(way) == after.by(way)


@given(full_weeks, st.randoms(use_true_random=False))
def test_what_is_asked_is_drawn_flagged_stood_in_or_missing(cards: list[CardTold], rng) -> None:
    mixed = [
        replace(
            one,
            uses=tuple(
                replace(told, flagged=rng.random() < 0.3) for told in one.uses if rng.random() < 0.8
            ),
        )
        for one in cards
    ]
    found = gap(mixed)
    said_of = [answer.said for one in mixed for answer in answers(one, weekly_rule())]
    assert found.whole.asked == len(said_of)
    for word, number in (
        (MISSING, found.whole.missing),
        (FLAGGED, found.whole.flagged),
        (STOOD_IN, found.whole.stood_in),
    ):
        assert said_of.count(word) == number
    for way in WAYS:
        assert sum(row.asked for row in found.by(way)) == found.whole.asked
