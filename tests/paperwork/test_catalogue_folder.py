"""A shop's own sheets are read whole or not at all, and a refusal says where and what."""

from datetime import date
from decimal import Decimal

import openpyxl
import pytest

from consumables.errors import BadFile
from consumables.items.catalogue import Offer, OpeningStock
from consumables.paperwork.catalogue_folder import read_catalogue
from consumables.words import Unit


def test_a_folder_of_sheets_becomes_the_catalogue_of_the_shop(tmp_path, sheets, pens):
    shop = read_catalogue(pens["folder"](tmp_path / "shop", sheets))
    assert shop.settings.zone == "Europe/Lisbon"
    nipper, board, oil = shop.items
    assert (nipper.immersible, board.immersible, oil.unit) == (True, None, Unit.MILLILITRE)
    assert (board.grits, board.parts[0].porous, board.max_uses) == ((100, 180), True, 1)
    assert shop.suppliers[0].lead_days == {2: 0.5, 3: 0.3, 5: 0.2}
    assert shop.set_ups[0].once_per_visit


def test_a_folder_and_a_workbook_with_the_same_cells_say_the_same(tmp_path, sheets, pens):
    folder = pens["folder"](tmp_path / "shop", sheets)
    workbook = pens["workbook"](tmp_path / "shop.xlsx", sheets)
    assert read_catalogue(folder) == read_catalogue(workbook)


def test_reading_the_same_folder_twice_gives_the_same_values(tmp_path, sheets, pens):
    folder = pens["folder"](tmp_path / "shop", sheets)
    assert read_catalogue(folder) == read_catalogue(folder)


def test_a_lot_code_keeps_its_leading_zeros_and_na_stays_a_word(tmp_path, sheets, pens):
    for name, place in (("folder", "shop"), ("workbook", "shop.xlsx")):
        shop = read_catalogue(pens[name](tmp_path / place, sheets))
        assert [stock.lot for stock in shop.opening_stock] == ["00123", "NA"]


def test_four_us_fluid_ounces_of_oil_are_118_whole_millilitres(tmp_path, sheets, pens):
    offer = read_catalogue(pens["folder"](tmp_path / "shop", sheets)).offers[1]
    assert offer == Offer("n-oil", "north", "oil", 118, Decimal("12.00"))


def test_a_bar_code_is_kept_as_fourteen_digits(tmp_path, sheets, pens):
    offer = read_catalogue(pens["folder"](tmp_path / "shop", sheets)).offers[0]
    assert offer.gtin == "04006381333931"


def test_prices_stay_exact_decimals(tmp_path, sheets, pens):
    shop = read_catalogue(pens["folder"](tmp_path / "shop", sheets))
    assert str(shop.offers[0].price) == "9.50"
    assert shop.opening_stock[1] == OpeningStock(
        "oil", "NA", 200, date(2027, 5, 1), date(2026, 1, 10), Decimal("0.0931")
    )


def test_a_one_number_lead_time_is_certain(tmp_path, sheets, pens):
    sheets["suppliers"][1][2] = "3"
    shop = read_catalogue(pens["folder"](tmp_path / "shop", sheets))
    assert shop.suppliers[0].lead_days == {3: 1.0}


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_semicolons_and_tabs_are_understood_from_the_header(
    tmp_path, sheets, pens, csv_pen, delimiter
):
    folder = pens["folder"](tmp_path / "shop", sheets)
    expected = read_catalogue(folder)
    for name, rows in sheets.items():
        if name != "shop":
            csv_pen(folder / f"{name}.csv", rows, delimiter)
    assert read_catalogue(folder) == expected


def test_numbers_and_dates_typed_into_a_workbook_read_like_text(tmp_path, sheets, pens):
    path = pens["workbook"](tmp_path / "shop.xlsx", sheets)
    expected = read_catalogue(path)
    book = openpyxl.load_workbook(path)
    stock = book["opening_stock"]
    stock["C2"], stock["D3"], stock["F2"] = 4, date(2027, 5, 1), 18.0
    book["offers"]["F2"], book["set_ups"]["D2"] = 9.5, True
    book.save(path)
    assert read_catalogue(path) == expected


def test_a_byte_order_mark_and_blank_rows_change_nothing(tmp_path, sheets, pens):
    folder = pens["folder"](tmp_path / "shop", sheets)
    expected = read_catalogue(folder)
    items = folder / "items.csv"
    items.write_text("\ufeff" + items.read_text("utf-8") + ",,\n\n", encoding="utf-8")
    assert read_catalogue(folder) == expected


