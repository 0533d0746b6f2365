"""What leaves the desk as a sheet opens in any spreadsheet and runs nothing in it."""

import csv
import io
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consumables.errors import Refused
from consumables.paperwork.order_paper import OrderPaperLine, csv_text, order_csv, write_csv
from consumables.words import Unit

LINE = OrderPaperLine(
    "o-7", "north", "n-board", "04006381333931", "board", 'Board "100/180", wood', 3, 50,
    Unit.EACH, Decimal("9.50"), Decimal("28.50"), "12 visits booked until the delivery",
)  # fmt: skip


def test_an_order_is_a_table_with_a_header_and_exact_prices():
    header, line = csv.reader(io.StringIO(order_csv([LINE]), newline=""))
    assert dict(zip(header, line, strict=True)) == {
        "order": "o-7", "supplier": "north", "offer": "n-board", "gtin": "04006381333931",
        "item": "board", "name": 'Board "100/180", wood', "packs": "3", "pack_size": "50",
        "unit": "each", "pack_price": "9.50", "line_price": "28.50",
        "because": "12 visits booked until the delivery",
    }  # fmt: skip


def test_lines_end_and_quotes_double_as_rfc_4180_asks():
    assert csv_text(["a", "b"], [['say "x"', "1\n2"]]) == 'a,b\r\n"say ""x""","1\n2"\r\n'


@given(st.text(max_size=20), st.sampled_from("=+-@"))
def test_no_text_can_start_a_formula(text, start):
    for dangerous in (start + text, f" \t{start}{text}"):
        (cell,) = next(csv.reader(io.StringIO(csv_text([dangerous], []), newline="")))
        assert cell == "'" + dangerous


def test_numbers_below_zero_stay_numbers():
    assert csv_text(["n"], [[-3], [Decimal("-0.50")], [Decimal("1E+3")]]) == (
        "n\r\n-3\r\n-0.50\r\n1000\r\n"
    )


def test_nothing_dates_and_yes_are_written_as_the_desk_reads_them():
    assert csv_text(["a", "b", "c"], [[None, date(2026, 3, 2), True]]).endswith(
        ",2026-03-02,yes\r\n"
    )


def test_a_row_of_another_width_is_a_mistake_of_ours():
    with pytest.raises(ValueError, match="2 cells under 1"):
        csv_text(["a"], [["x", "y"]])


def test_a_sheet_is_written_whole_and_opens_with_its_accents(tmp_path):
    write_csv(tmp_path / "record.csv", ["name"], [["Pince à envies"]])
    assert (tmp_path / "record.csv").read_bytes() == (
        b"\xef\xbb\xbfname\r\nPince \xc3\xa0 envies\r\n"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["record.csv"]


def test_a_place_that_cannot_be_written_to_is_said_plainly(tmp_path):
    with pytest.raises(Refused, match=r"was not written .*choose another place"):
        write_csv(tmp_path / "missing" / "record.csv", ["name"], [])
