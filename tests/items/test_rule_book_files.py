"""A rule book is read whole or refused whole, with a sentence that says where and why."""

from datetime import date
from pathlib import Path

import pytest

from consumables.errors import BadRuleBook, NotFound
from consumables.items.materials import families
from consumables.items.rulebook_reader import (
    find_book,
    read_rule_book,
    shipped,
    shipped_names,
)
from consumables.items.trade_words import shipped_words
from consumables.words import Category, Confidence, Route

HEAD = """
name = "ours"
title = "Our own"
place = "Here"
edition = "first"
checked_on = 2026-11-25
partial = true
note = "Ours."
"""
RULE = """
[[rules]]
rule_id = "buffers"
when = { kinds = ["buffer"] }
category = "single-use"
route = "bin"
because = "It is porous."
cites = [{ section = "1.2", edition = "2026", confidence = "found" }]
"""
CITES = 'cites = [{ section = "1.2", edition = "2026", confidence = "found" }]'


def refusal(text: str) -> str:
    with pytest.raises(BadRuleBook) as refused:
        read_rule_book(text, "ours.toml")
    return str(refused.value)


def test_a_shops_own_book_is_read_field_by_field() -> None:
    book = read_rule_book(HEAD + "[parameters]\ncontact_minutes = 5\n" + RULE, "ours.toml")
    (rule,) = book.rules
    assert (book.name, book.checked_on, book.parameters.contact_minutes) == (
        "ours",
        date(2026, 11, 25),
        5,
    )
    assert (rule.when.kinds, rule.category, rule.route) == (
        ("buffer",),
        Category.SINGLE_USE,
        Route.BIN,
    )
    assert (rule.cites[0].section, rule.cites[0].confidence) == ("1.2", Confidence.FOUND)


def test_a_source_may_be_written_once_and_cited_by_its_name() -> None:
    sources = '[sources]\nboard = { section = "9", edition = "2020" }\n'
    rule = RULE.replace(
        CITES,
        'cites = ["board", { source = "board", confidence = "derived" }]',
    )
    cites = read_rule_book(HEAD + sources + rule, "ours.toml").rules[0].cites
    assert [cite.section for cite in cites] == ["9", "9"]
    assert [cite.confidence for cite in cites] == [Confidence.FOUND, Confidence.DERIVED]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('route = "bin"', 'route = "compost"', "unknown route 'compost'"),
        ('route = "bin"', 'route = "immerse"', "single-use thing to 'immerse'"),
        ('category = "single-use"', 'category = "maybe"', "unknown category 'maybe'"),
        ('confidence = "found"', 'confidence = "sure"', "unknown confidence 'sure'"),
        ('when = { kinds = ["buffer"] }', "when = {}", "empty 'when'"),
        ('when = { kinds = ["buffer"] }', "when = { kinds = [] }", "'kinds' is an empty list"),
        ('when = { kinds = ["buffer"] }', 'when = { kind = "x" }', "unknown field 'kind'"),
        ('when = { kinds = ["buffer"] }', "when = { porous = 1 }", "'porous' must be true"),
        ('when = { kinds = ["buffer"] }', "", "empty 'when'"),
        ('kinds = ["buffer"]', 'wholly = ["metel"]', "family 'metel'"),
        ('kinds = ["buffer"]', 'any_of = ["gold dust"]', "family 'gold dust'"),
        ('because = "It is porous."', "", "lacks 'because'"),
        ('because = "It is porous."', 'because = " "', "'because' is empty"),
        ('because = "It is porous."', "because = 3", "'because' must be a text"),
        ('because = "It is porous."', 'because = "x"\nbecuase = "y"', "unknown field 'becuase'"),
        ('because = "It is porous."', 'because = "x"\nunsettled = true', "other side in 'against'"),
        ("cites = [{", "against = [{", "no citation"),
        ('section = "1.2"', 'section = ""', "'section' is empty"),
        ('section = "1.2"', 'clause = "1.2"', "unknown field 'clause'"),
        (
            CITES,
            'cites = ["nowhere"]',
            "source 'nowhere'",
        ),
        (
            CITES,
            "cites = []",
            "no citation",
        ),
    ],
)
def test_a_rule_that_cannot_be_trusted_is_refused_by_file_and_rule(
    old: str, new: str, told: str
) -> None:
    assert old in RULE
    sentence = refusal(HEAD + RULE.replace(old, new))
    assert told in sentence
    assert sentence.startswith("ours.toml, rule 'buffers'")


def test_a_banned_thing_cannot_be_called_disinfectable() -> None:
    loose = RULE.replace("single-use", "disinfectable").replace('"bin"', '"wipe"')
    assert "must be single-use" in refusal(HEAD + loose + "banned = true\n")