BAD_CELLS = [
    ("items", 2, "item", "", "A value is expected"),
    ("items", 3, "item", "nipper", "row 2 has it"),
    ("items", 3, "item", "a;b", "without ';'"),
    ("items", 2, "name", "x" * 201, "at most 200 characters"),
    ("items", 2, "name", "two\nlines", "one line"),
    ("items", 2, "name", "red \x1b[31m", "without control characters"),
    ("items", 2, "unit", "litre", "One of these is expected: each, ml, g"),
    ("items", 2, "dose", "0", "whole number from 1"),
    ("items", 2, "dose", "1.5", "whole number"),
    ("items", 2, "dose", "-1", "whole number"),
    ("items", 2, "dose", "1e3", "whole number"),
    ("items", 2, "dose", "1٣", "whole number"),
    ("items", 2, "dose", "99999999999", "whole number"),
    ("items", 2, "immersible", "maybe", "yes or no"),
    ("items", 3, "grits", "100-180", "such as 180 or 100/180"),
    ("items", 3, "grits", "1/2", "from 8 to 20000"),
    ("items", 3, "grading", "FEPA", "One of these is expected: P, CAMI, unstated"),
    ("items", 2, "shelf_life_days", "two years", "whole number"),
    ("items", 2, "contact_minutes", "1441", "from 1 to 1440"),
    ("items", 2, "keep_at_least", "-3", "whole number from 0"),
    ("parts", 2, "item", "niper", "Did you mean 'nipper'?"),
    ("parts", 2, "material", "", "A value is expected"),
    ("parts", 2, "supplied_as", "sleeve", "listed in items"),
    ("parts", 2, "supplied_as", "nipper", "nothing is a refill of itself"),
    ("suppliers", 2, "lead_days", "2:0.5 3:0.4", "sum to 0.9"),
    ("suppliers", 2, "lead_days", "2:0.5 2:0.5", "stands twice"),
    ("suppliers", 2, "lead_days", "2.5", "are expected"),
    ("suppliers", 2, "lead_days", "2:0.5;3:0.5", "are expected"),
    ("suppliers", 2, "minimum_order", "€20", "no currency sign"),
    ("suppliers", 2, "minimum_order", "20,00", "12.50"),
    ("offers", 2, "supplier", "nort", "Did you mean 'north'?"),
    ("offers", 2, "item", "boards", "Did you mean 'board'?"),
    ("offers", 2, "pack_size", "2.5", "counted in pieces"),
    ("offers", 2, "pack_size", "0", "above 0"),
    ("offers", 3, "pack_unit", "oz", "volume is not weight"),
    ("offers", 3, "pack_unit", "each", "does not"),
    ("offers", 3, "pack_unit", "fl oz", "us_fl_oz"),
    ("offers", 2, "price", "0", "above 0"),
    ("offers", 2, "price", "9.12345", "at most 4 decimals"),
    ("offers", 2, "price", "nan", "12.50"),
    ("offers", 2, "break_price", "9.50", "below the pack's usual price"),
    ("offers", 2, "break_price", "", "together or not at all"),
    ("offers", 2, "break_packs", "1", "from 2"),
    ("offers", 2, "gtin", "4006381333932", "check digit"),
    ("offers", 2, "gtin", "400638133393", "check digit"),
    ("offers", 2, "gtin", "12345", "leading zeros"),
    ("offers", 2, "gtin", "400638133393x", "plain digits"),
    ("offers", 2, "gtin", "00000000000000", "plain digits"),
    ("services", 2, "minutes", "0", "from 1 to 1440"),
    ("services", 3, "service", "MANI", "row 2 has it"),
    ("set_ups", 2, "quantity", "0.5", "whole number"),
    ("set_ups", 2, "service", "pedi", "listed in services"),
    ("calendar_words", 3, "word", "Manicure", "row 2 has it"),
    ("calendar_words", 2, "service", "gal", "Did you mean 'gel'?"),
    ("opening_stock", 3, "use_by", "01/05/2027", "2026-03-02"),
    ("opening_stock", 3, "use_by", "2027-02-30", "2026-03-02"),
    ("opening_stock", 3, "tagged", "yes", "counted in pieces carries a tag"),
]


@pytest.mark.parametrize(("sheet", "row", "column", "cell", "sentence"), BAD_CELLS)
def test_a_bad_cell_is_refused_with_its_file_row_and_column(
    spoilt, sheet, row, column, cell, sentence
):
    with pytest.raises(BadFile) as refusal:
        read_catalogue(spoilt(sheet, row, column, cell))
    said = str(refusal.value)
    assert f"{sheet}.csv, row {row}, column '{column}'" in said
    assert sentence in said
    assert said.endswith("Nothing was brought in.")


@pytest.mark.parametrize(
    ("setting", "value", "sentence"),
    [
        ("zone", "Lisbon", "Did you mean 'Europe/Lisbon'?"),
        ("zone", "", "A value is expected"),
        ("zone", "../etc", "IANA time zone"),
        ("currency", "euro", "three capital letters"),
        ("technicians", "AB;AB", "once"),
        ("technicians", "Anna Bell", "full name is more"),
        ("review_days", "0", "from 1 to 60"),
        ("order_weekday", "Mon", "monday, tuesday"),
        ("target_service", "99", "such as 0.99"),
        ("time_zone", "Europe/Lisbon", "This setting is not known"),
    ],
)
def test_a_wrong_setting_is_named_in_folder_and_workbook_alike(
    tmp_path, sheets, pens, setting, value, sentence
):
    sheets["shop"] = [row for row in sheets["shop"] if row[0] != setting] + [[setting, value]]
    for name, place in (("folder", "shop"), ("workbook", "shop.xlsx")):
        with pytest.raises(BadFile, match="column") as refusal:
            read_catalogue(pens[name](tmp_path / place, sheets))
        assert f"column '{setting}'" in str(refusal.value)
        assert sentence in str(refusal.value)


