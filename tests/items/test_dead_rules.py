"""A book with a rule that can never decide, or with two that fight, is refused by file and rule."""

import pytest
from any_item import items
from hypothesis import given
from hypothesis import strategies as st

from consumables.errors import BadRuleBook
from consumables.items.book_faults import doubts, faults
from consumables.items.classify import classify
from consumables.items.rulebook import Citation, Rule, RuleBook, When
from consumables.items.rulebook_reader import (
    ROUTES_OF,
    read_rule_book,
    shipped,
    shipped_about,
    shipped_names,
)
from consumables.items.shelf_data import shipped_text
from consumables.items.trade_words import shipped_words
from consumables.words import Category, Route

HEAD = """
name = "ours"
title = "Our own"
place = "Here"
edition = "first"
checked_on = 2026-11-25
partial = true
note = "Ours."
[sources]
board = { section = "9", edition = "2020" }
"""
SINGLE = ("single-use", "bin")
KEPT = ("disinfectable", "immerse")
WIPED = ("disinfectable", "wipe")


def rule(rule_id: str, when: str, answer: tuple[str, str] = SINGLE, more: str = "") -> str:
    category, route = answer
    return f"""
[[rules]]
rule_id = "{rule_id}"
when = {{ {when} }}
category = "{category}"
route = "{route}"
because = "So it says."
cites = ["board"]
{more}
"""


def refusal(*rules: str) -> str:
    with pytest.raises(BadRuleBook) as refused:
        read_rule_book(HEAD + "".join(rules), "ours.toml")
    return str(refused.value)


@pytest.mark.parametrize(
    ("when", "answer"),
    [
        ('wholly = ["metal"], any_of = ["foam"]', SINGLE),
        ('wholly = ["metal"], not_wholly = ["metal", "glass"]', SINGLE),
        ('wholly = ["wood", "foam"], porous = false', SINGLE),
        ('any_of = ["wood"], porous = false', SINGLE),
        ('kinds = ["tray"], immersible = false', KEPT),
    ],
)
def test_conditions_that_can_never_hold_together_are_refused(
    when: str, answer: tuple[str, str]
) -> None:
    told = refusal(rule("odd", when, answer))
    assert told.startswith("ours.toml, rule 'odd'")
    assert "can never" in told


@pytest.mark.parametrize(
    ("rules", "dead"),
    [
        # a ban goes before everything that it speaks of
        (
            [
                rule("kept", 'kinds = ["rasp"], wholly = ["metal"]', KEPT),
                rule("ban", 'kinds = ["rasp"]', SINGLE, "banned = true"),
            ],
            "kept",
        ),
        # the same again, and a narrower list of the same nouns
        ([rule("one", 'kinds = ["buffer"]'), rule("two", 'kinds = ["buffer block"]')], "two"),
        (
            [rule("narrow", 'kinds = ["tray"]'), rule("wide", 'kinds = ["tray", "dish"]')],
            None,  # the narrow one stands first and decides
        ),
        (
            [rule("wide", 'kinds = ["tray", "dish"]'), rule("narrow", 'kinds = ["tray"]')],
            "narrow",
        ),
        # each noun of it is taken by another rule
        (
            [
                rule("a", 'kinds = ["tray"]'),
                rule("b", 'kinds = ["dish"]'),
                rule("both", 'kinds = ["tray", "dish"]'),
            ],
            "both",
        ),
        # fewer families of the same sort: always the other one first
        (
            [
                rule("wide", 'wholly = ["metal", "glass"]'),
                rule("narrow", 'wholly = ["metal"]', WIPED),
            ],
            "narrow",
        ),
        # a lenient rule that cannot always be followed hides nothing
        (
            [
                rule("soak", 'kinds = ["tray"], wholly = ["metal", "glass"]', KEPT),
                rule("wipe", 'kinds = ["tray"], wholly = ["metal"]', WIPED),
            ],
            None,
        ),
    ],
)
def test_a_rule_that_is_never_reached_is_refused(rules: list[str], dead: str | None) -> None:
    if dead is None:
        assert read_rule_book(HEAD + "".join(rules), "ours.toml").rules
        return
    told = refusal(*rules)
    assert told.startswith(f"ours.toml, rule '{dead}'")
    assert "never be reached" in told