def test_two_rules_of_one_name_are_refused() -> None:
    assert "'buffers' stands there twice" in refusal(HEAD + RULE + RULE)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('name = "ours"', "", "lacks 'name'"),
        ("2026-11-25", '"yesterday"', "'checked_on' must be a date"),
        ("2026-11-25", "2026-11-25T10:00:00", "date without a time"),
        ("partial = true", 'partial = "yes"', "'partial' must be true or false"),
        ('note = "Ours."', 'note = "Ours."\ncolour = "red"', "unknown field 'colour'"),
        ('note = "Ours."', "note =", "not readable as TOML"),
    ],
)
def test_a_book_with_a_bad_head_is_refused(old: str, new: str, told: str) -> None:
    assert told in refusal(HEAD.replace(old, new) + RULE)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("contact_minutes = 0", "whole number above zero"),
        ("contact_minutes = true", "whole number above zero"),
        ("contact_minutes = 2.5", "must be a whole number"),
        ('same_client_kits = "yes"', "unknown same_client_kits 'yes'"),
        ('solution_change = ["hourly"]', "unknown solution_change 'hourly'"),
        ('kill_claims = "all"', "must be a list of texts"),
        ("kill_claims = [3]", "must be a list of texts"),
        ("minutes = 3", "unknown field 'minutes'"),
        ('kit_items = ["buffer"]', "although same_client_kits is 'no'"),
        ('container_labels = ["New"]', "must be a table of texts"),
        ('container_labels = { shelf = "" }', "texts that are not empty"),
        ("spore_test_days = 0", "whole number above zero"),
        ('foot_basin_log = "yes"', "must be true or false"),
        ('cites = ["nowhere"]', "source 'nowhere'"),
    ],
)
def test_a_parameter_that_makes_no_sense_is_refused(line: str, told: str) -> None:
    sentence = refusal(HEAD + f"[parameters]\n{line}\n" + RULE)
    assert told in sentence
    assert "[parameters]" in sentence


def test_parameters_say_where_they_stand_and_what_goes_on_a_label() -> None:
    lines = """[parameters]
same_client_kits = "by-agreement"
kit_items = ["nail file"]
container_labels = { "secondary container" = "<contents>" }
cites = [{ section = "4", checked_on = 2026-01-02 }]
"""
    asked = read_rule_book(HEAD + lines + RULE, "ours.toml").parameters
    assert (asked.same_client_kits, asked.kit_items) == ("by-agreement", ("nail file",))
    assert asked.container_labels == (("secondary container", "<contents>"),)
    assert asked.cites[0].checked_on == date(2026, 1, 2)


def test_a_citation_was_checked_on_the_books_day_unless_it_says_another() -> None:
    rule = read_rule_book(HEAD + RULE, "ours.toml").rules[0]
    assert rule.cites[0].checked_on == date(2026, 11, 25)


def test_rules_that_are_no_list_of_tables_are_refused() -> None:
    assert "list of tables" in refusal(HEAD + "rules = [1]\n")
    assert "must be a list of tables" in refusal(HEAD + "rules = 1\n")


def test_a_file_nested_beyond_reason_is_refused_and_not_a_crash() -> None:
    assert "not readable" in refusal("x = " + "[" * 5000)


def test_a_book_is_found_by_name_or_by_path(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(HEAD + RULE, encoding="utf-8-sig")
    assert find_book("us-texas").name == "us-texas"
    assert find_book(str(own)).name == "ours"


def test_a_book_that_is_nowhere_is_told_with_the_names_there_are(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="strict-majority"):
        find_book("atlantis")
    with pytest.raises(NotFound):
        shipped("materials")
    (tmp_path / "odd.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadRuleBook, match="UTF-8"):
        find_book(str(tmp_path / "odd.toml"))
    with pytest.raises(BadRuleBook, match="cannot be read"):
        find_book(str(tmp_path))


@pytest.mark.parametrize("name", shipped_names())
def test_every_shipped_book_is_partial_dated_and_speaks_of_known_things(name: str) -> None:
    book = shipped(name)
    assert book.name == name
    assert book.partial
    assert book.checked_on == date(2026, 11, 25)
    kinds = set(shipped_words().kinds.values())
    for rule in book.rules:
        assert set(rule.when.kinds) <= kinds, rule.rule_id
        named = rule.when.wholly + rule.when.not_wholly + rule.when.any_of
        assert set(named) <= families()


@pytest.mark.parametrize("name", sorted(set(shipped_names()) - {"strict-majority"}))
def test_a_real_book_cites_a_place_for_every_rule_and_claims_nothing_from_habit(name: str) -> None:
    for rule in shipped(name).rules:
        for cite in rule.cites:
            assert cite.section
            assert cite.edition
            assert cite.address
            assert cite.confidence in (Confidence.FOUND, Confidence.DERIVED)


def test_the_books_really_differ() -> None:
    assert len({shipped(name).rules for name in shipped_names()}) == len(shipped_names()) >= 7
