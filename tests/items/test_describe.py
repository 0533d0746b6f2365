"""Plain words become facts, and never more facts than the words hold."""

import pytest

from consumables.items.classify import classify
from consumables.items.describe import describe_text
from consumables.items.rulebook_reader import shipped
from consumables.words import Category, Grading

ONCE = Category.SINGLE_USE
KEEP = Category.DISINFECTABLE
STRIP = Category.REPLACEABLE_SURFACE
STRICT = shipped("strict-majority")


@pytest.mark.parametrize(
    ("text", "kind", "made_of", "category", "asks"),
    [
        ("orangewood stick", "wood stick", ["orangewood"], ONCE, False),
        ("180/240 foam buffer", "buffer", ["foam"], ONCE, False),
        ("glass file, cork handle", "nail file", ["glass", "cork"], ONCE, False),
        ("glass nail file", "nail file", ["glass"], KEEP, False),
        ("metal cuticle pusher", "pusher", ["metal"], KEEP, False),
        ("stainless steel cuticle nippers, no rust", "nipper", ["stainless steel"], KEEP, False),
        ("cuticle nippers", "nipper", [""], ONCE, True),
        ("sanding band 150 grit", "sanding band", ["abrasive"], ONCE, False),
        ("nail file 100/180", "nail file", [""], ONCE, True),
        ("metal nail file 180 grit", "nail file", ["metal", ""], ONCE, True),
        ("plastic nail file 100/180", "nail file", ["plastic", ""], ONCE, True),
        ("peel-off metal nail file", "nail file", ["metal", ""], ONCE, True),
        ("metal core with peel-off grit strips", "file core", ["metal", "abrasive"], STRIP, False),
        ("peel-off grit file, steel core", "nail file", ["grit", "steel"], STRIP, False),
        ("cardboard core, peel-off grit", "file core", ["cardboard", "grit"], ONCE, False),
        ("metal file with non-removable abrasive", "nail file", ["metal", "abrasive"], ONCE, False),
        ("porous nail file", "nail file", [""], ONCE, False),
        ("emery boards", "emery board", ["abrasive on cardboard"], ONCE, False),
        ("washable file, foam core P180", "nail file", ["foam"], ONCE, False),
        ("solid file, no foam, steel", "nail file", ["steel"], KEEP, False),
        ("sanding cap for metal mandrel", "sanding band", ["abrasive"], ONCE, False),
        ("acrylic brush, kolinsky hair", "product brush", ["kolinsky + hair"], ONCE, False),
        ("acrylic brush", "product brush", [""], ONCE, True),
        ("acetone 500 ml", "remover", [], ONCE, False),
        ("top coat, no-wipe gel", "gel", [], ONCE, False),
        ("soap dispenser", "", [""], ONCE, True),
        ("terry towel", "towel", ["terry"], KEEP, False),
        ("box of 100 nitrile gloves", "glove", ["nitrile"], ONCE, False),
        ("carbide bit", "e-file bit", ["carbide"], KEEP, False),
        ("ceramic bit", "e-file bit", ["ceramic"], ONCE, True),
        ("silicone toe separators", "toe separator", ["silicone"], ONCE, False),
        ("toe separators", "toe separator", [""], ONCE, True),
        ("hard plastic tray, may be immersed", "tray", ["hard plastic"], KEEP, False),
        ("hard plastic tray", "tray", ["hard plastic"], ONCE, True),
        ("steel pusher, do not re-use", "pusher", ["steel"], ONCE, False),
        ("electric lamp, hard plastic", "lamp", ["hard plastic"], KEEP, False),
        ("pedicure blade", "pedicure blade", [""], ONCE, False),
        ("steel nipper, zorbium-coated", "nipper", ["steel", "zorbium"], ONCE, True),
        ("steel nipper, rubber-covered grip", "nipper", ["steel", "rubber"], ONCE, True),
        ("peel & stick steel file", "nail file", ["steel", ""], ONCE, True),
        ("thingamajig", "", [""], ONCE, True),
        ("", "", [""], ONCE, True),
    ],
)
def test_a_phrase_becomes_facts_and_the_facts_a_verdict(
    text: str, kind: str, made_of: list[str], category: Category, asks: bool
) -> None:
    item = describe_text(text).item
    verdict = classify(item, STRICT)
    assert item.kind == kind
    assert [part.material for part in item.parts] == made_of
    assert verdict.category is category
    assert bool(verdict.questions) is asks


