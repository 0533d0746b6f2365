"""Tags, bar codes and use counts: the small plain things around an item."""

import csv
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.errors import Refused
from consumables.items.classify import classify
from consumables.items.describe import describe_text
from consumables.items.rulebook_reader import shipped
from consumables.items.scan import gtin14, is_gtin
from consumables.items.tags import is_tag, piece_of, tag_code, tag_for
from consumables.items.wear import after_inspection, past_limit, wear_words

EXAMPLES = list(
    csv.DictReader((Path(__file__).parents[1] / "reference" / "gtin_examples.csv").open())
)
STRICT = shipped("strict-majority")


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["number"])
def test_published_bar_codes_are_right_and_fill_up_to_fourteen_digits(row: dict[str, str]) -> None:
    assert gtin14(row["number"]) == row["fourteen"]


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["number"])
def test_one_misread_digit_is_always_noticed(row: dict[str, str]) -> None:
    number = row["number"]
    for at, digit in enumerate(number):
        misread = number[:at] + str((int(digit) + 1) % 10) + number[at + 1 :]
        assert not is_gtin(misread)


@given(st.text("0123456789", min_size=7, max_size=13).filter(lambda p: len(p) in (7, 11, 12, 13)))
def test_the_check_digit_follows_the_published_weights(payload: str) -> None:
    """Weights 3, 1, 3, 1 ... from the right; GS1, how to calculate a check digit manually."""
    total = sum(int(d) * (3 if at % 2 == 0 else 1) for at, d in enumerate(reversed(payload)))
    number = payload + str((10 - total % 10) % 10)
    assert is_gtin(number) is bool(number.strip("0"))


def test_a_wrong_check_digit_is_refused_with_the_right_one() -> None:
    with pytest.raises(Refused, match="should be 3, not 4"):
        gtin14("6291041500214")


@pytest.mark.parametrize("text", ["", "12345", "629104150021X", "٦٢٩١٠٤١٥", "00000000", "1" * 15])
def test_what_is_no_bar_code_number_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(Refused, match="Bar code"):
        gtin14(text)


def test_spaces_as_printed_under_the_bars_do_no_harm() -> None:
    assert gtin14(" 6 291041 500213 ") == "06291041500213"


printed = st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=30)


@given(printed)
def test_a_tag_read_back_names_the_same_piece(piece_id: str) -> None:
    assert is_tag(tag_code(piece_id))
    assert piece_of(tag_code(piece_id)) == piece_id
    assert piece_of(f" {tag_code(piece_id)}\n") == piece_id


@pytest.mark.parametrize("code", ["", "DESK:", "6291041500213", "nipper-1", "desk:nipper-1"])
def test_a_code_that_is_not_ours_names_no_piece(code: str) -> None:
    with pytest.raises(Refused, match="not a tag"):
        piece_of(code)


@pytest.mark.parametrize("piece_id", ["", " nipper", "nip\nper"])
def test_a_piece_without_a_plain_name_gets_no_tag(piece_id: str) -> None:
    with pytest.raises(Refused):
        tag_code(piece_id)


def test_a_single_use_thing_carries_the_do_not_reuse_words_and_the_symbols_clause() -> None:
    item = describe_text("foam buffer").item
    tag = tag_for(item, classify(item, STRICT), lot="L7", use_by=date(2027, 2, 28))
    assert (tag.warning, tag.symbol) == ("DO NOT RE-USE", "ISO 15223-1, 5.4.2")
    assert (tag.use_by, tag.lot, tag.code) == ("2027-02-28", "L7", "")


def test_a_kept_tool_says_where_it_goes_and_carries_its_own_code() -> None:
    item = describe_text("steel nipper").item
    tag = tag_for(item, classify(item, STRICT), piece_id="nipper-1")
    assert (tag.warning, tag.symbol) == ("", "")
    assert tag.category == "Disinfect between clients"
    assert "immerse" in tag.after_the_client
    assert piece_of(tag.code) == "nipper-1"


def test_a_tool_past_its_limit_is_retired_and_without_a_limit_never() -> None:
    assert [past_limit(uses, 20) for uses in (0, 19, 20, 21)] == [False, False, True, True]
    assert not past_limit(10_000, None)


def test_the_use_count_is_told_in_words() -> None:
    assert wear_words(1, None) == "1 use, no limit set"
    assert wear_words(3, 20) == "3 of 20 uses"
    assert wear_words(20, 20) == "20 of 20 uses: retire"


@pytest.mark.parametrize(
    ("seen", "retire", "reprocess"),
    [
        ("pitted jaw", True, False),
        ("rust on the hinge", True, False),
        ("varnish peeling at the edge", True, False),
        ("sterile pouch found wet", False, True),
        ("no rust, not dull", False, False),
        ("clean and sharp", False, False),
        ("", False, False),
    ],
)
def test_what_is_seen_decides_before_any_count(seen: str, retire: bool, reprocess: bool) -> None:
    found = after_inspection(seen)
    assert (found.retire, found.reprocess) == (retire, reprocess)
    assert found.sentence
