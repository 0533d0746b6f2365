"""What happened before the shop began to count is read as strictly as what happens now."""

from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from consumables.errors import BadFile
from consumables.paperwork.catalogue_folder import read_catalogue
from consumables.paperwork.history_folder import (
    History,
    PastDelivery,
    PastLooseUse,
    PastUse,
    PastVisit,
    read_history,
)
from consumables.words import Outcome

PAST = {
    "past_visits": [
        ["visit", "starts_on", "services", "client", "technician", "outcome", "booked_on"],
        ["v1", "2026-01-05T10:00", "mani;gel", "C17", "AB", "", "2026-01-02"],
        ["v2", "2026-01-06T10:00", "mani", "", "", "no-show", ""],
    ],
    "past_use": [["visit", "service", "item", "quantity"], ["v1", "mani", "board", "1"],
                 ["v1", "", "oil", "2"]],
    "past_loose_use": [["on", "item", "quantity", "because"],
                       ["2026-01-07", "oil", "15", "spilt"]],
    "past_deliveries": [
        ["order", "supplier", "ordered_on", "arrived_on", "item", "quantity", "use_by", "lot",
         "unit_cost"],
        ["o1", "north", "2026-01-05", "2026-01-08", "board", "50", "", "0007", "0.19"],
        ["", "", "", "2026-01-09", "oil", "118", "2027-01-01", "", ""],
    ],
}  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path, sheets, pens):
    return read_catalogue(pens["folder"](tmp_path / "shop", sheets))


@pytest.fixture
def past():
    return {name: [list(row) for row in rows] for name, rows in PAST.items()}


def test_a_history_folder_and_a_workbook_say_the_same(tmp_path, shop, past, pens):
    folder = pens["folder"](tmp_path / "past", past)
    workbook = pens["workbook"](tmp_path / "past.xlsx", past)
    ten = datetime(2026, 1, 5, 10, tzinfo=ZoneInfo("Europe/Lisbon"))
    expected = History(
        visits=(
            PastVisit("v1", ten, ("mani", "gel"), "C17", "AB", Outcome.SERVED, date(2026, 1, 2)),
            PastVisit("v2", ten.replace(day=6), ("mani",), outcome=Outcome.NO_SHOW),
        ),
        use=(PastUse("v1", "board", 1, "mani"), PastUse("v1", "oil", 2)),
        loose_use=(PastLooseUse(date(2026, 1, 7), "oil", 15, "spilt"),),
        deliveries=(
            PastDelivery(date(2026, 1, 8), "board", 50, "o1", "north", date(2026, 1, 5),
                         lot="0007", unit_cost=Decimal("0.19")),
            PastDelivery(date(2026, 1, 9), "oil", 118, use_by=date(2027, 1, 1)),
        ),
    )  # fmt: skip
    assert read_history(folder, shop) == read_history(workbook, shop) == expected


def test_a_history_may_lie_beside_the_catalogue(tmp_path, shop, past, pens, sheets):
    both = pens["folder"](tmp_path / "both", sheets | past)
    assert len(read_history(both, shop).visits) == 2
    assert read_catalogue(both) == shop


def test_any_one_sheet_is_enough_but_none_is_a_wrong_folder(tmp_path, shop, past, pens):
    only = pens["folder"](tmp_path / "past", {"past_deliveries": past["past_deliveries"]})
    assert len(read_history(only, shop).deliveries) == 2
    with pytest.raises(BadFile, match="At least one filled sheet of these"):
        read_history(tmp_path / "shop", shop)


@pytest.mark.parametrize(
    ("sheet", "row", "column", "cell", "sentence"),
    [
        ("past_visits", 3, "visit", "V1", "row 2 has it"),
        ("past_visits", 2, "starts_on", "2026-01-05", "A date and time"),
        ("past_visits", 2, "services", "pedi", "listed in services"),
        ("past_visits", 2, "services", "", "A value is expected"),
        ("past_visits", 2, "client", "Anna Bell", "full name is more"),
        ("past_visits", 2, "outcome", "late", "served, no-show"),
        ("past_visits", 2, "booked_on", "2026-01-06", "up to the visit"),
        ("past_use", 2, "visit", "v9", "listed in past_visits"),
        ("past_use", 2, "service", "pedi", "services of this visit"),
        ("past_use", 2, "item", "boards", "Did you mean 'board'?"),
        ("past_use", 2, "quantity", "1.5", "whole number"),
        ("past_loose_use", 2, "on", "7 Jan", "A date such as"),
        ("past_loose_use", 2, "because", "", "A value is expected"),
        ("past_loose_use", 2, "quantity", "-15", "whole number"),
        ("past_deliveries", 2, "arrived_on", "2026-01-04", "on or after ordered_on"),
        ("past_deliveries", 2, "supplier", "nroth", "Did you mean 'north'?"),
        ("past_deliveries", 2, "unit_cost", "0,19", "12.50"),
        ("past_deliveries", 2, "use_by", "2027-13-01", "A date such as"),
    ],
)
def test_a_bad_cell_of_the_past_is_refused_with_its_place(
    tmp_path, shop, past, pens, sheet, row, column, cell, sentence
):
    past[sheet][row - 1][past[sheet][0].index(column)] = cell
    with pytest.raises(BadFile) as refusal:
        read_history(pens["folder"](tmp_path / "past", past), shop)
    said = str(refusal.value)
    assert f"{sheet}.csv, row {row}, column '{column}'" in said
    assert sentence in said
    assert "Bell" not in said
