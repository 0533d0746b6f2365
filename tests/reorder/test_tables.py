"""Tables that come in: kinds, blanks, and the page that describes them."""

import re
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest

from consumables.reorder.tables import COLUMNS, BadTable, days_from, tidy

PAGE = Path(__file__).parents[2] / "docs" / "reorder_maths.md"


@pytest.mark.parametrize("table", COLUMNS)
def test_the_page_shows_every_column_and_which_are_needed(table):
    row = re.search(rf"^\| {table} \| (.*) \|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert row
    for name, column in COLUMNS[table].items():
        assert bool(re.search(rf"\b{name}\*", row[1])) == column.needed, name
        assert re.search(rf"\b{name}\b", row[1]), name


def test_blank_cells_take_the_usual_value():
    rows = [{"item": "file", "unit": None, "keep_at_least": None, "category": ""}]
    found = tidy("items", pd.DataFrame(rows)).iloc[0]
    assert (found["unit"], found["dose"], found["keep_at_least"]) == ("each", 1, 0)
    assert pd.isna(found["shelf_life_days"])


@pytest.mark.parametrize("day", ["2026-03-02", date(2026, 3, 2), datetime(2026, 3, 2, 17, 30)])
def test_a_day_may_be_written_in_several_ways(day):
    frame = pd.DataFrame([{"on": day, "item": "file", "quantity": 1}])
    assert days_from(date(2026, 3, 1), tidy("loose_use", frame)["on"]).tolist() == [1]


def test_a_moment_with_an_offset_counts_on_its_own_wall_clock_day():
    frame = pd.DataFrame([{"on": datetime(2026, 3, 2, 23, 30, tzinfo=UTC)}])
    frame = frame.assign(item="file", quantity=1)
    assert days_from(date(2026, 3, 2), tidy("loose_use", frame)["on"]).tolist() == [0]


def test_money_keeps_its_cents():
    row = {"offer": "f", "supplier": "s", "item": "file", "pack_size": 1, "price": "0.10"}
    assert tidy("offers", pd.DataFrame([row]))["price"].tolist() == [Decimal("0.10")]


@pytest.mark.parametrize("price", ["-1", "ten", "NaN", "Infinity"])
def test_an_amount_that_is_none_is_refused(price):
    row = {"offer": "f", "supplier": "s", "item": "file", "pack_size": 1, "price": price}
    with pytest.raises(BadTable, match="an amount such as 12.50"):
        tidy("offers", pd.DataFrame([row]))


@pytest.mark.parametrize("lead", [{}, {"2": 1.0}, {2: "1"}, {-1: 1.0}, {2: 1.5, 3: -0.5}, 3])
def test_lead_days_that_are_no_chances_are_refused(lead):
    with pytest.raises(BadTable, match="sum to 1"):
        tidy("suppliers", pd.DataFrame([{"supplier": "s", "lead_days": lead}]))


def test_yes_and_no_may_be_words():
    rows = [{"service": "s", "item": i, "quantity": 1} for i in "abcd"]
    frame = pd.DataFrame(rows).assign(once_per_visit=["yes", "no", True, None])
    assert tidy("set_ups", frame)["once_per_visit"].tolist() == [True, False, True, False]


def test_no_table_at_all_is_an_empty_one():
    found = tidy("usage", None)
    assert list(found.columns) == list(COLUMNS["usage"])
    assert found.empty