@pytest.mark.parametrize(
    ("text", "grits", "grading"),
    [
        ("nail file 100/180", (100, 180), Grading.UNSTATED),
        ("buffer 400/1000/4000", (400, 1000, 4000), Grading.UNSTATED),
        ("foam buffer, 180 / 240", (180, 240), Grading.UNSTATED),
        ("sanding band 150 grit", (150,), Grading.UNSTATED),
        ("file, 240-grit", (240,), Grading.UNSTATED),
        ("file, grit 240", (240,), Grading.UNSTATED),
        ("foam file P180", (180,), Grading.P),
        ("CAMI 240 grit file", (240,), Grading.CAMI),
        ("P240/P400 file", (240, 400), Grading.P),
        ("isopropyl alcohol 70%", (), Grading.UNSTATED),
        ("cotton rounds, 100", (), Grading.UNSTATED),
        ("acetone 500 ml", (), Grading.UNSTATED),
    ],
)
def test_grits_are_read_as_printed_and_their_scale_only_when_named(
    text: str, grits: tuple[int, ...], grading: Grading
) -> None:
    item = describe_text(text).item
    assert item.grits == grits
    assert item.grading is grading


def test_a_handle_is_held_and_does_not_touch_the_client() -> None:
    body, handle = describe_text("glass file, cork handle").item.parts
    assert (body.touches_client, handle.touches_client) == (True, False)


def test_a_peel_off_surface_is_a_part_that_comes_off() -> None:
    core, surface = describe_text("steel core with peel-off abrasive paper").item.parts
    assert (core.name, core.removable) == ("core", False)
    assert (surface.name, surface.removable) == ("surface", True)


def test_a_washable_stamp_is_noted_and_told_to_change_nothing() -> None:
    described = describe_text("washable foam file")
    assert described.item.label_says_washable
    assert any("changes nothing" in told.says for told in described.told)


def test_every_fact_shows_the_words_it_came_from() -> None:
    described = describe_text("disposable foam buffer 100/180")
    assert {told.words: told.says for told in described.told} == {
        "buffer": "it is a buffer",
        "foam": "what the body is made of",
        "disposable": "made for one use",
        "100/180": "grit 100/180, 2 faces of one item, scale unstated",
    }


@pytest.mark.parametrize(
    ("text", "kind", "made_of", "comes_off"),
    [
        ("180/240 foam board", "nail file", ["abrasive on foam"], []),
        ("zebra 100/180", "nail file", ["abrasive"], []),
        ("half moon file 100/180", "nail file", [""], []),
        ("white block", "buffer", [""], []),
        ("e-file mandrel with paper bands", "mandrel", ["", "paper"], ["surface"]),
        ("steel disc base, abrasive pedicure disc", "mandrel", ["steel", "abrasive"], ["surface"]),
        ("steel file blank with refill pads", "file core", ["steel", ""], ["surface"]),
        ("steel file blank with glued refill pads", "file core", ["steel"], []),
        ("sanding cap for pedicure mandrel", "sanding band", ["abrasive"], []),
        ("surgical steel c-curve clamp", "clamp", ["surgical steel"], []),
        ("steel dotting tool", "dotting tool", ["steel"], []),
        ("soak off clips, plastic", "remover clip", ["plastic"], []),
        ("finger bowl, ceramic glazed", "finger bowl", ["ceramic glazed"], []),
    ],
)
def test_trade_phrases_tell_what_they_say_and_no_more(
    text: str, kind: str, made_of: list[str], comes_off: list[str]
) -> None:
    item = describe_text(text).item
    assert item.kind == kind
    assert [part.material for part in item.parts] == made_of
    assert [part.name for part in item.parts if part.removable] == comes_off


def test_a_surface_of_unsaid_stuff_is_told_and_asked_about() -> None:
    described = describe_text("steel file blank with refill pads")
    assert "a part comes off; what it is made of was not said" in [t.says for t in described.told]
    assert classify(described.item, STRICT).questions == ("What is the surface made of?",)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("carbide bit", "it is an e-file bit"),
        ("emery board", "it is an emery board"),
        ("foam buffer", "it is a buffer"),
        ("steel scissors", "it is scissors"),
        ("cotton", "it is cotton"),
    ],
)
def test_a_noun_is_said_back_with_its_article(text: str, said: str) -> None:
    assert described_kind(text) == said


def described_kind(text: str) -> str:
    return describe_text(text).told[0].says
