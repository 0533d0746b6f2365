"""Two books side by side: what moves, what both say, and why."""

import csv
from pathlib import Path

from consumables.items.classify import classify
from consumables.items.compare_books import compare, usual_items
from consumables.items.describe import describe_text
from consumables.items.rulebook_reader import shipped, shipped_names
from consumables.items.trade_words import known_kind

STRICT, TEXAS = shipped("strict-majority"), shipped("us-texas")
ORACLE = Path(__file__).parents[1] / "reference" / "rules_oracle.csv"


def moved(*things: str, book=STRICT, other=TEXAS) -> dict[str, tuple[str, str]]:
    found = compare([describe_text(thing).item for thing in things], book, other)
    assert found.items == len(things)
    return {one.name: (one.before.answer, one.after.answer) for one in found.moved}


def test_only_what_changes_is_listed_with_both_answers() -> None:
    """16 TAC 83.106(f) sprays buffers; (e) throws cotton away, as everybody does."""
    assert moved("foam buffer", "cotton pads") == {
        "foam buffer": ("single-use, bin", "disinfectable, spray")
    }


def test_a_ban_and_a_question_are_answers_too() -> None:
    """Okla. Admin. Code 175:10-7-30(e) bans rasps; (c) names toe separators of any stuff."""
    oklahoma = shipped("us-oklahoma")
    assert moved("steel rasp", "toe separators", book=TEXAS, other=oklahoma) == {
        "steel rasp": ("disinfectable, spray", "banned"),
        "toe separators": ("single-use, bin, until answered", "single-use, bin"),
    }


def test_each_side_says_why_and_where_it_stands() -> None:
    (one,) = compare([describe_text("sanding band").item], STRICT, TEXAS).moved
    assert "mandrel" in one.before.because
    assert one.after.section == "16 TAC 83.106(f)"
    assert not one.after.because.startswith("Texas")


def test_the_sentence_counts_and_names_partial_books() -> None:
    found = compare(usual_items(), STRICT, TEXAS)
    assert found.sentence == (
        f"Moving from Strict majority (partial) to Texas (partial copy) changes "
        f"{len(found.moved)} items of {found.items}."
    )
    assert found.partial == ("strict-majority", "us-texas")


def test_a_book_moves_nothing_against_itself_and_as_much_back_as_forth() -> None:
    things = usual_items()
    for name in shipped_names():
        other = shipped(name)
        assert compare(things, other, other).moved == ()
        there, back = compare(things, STRICT, other), compare(things, other, STRICT)
        assert [one.item_id for one in there.moved] == [one.item_id for one in back.moved]


def test_the_usual_items_are_described_well_enough_to_be_answered() -> None:
    things = usual_items()
    assert len({one.item_id for one in things}) == len(things) >= 60
    asked = [one.name for one in things if classify(one, STRICT).questions]
    assert asked == ["toe separators"]  # on purpose: books differ on the bare noun


def test_the_usual_items_cover_the_nouns_of_the_reference_list() -> None:
    """Nouns of rules_oracle.csv, but for what is poured or only kept beside the desk."""
    with ORACLE.open() as file:
        named = {known_kind(row["item"]) for row in csv.DictReader(file)}
    poured = {"gel", "monomer", "powder", "remover", "alcohol", "primer", "cream", "wax", "soap"}
    poured |= {"antiseptic", "disinfectant", "nail tip", "wrap strip", "nail decoration"}
    beside = {"wand", "tray", "cassette", "pouch", "indicator strip", "warmer", "armrest"}
    beside |= {"table mat", "remover wrap", "nail form", "buffer handle", ""}
    assert named - poured - beside - {known_kind(one.name) for one in usual_items()} == set()