def test_settings_keep_their_kinds_in_toml(tmp_path, sheets, pens):
    folder = pens["folder"](tmp_path / "shop", sheets)
    (folder / "shop.toml").write_text(
        'zone = "Asia/Tokyo"\ntechnicians = ["AB", "CD"]\nreview_days = 14\n'
        'order_weekday = "friday"\ntarget_service = 0.975\ncurrency = "JPY"\n'
    )
    settings = read_catalogue(folder).settings
    assert (settings.technicians, settings.order_weekday) == (("AB", "CD"), 4)
    assert (settings.review_days, settings.target_service) == (14, 0.975)


def test_a_column_nobody_knows_is_refused_with_the_nearest_name(spoilt):
    with pytest.raises(
        BadFile, match=r"row 1, column 'shelf_life'.*Did you mean 'shelf_life_days'"
    ):
        read_catalogue(spoilt("items", 2, "shelf_life", "30"))


def test_a_missing_column_is_named(tmp_path, sheets, pens):
    sheets["items"] = [row[:3] for row in sheets["items"]]
    with pytest.raises(BadFile, match="column 'unit': This column is expected"):
        read_catalogue(pens["folder"](tmp_path / "shop", sheets))


def test_a_comma_too_many_is_noticed(tmp_path, sheets, pens):
    sheets["services"][1].append("extra")
    with pytest.raises(BadFile, match=r"services.csv, row 2: A cell stands under no column name"):
        read_catalogue(pens["folder"](tmp_path / "shop", sheets))


def test_ten_faults_are_told_at_once_and_the_rest_counted(tmp_path, sheets, pens):
    sheets["services"] += [[f"s{n}", "Service", "long", ""] for n in range(13)]
    with pytest.raises(BadFile) as refusal:
        read_catalogue(pens["folder"](tmp_path / "shop", sheets))
    said = str(refusal.value)
    assert said.count("whole number") == 10
    assert "and 3 more" in said


def test_a_slip_in_a_sheets_name_is_noticed_and_not_passed_over(tmp_path, sheets, pens):
    for name, place in (("folder", "shop"), ("workbook", "shop.xlsx")):
        slipped = {("set_up" if k == "set_ups" else k): v for k, v in sheets.items()}
        with pytest.raises(BadFile, match="call it 'set_ups'"):
            read_catalogue(pens[name](tmp_path / place, slipped))


def test_other_papers_may_lie_in_the_folder(tmp_path, sheets, pens):
    folder = pens["folder"](tmp_path / "shop", sheets)
    (folder / "phone_tree.csv").write_bytes(b"\xff\xfe\x00")
    (folder / "past_visits.csv").write_text("not read here")
    assert read_catalogue(folder).items


def test_a_formula_is_refused_because_its_value_may_be_stale(tmp_path, sheets, pens):
    path = pens["workbook"](tmp_path / "shop.xlsx", sheets)
    book = openpyxl.load_workbook(path)
    book["offers"]["F2"] = "=1+1"
    book.save(path)
    with pytest.raises(BadFile, match=r"sheet offers, row 2, column 'F': .* not a formula"):
        read_catalogue(path)


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        ("item,name,unit\nnipper,Pince à envies,each\n".encode("latin-1"), "UTF-8 text"),
        ("item,name,unit\nnipper,Nipper,each\n".encode("utf-16"), "UTF-8 text"),
        (b'item,name,unit\nnipper,"Nipper,each\n', "every opened quote closed"),
        (b"", "column 'item'"),
        (b"item,name,unit\n", "At least one item"),
        (b"item,name,name,unit\nn,N,N,each\n", "stands twice"),
    ],
)
def test_a_file_that_is_no_sheet_gets_a_helpful_sentence(tmp_path, sheets, pens, raw, sentence):
    folder = pens["folder"](tmp_path / "shop", sheets)
    (folder / "items.csv").write_bytes(raw)
    with pytest.raises(BadFile, match=sentence):
        read_catalogue(folder)


def test_what_is_missing_or_damaged_is_said_plainly(tmp_path, sheets, pens):
    with pytest.raises(BadFile, match="no such folder"):
        read_catalogue(tmp_path / "nowhere")
    (tmp_path / "shop.xlsx").write_bytes(b"PK\x03\x04 torn")
    with pytest.raises(BadFile, match=r"no readable \.xlsx"):
        read_catalogue(tmp_path / "shop.xlsx")
    folder = pens["folder"](tmp_path / "shop", sheets)
    (folder / "shop.toml").unlink()
    with pytest.raises(BadFile, match=r"shop.toml: There is no such file"):
        read_catalogue(folder)
    (folder / "shop.toml").write_text("zone = Europe")
    with pytest.raises(BadFile, match="TOML is expected"):
        read_catalogue(folder)
