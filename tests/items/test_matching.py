"""Every condition of a rule counts, and which rule wins does not depend on where it stands."""

from dataclasses import replace

import pytest

from consumables.items.classify import classify
from consumables.items.item import Item, Part
from consumables.items.rulebook import Citation, Rule, When
from consumables.items.rulebook_reader import shipped
from consumables.items.verdict import Verdict
from consumables.words import Category, Route

STRICT = shipped("strict-majority")
HERE = (Citation("1.2", "first", "here"),)
STEEL = Part("body", "steel")
CORK = Part("handle", "cork")
ODD = Part("body", "zorbium")
PEEL = Part("surface", "abrasive paper", removable=True)
WAND = Item("wand", "wand", "wand", (STEEL,), immersible=True)


def keep(rule_id: str, route: Route = Route.WIPE, **when: object) -> Rule:
    return Rule(rule_id, When(**when), Category.DISINFECTABLE, route, rule_id, HERE)  # type: ignore[arg-type]


def throw(rule_id: str, **when: object) -> Rule:
    return Rule(rule_id, When(**when), Category.SINGLE_USE, Route.BIN, rule_id, HERE)  # type: ignore[arg-type]


def decided_by(item: Item, *rules: Rule) -> str:
    """Rule that decides, the same whichever way round the rules stand; empty: the general order."""
    ways = {verdict_under(item, *rules).reasons[0].rule_id}
    ways |= {verdict_under(item, *reversed(rules)).reasons[0].rule_id}
    (rule_id,) = ways
    return rule_id


def verdict_under(item: Item, *rules: Rule) -> Verdict:
    return classify(item, replace(STRICT, rules=rules))


@pytest.mark.parametrize(
    ("when", "item", "other"),
    [
        ({"kinds": ("wand",)}, WAND, replace(WAND, kind="tray")),
        ({"wholly": ("metal",)}, WAND, replace(WAND, parts=(STEEL, CORK))),
        ({"not_wholly": ("metal",)}, replace(WAND, parts=(STEEL, CORK)), WAND),
        ({"not_wholly": ("metal",)}, replace(WAND, parts=(ODD,)), WAND),
        ({"any_of": ("cork", "wood")}, replace(WAND, parts=(STEEL, CORK)), WAND),
        ({"porous": True}, replace(WAND, parts=(CORK,)), WAND),
        ({"porous": False}, WAND, replace(WAND, parts=(CORK,))),
        ({"porous": False}, WAND, replace(WAND, parts=(STEEL, ODD))),
        ({"immersible": True}, WAND, replace(WAND, immersible=None)),
        ({"immersible": False}, replace(WAND, immersible=False), WAND),
        ({"electric": True}, replace(WAND, electric=True), WAND),
        ({"electric": False}, WAND, replace(WAND, electric=True)),
    ],
)
def test_a_rule_speaks_only_where_its_condition_holds(
    when: dict[str, object], item: Item, other: Item
) -> None:
    rule = throw("rule", **when)
    assert decided_by(item, rule) == "rule"
    assert decided_by(other, rule) == ""


def test_all_conditions_of_a_rule_must_hold_together() -> None:
    rule = throw("rule", kinds=("wand",), porous=True)
    assert decided_by(WAND, rule) == ""


def test_the_nouns_of_a_book_are_understood_as_the_trade_says_them() -> None:
    assert decided_by(replace(WAND, kind="buffing block"), throw("b", kinds=("buffer block",)))


def test_more_conditions_win_over_fewer_even_when_they_are_lenient() -> None:
    strict = throw("strict", kinds=("wand",))
    lenient = keep("lenient", kinds=("wand",), wholly=("metal",))
    assert decided_by(WAND, strict, lenient) == "lenient"


def test_a_rule_that_names_the_thing_wins_over_one_about_its_material() -> None:
    about_material = throw("material", wholly=("metal",), porous=False)
    assert decided_by(WAND, about_material, keep("named", kinds=("wand",))) == "named"


def test_a_ban_wins_over_a_more_specific_rule() -> None:
    ban = replace(throw("ban", kinds=("wand",)), banned=True)
    assert decided_by(WAND, ban, keep("kept", kinds=("wand",), wholly=("metal",))) == "ban"


def test_of_two_equal_rules_that_keep_a_thing_the_stronger_treatment_wins() -> None:
    wiped = keep("wiped", Route.WIPE, kinds=("wand",))
    sterilised = keep("sterilised", Route.STERILISE, kinds=("wand",))
    assert decided_by(WAND, wiped, sterilised) == "sterilised"


def test_a_rule_that_keeps_a_thing_is_not_heard_while_its_material_is_unknown() -> None:
    verdict = verdict_under(replace(WAND, parts=(ODD,)), keep("kept", kinds=("wand",)))
    assert verdict.category is Category.SINGLE_USE
    assert "zorbium" in verdict.questions[0]


def test_a_named_buffer_of_unknown_stuff_is_asked_about_in_lenient_texas() -> None:
    buffer = Item("b", "buffer", "buffer", (Part("body", ""),))
    verdict = classify(buffer, shipped("us-texas"))
    assert verdict.category is Category.SINGLE_USE
    assert verdict.questions == ("What is the body made of?",)


def test_a_strict_rule_that_leans_on_an_unknown_still_asks() -> None:
    bare = Item("f", "nail file", "nail file", (Part("body", ""),))
    verdict = classify(bare, shipped("us-oklahoma"))
    assert verdict.reasons[0].rule_id == "files-not-metal-or-glass"
    assert verdict.questions
    with_foam = replace(bare, parts=(*bare.parts, Part("core", "foam")))
    assert classify(with_foam, shipped("us-oklahoma")).questions == ()


def test_a_rule_for_a_peel_off_surface_is_not_heard_over_a_porous_core() -> None:
    strip = Rule(
        "strip",
        When(kinds=("wand",)),
        Category.REPLACEABLE_SURFACE,
        Route.STRIP,
        "strip",
        HERE,
    )
    assert decided_by(replace(WAND, parts=(STEEL, PEEL)), strip) == "strip"
    assert decided_by(replace(WAND, parts=(STEEL, CORK, PEEL)), strip) == ""
    assert decided_by(WAND, strip) == ""


def test_a_rule_that_says_immerse_is_not_heard_where_that_cannot_be() -> None:
    immersed = keep("immersed", Route.IMMERSE, kinds=("wand",))
    assert decided_by(WAND, immersed) == "immersed"
    assert decided_by(replace(WAND, immersible=None), immersed) == "immersed"
    assert decided_by(replace(WAND, immersible=False), immersed) == ""
    assert decided_by(replace(WAND, immersible=None, parts=(CORK,)), immersed) == ""


def test_cotton_that_somebody_calls_not_porous_is_asked_about_before_it_is_laundered() -> None:
    wrap = Item("w", "wrap", "arm wrap", (Part("body", "cotton", porous=False),), launderable=True)
    verdict = verdict_under(wrap)
    assert verdict.category is Category.SINGLE_USE
    assert verdict.questions
