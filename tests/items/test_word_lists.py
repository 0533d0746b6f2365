"""The word lists are sound: every phrase can be found as it is written, and says one thing."""

import pytest

from consumables.items.general_order import findings, step
from consumables.items.materials import families, material, material_words
from consumables.items.shelf_data import word_list
from consumables.items.trade_words import kind_of, known_kind, shipped_words
from consumables.items.wording import listed, plain


def test_every_listed_phrase_is_written_the_way_texts_are_compared() -> None:
    words = shipped_words()
    phrases = [*material_words(), *words.kinds, *words.made_of, *words.says, *words.parts]
    phrases += [*words.containers, *words.cut, *words.behind, *words.covering]
    assert [phrase for phrase in phrases if plain(phrase) != phrase] == []
    assert max(len(phrase.split()) for phrase in phrases) <= 4


@pytest.mark.parametrize("table", ["kinds", "made_of", "says", "parts"])
def test_no_phrase_of_the_trade_words_stands_in_two_lines(table: str) -> None:
    phrases = [one for text in word_list("trade_words")[table].values() for one in listed(text)]
    assert sorted(phrases) == sorted(set(phrases))


def test_no_material_word_belongs_to_two_families() -> None:
    rows = [row for name, row in word_list("materials").items() if name != "words"]
    phrases = [one for row in rows for one in listed(row["words"])]
    assert sorted(phrases) == sorted(set(phrases))


def test_groups_and_nouns_that_name_their_material_are_known_nouns() -> None:
    words = shipped_words()
    kinds = set(words.kinds.values())
    assert all(group <= kinds for group in words.groups.values())
    assert set(words.made_of) <= set(words.kinds)
    assert all(
        material(stuff).porous is not None or stuff == "ceramic" for stuff in words.made_of.values()
    )


def test_every_family_tells_its_source() -> None:
    assert all(word_list("materials")[family]["source"] for family in families())


def test_every_step_of_the_general_order_has_words_and_a_source() -> None:
    for name in word_list("general_order"):
        if name != "inspection":
            assert step(name).because
            assert step(name).cites
    assert all(found.then in ("retire", "reprocess") for found in findings())


@pytest.mark.parametrize(
    ("text", "named", "porous"),
    [
        ("stainless steel", ("metal",), False),
        ("tungsten carbide", ("metal",), False),
        ("stainless steel + abrasive paper", ("metal", "abrasive"), True),
        ("abrasive on foam", ("abrasive", "foam"), True),
        ("photo-cure resin", ("resin",), False),
        ("glazed ceramic", ("glazed ceramic",), False),
        ("ceramic", ("ceramic",), None),
        ("glass paper", ("abrasive",), True),
        ("foam rubber", ("foam",), True),
        ("rubber", ("rubber",), False),
        ("surgical stainless steel, 12 cm", ("metal",), False),
        ("Steel, chrome-plated", ("metal",), False),
        ("zorbium", ("unknown",), None),
        ("steel with zorbium", ("metal", "unknown"), None),
        ("foam with zorbium", ("foam", "unknown"), True),
        ("", ("unknown",), None),
    ],
)
def test_a_material_text_tells_its_families_and_whether_it_is_porous(
    text: str, named: tuple[str, ...], porous: bool | None
) -> None:
    read = material(text)
    assert (read.families, read.porous) == (named, porous)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("orangewood sticks, 100 pcs", "wood stick"),
        ("box of 100 nitrile gloves", "glove"),
        ("nail polish remover", "remover"),
        ("cuticle oil brush", "product brush"),
        ("corn and callus blade in holder", "callus blade"),
        ("wand for magnetic polish", "wand"),
        ("foot file (not a grater)", "foot file"),
        ("hot lotion warmer with cup liner", "warmer"),
        ("polish rack", ""),
        ("mystery thing", ""),
    ],
)
def test_the_head_noun_of_a_phrase_names_the_thing(text: str, kind: str) -> None:
    assert known_kind(text) == kind
    assert kind_of(text) == (kind or plain(text))


def test_what_slips_on_and_what_is_said_without_an_article_are_known_nouns() -> None:
    words = shipped_words()
    kinds = set(words.kinds.values())
    assert set(words.slips_on) <= kinds
    assert words.groups["uncounted"] <= kinds
    phrases = [phrase for fitting in words.slips_on.values() for phrase in fitting]
    assert [phrase for phrase in phrases if plain(phrase) != phrase] == []
    assert set(listed(word_list("abrasives")["natural_nail"]["kinds"])) <= kinds
