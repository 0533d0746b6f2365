"""A scanned label is believed field by field, and never past what it says."""

import csv
import re
from contextlib import suppress
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.errors import Refused
from consumables.items.label_fields import full_year
from consumables.items.scan import GS, Scanned, is_gtin, printable, read_scan

TODAY = date(2026, 3, 4)
# `~` stands for the separator in the sheet.
LABELS = list(csv.DictReader((Path(__file__).parents[1] / "reference" / "gs1_labels.csv").open()))
NUMBER = "0109501101530003"  # field 01 with a published example number


def read(text: str) -> Scanned:
    return read_scan(text.replace("~", GS), TODAY)


@pytest.mark.parametrize("row", LABELS, ids=lambda row: row["label"])
def test_published_labels_say_what_their_source_says(row: dict[str, str]) -> None:
    found = read(row["label"])
    assert (found.gtin, found.lot, found.serial) == (row["gtin"], row["lot"], row["serial"])
    assert found.use_by == (date.fromisoformat(row["use_by"]) if row["use_by"] else None)
    assert found.count == (int(row["count"]) if row["count"] else None)
    assert found.doubts == ()


@pytest.mark.parametrize(
    ("label", "says"),
    [
        ("0109501101530004", "should be 3, not 4"),  # the parser itself lets this through
        (f"{NUMBER}30", r"field \(30\).*is empty"),  # and this
        (f"{NUMBER}30~10A", r"field \(30\).*is empty"),
        (f"{NUMBER}10", r"field \(10\).*is empty"),
        (f"{NUMBER}21~10A", r"field \(21\).*is empty"),
        ("(01)09501101530003(10)(17)270630", r"field \(10\).*is empty"),
        (f"{NUMBER}17271340", r"field \(17\)"),
        (f"{NUMBER}17270231", "which is no day"),
        (f"{NUMBER}3700", "counts 0"),
        (f"{NUMBER}0209521234543213", "only one may be"),
        (f"{NUMBER}10A~10B", "twice"),
        ("010950110", "may not hold"),
        ("", "no bar code"),
        ("hello", "no bar code"),
        ("(01", "no bar code|may not hold"),
        ("]A0hello", "no bar code"),
        ("62910415002131", "should be"),
    ],
)
def test_a_label_at_fault_is_refused_and_the_field_named(label: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        read(label)


@pytest.mark.parametrize(
    ("label", "may_hold"),
    [
        (f"{NUMBER}17270630" + "10LOTd721ser5", r"serial number \(21\)"),
        (f"{NUMBER}10A17270630", r"use by \(17\)"),
        (f"{NUMBER}10AB3048", r"number of pieces \(30\)"),
        ("0209521234543213" + "10AB3748", r"number of packs inside \(37\)"),
        ("10A" + NUMBER, r"bar-code number \(01\)"),
        (f"{NUMBER}10ABCDEFGHIJKLMNOPQRSTUVWXYZ", "runs on"),
    ],
)
def test_a_lot_that_may_have_swallowed_another_field_is_doubtful_and_not_guessed(
    label: str, may_hold: str
) -> None:
    found = read(label)
    assert found.lot == ""
    assert len(found.doubts) == 1
    assert re.search(may_hold, found.doubts[0])
    assert "off the pack" in found.doubts[0]


def test_a_doubtful_lot_leaves_the_rest_of_the_label_standing() -> None:
    found = read(f"{NUMBER}17270630" + "10LOTd721ser5")
    assert (found.gtin, found.use_by) == ("09501101530003", date(2027, 6, 30))


def test_with_its_separators_the_same_lot_is_believed() -> None:
    assert read(f"{NUMBER}10LOTd721ser5~17270630").lot == "LOTd721ser5"
    assert read("(01)09501101530003(10)LOTd721ser5").lot == "LOTd721ser5"


def test_of_best_before_and_use_by_the_earlier_day_counts() -> None:
    assert read(f"{NUMBER}15270630" + "17270531").use_by == date(2027, 5, 31)


def test_only_a_pack_of_varying_content_counts_single_pieces() -> None:
    assert read("(01)99501101530006(30)48").pieces
    assert not read(f"{NUMBER}3048").pieces
    assert not read("(02)09501101530003(37)2").pieces


@pytest.mark.parametrize(
    ("two_digits", "in_year", "year"),
    [  # GS1 General Specifications 7.12, from memory: 51 to 99 ahead, 50 to 99 back
        (26, 2026, 2026),
        (76, 2026, 2076),
        (77, 2026, 1977),
        (99, 2026, 1999),
        (0, 2026, 2000),
        (0, 2050, 2100),
        (1, 2050, 2001),
        (49, 2099, 2149),
        (50, 2099, 2050),
    ],
)
def test_two_digits_mean_the_year_in_the_window_around_today(
    two_digits: int, in_year: int, year: int
) -> None:
    assert full_year(two_digits, date(in_year, 1, 1)) == year


@given(st.integers(0, 99), st.integers(2000, 2199))
def test_a_scanned_year_is_never_more_than_half_a_century_from_today(two: int, now: int) -> None:
    year = full_year(two, date(now, 1, 1))
    assert year % 100 == two
    assert -49 <= year - now <= 50


lots = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefgh0123456789-/.", min_size=1, max_size=20)


@given(lots, lots, st.dates(date(2020, 1, 1), date(2070, 12, 31)), st.integers(1, 99999999))
def test_whatever_a_label_with_separators_holds_comes_back(
    lot: str, serial: str, day: date, count: int
) -> None:
    said = f"]C1{NUMBER}10{lot}{GS}17{day:%y%m%d}21{serial}{GS}30{count}"
    assert read_scan(said, TODAY) == Scanned("09501101530003", lot, day, count, serial)


@given(lots, lots)
def test_without_separators_a_lot_is_never_one_that_was_not_printed(lot: str, serial: str) -> None:
    said = f"{NUMBER}10{lot}21{serial}"
    found = read_scan(said, TODAY)
    assert found.lot == ""
    assert found.doubts


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_a_sentence(text: str) -> None:
    with suppress(Refused):
        found = read_scan(text, TODAY)
        assert found.gtin == "" or is_gtin(found.gtin)
        assert found.count != 0
        assert len(found.lot) <= 20


def test_a_scan_is_shown_without_unseen_signs() -> None:
    assert printable("10A\x1d21\x07") == "10A|21?"