def test_two_rules_that_say_two_things_of_one_noun_are_refused() -> None:
    told = refusal(
        rule("bin-it", 'kinds = ["tray", "dish"]'),
        rule("keep-it", 'kinds = ["dish", "finger bowl"]', WIPED),
    )
    assert told.startswith("ours.toml, rule 'keep-it': contradicts rule 'bin-it'")
    assert "'dish'" in told


def test_a_more_special_rule_contradicts_nothing() -> None:
    special = rule("special", 'kinds = ["dish"], wholly = ["metal"]', KEPT)
    assert read_rule_book(HEAD + rule("general", 'kinds = ["dish"]') + special, "ours.toml").rules


@pytest.mark.parametrize("name", shipped_names())
def test_every_shipped_book_is_without_dead_or_fighting_rules(name: str) -> None:
    book = read_rule_book(shipped_text(name), name)
    assert list(faults(book.rules)) == []
    names = {"strict-majority": 2}  # masks and indicator strips rest on common practice
    assert len(list(doubts(book))) == names.get(name, 0)


KINDS = st.sampled_from(["tray", "dish", "buffer", "nail file"])
FAMILIES = st.sampled_from(["metal", "glass", "foam", "wood"])
some_kinds = st.lists(KINDS, max_size=2, unique=True).map(tuple)
some = st.lists(FAMILIES, max_size=2, unique=True).map(tuple)
whens = st.builds(When, kinds=some_kinds, wholly=some, any_of=some, not_wholly=some)
answers = st.sampled_from([(c, r) for c, routes in ROUTES_OF.items() for r in sorted(routes)])
HERE = (Citation("1", "first"),)


@st.composite
def rules_of_a_book(draw: st.DrawFn) -> tuple[Rule, ...]:
    found = []
    for number in range(draw(st.integers(2, 4))):
        category, route = draw(answers)
        found.append(Rule(f"r{number}", draw(whens), category, route, "so", HERE))
    return tuple(found)


@given(rules_of_a_book(), items)
def test_a_rule_called_dead_never_decides_anything(rules: tuple[Rule, ...], item) -> None:
    day = shipped("strict-majority").checked_on
    book = RuleBook("ours", "Ours", "here", "1", day, True, "x", rules=rules)
    dead = {rule_id for rule_id, fault in faults(rules) if "can never" in fault}
    assert classify(item, book).reasons[0].rule_id not in dead


def test_a_second_look_is_asked_for_at_odd_nouns_and_bare_parameters() -> None:
    text = HEAD.replace("[sources]", "[parameters]\ncontact_minutes = 5\n[sources]")
    text += rule("odd", 'kinds = ["whatsit"]')
    told = " ".join(doubts(read_rule_book(text, "ours.toml")))
    assert "'whatsit'" in told
    assert "[parameters]" in told


@pytest.mark.parametrize("name", shipped_names())
def test_what_is_read_about_one_noun_is_all_that_the_book_says_of_it(name: str) -> None:
    whole = shipped(name)
    for kind in [*sorted(set(shipped_words().kinds.values())), "", "whatsit"]:
        speaking = [one for one in whole.rules if not one.when.kinds or kind in one.when.kinds]
        found = shipped_about(name, kind)
        assert set(speaking) <= set(found.rules) <= set(whole.rules)
        assert found.parameters == whole.parameters


def test_routes_of_single_use_things_never_include_a_wash() -> None:
    assert Route.IMMERSE not in ROUTES_OF[Category.SINGLE_USE]
