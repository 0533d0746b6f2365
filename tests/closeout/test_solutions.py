"""Jars against published dilutions and exact units (reference/wash_up_sources.md)."""

import csv
import json
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.closeout.solutions import (
    change_by,
    label_volumes,
    parts_to_dilute,
    product_ml,
    volume,
)
from consumables.desk.measures import exact_ml, millilitres, parts_on_label
from consumables.errors import Refused

REFERENCE = Path(__file__).parents[1] / "reference"
DILUTION = {
    one["id"]: one for one in json.loads((REFERENCE / "dilution.json").read_text())["records"]
}
LABELS = list(csv.DictReader((REFERENCE / "label_dilutions.csv").open()))
NINE = datetime(2026, 3, 4, 9, 0, tzinfo=ZoneInfo("America/Chicago"))
IN_OURS = {"fluid_ounce": "us_fl_oz", "imperial_fluid_ounce": "imp_fl_oz", "quart": "us_qt",
           "gallon": "us_gal"}  # fmt: skip
UNITS = [
    one
    for one in json.loads((REFERENCE / "units.json").read_text())["records"]
    if one["from_unit"] in IN_OURS and one["to_unit"] == "mL"
]


def test_cdc_dilutes_three_and_a_half_per_cent_to_a_half_with_six_parts_of_water() -> None:
    told, asked = DILUTION["cdc-1"], DILUTION["cdc-1"]["inputs"]
    parts = parts_to_dilute(
        Decimal(str(asked["stock_percent"])), Decimal(str(asked["target_percent"]))
    )
    assert parts == told["expected"]["parts_water_per_part"]


def test_seventy_per_cent_from_ninety_nine_takes_354_ml_of_500() -> None:
    told = DILUTION["isopropyl-70-from-99"]
    assert product_ml(500, parts_to_dilute(Decimal(99), Decimal(70))) == round(
        told["expected"]["v1_ml"]
    )


def test_a_strength_above_the_products_own_is_refused() -> None:
    with pytest.raises(Refused, match="not above the product's own"):
        parts_to_dilute(Decimal(70), Decimal(99))


@pytest.mark.parametrize("row", LABELS, ids=lambda row: row["label"])
def test_a_labels_words_are_parts_of_water(row: dict[str, str]) -> None:
    parts = parts_on_label(row["label"])
    assert round(parts, 2) == Decimal(row["parts_water"])
    if row["ppm_of_bleach_5_25"]:
        # Toronto rounds 1039.6 to 1040; the product is 5.25 % by its label.
        assert float(52_500 / (parts + 1)) == pytest.approx(
            float(row["ppm_of_bleach_5_25"]), abs=0.6
        )


def test_one_to_sixty_four_means_sixty_four_of_water_and_not_of_the_whole() -> None:
    told = DILUTION["label-2oz-per-gallon"]["expected"]
    parts = parts_on_label("2 us_fl_oz per us_gal")
    assert parts == told["parts_water_per_part"]
    assert 100 / (float(parts) + 1) == pytest.approx(told["v_v_percent"])


@pytest.mark.parametrize("row", UNITS, ids=lambda row: row["id"])
def test_volumes_are_those_of_the_handbook(row: dict[str, Any]) -> None:
    found = float(exact_ml(volume(f"{row['quantity']} {IN_OURS[row['from_unit']]}")))
    assert found == pytest.approx(row["expected"], rel=row["relative_tolerance"])


def test_us_and_imperial_ounces_are_not_the_same() -> None:
    assert (millilitres("100 us_fl_oz"), millilitres("100 imp_fl_oz")) == (2957, 2841)
    assert (millilitres("1000"), millilitres("1.5 l"), millilitres("1/2 us_gal")) == (
        1000,
        1500,
        1893,
    )


@pytest.mark.parametrize(
    "words", ["2 oz per gal", "os.system per us_gal", "2 us_fl_oz", "0 ml per l", "2 lb per us_gal"]
)
def test_words_outside_the_closed_list_are_refused(words: str) -> None:
    with pytest.raises(Refused):
        parts_on_label(words)


@given(st.text(max_size=30))
def test_no_text_whatever_does_more_than_be_refused(words: str) -> None:
    try:
        label_volumes(words)
        volume(words)
    except Refused:
        pass


@pytest.mark.parametrize(
    ("words", "label_days", "stands"),
    [
        (("daily", "cloudy", "label"), 14, 0),  # OAC 4713-15-03: at least daily
        (("weekly", "cloudy"), None, 6),  # 16 CCR 979
        (("weekly", "cloudy"), 3, 2),  # the label comes first
        (("label", "cloudy"), 14, 13),
        (("label", "cloudy"), None, 0),  # nobody said: strict
        ((), None, 0),
    ],
)
def test_a_jar_is_changed_by_whatever_comes_first(
    words: tuple[str, ...], label_days: int | None, stands: int
) -> None:
    last = change_by(NINE, words, label_days)
    assert last.date() == (NINE + timedelta(days=stands)).date()
    assert (last.hour, last.minute) == (23, 59)


@given(total=st.integers(1, 20_000), parts=st.integers(0, 500))
def test_product_and_water_make_the_whole(total: int, parts: int) -> None:
    product = product_ml(total, parts)
    assert 1 <= product <= max(1, total)
    assert product == 1 or abs(product * (parts + 1) - total) <= (parts + 1) / 2
