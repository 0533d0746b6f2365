"""From the shop's tables to the week's explained order list."""

from datetime import timedelta
from decimal import Decimal

import numpy as np
import pandas as pd
import pytest

from consumables.reorder.tables import BadTable
from consumables.reorder.week import Pace
from consumables.reorder.week_order import stock_projection, week_order

PROJECTED = ("items", "set_ups", "appointments", "usage", "loose_use", "stock", "on_order")


@pytest.fixture(scope="session")
def order(shop, today):
    """The order list of the small shop with some tables replaced."""

    def build(target=0.99, **replaced):
        return week_order(**shop(**replaced), as_of=today, target=target)

    return build


@pytest.fixture(scope="session")
def projected(shop, today):
    """The shelf's projection of the small shop, by item."""

    def build(**replaced):
        tables = {k: v for k, v in shop(**replaced).items() if k in PROJECTED}
        return stock_projection(**tables, as_of=today).set_index("item")

    return build


def _line(found, item):
    return next(line for line in found.lines if line.item == item)


def _stock(files, **more):
    return [{"item": "file", "on_hand": files, **more}, {"item": "remover", "on_hand": 5000}]


def test_a_shop_without_a_past_gets_a_sane_list_on_its_first_day(order):
    found = order()
    line = _line(found, "file")
    # 16 of the 20 booked visits fall before the next delivery (two a day): at least 2 x 18 files
    assert line.outlook.booked_need == pytest.approx(18 * 2 * 0.95, abs=0.5)
    assert 36 <= line.level <= 80
    assert line.units >= line.level
    assert found.total == sum((line.cost for line in found.lines), Decimal(0))


def test_every_line_says_why_in_sentences(order):
    line = _line(order(stock=_stock(9)), "file")
    assert "9 usable and 0 on order are under the level" in line.why_now
    assert "from near cost" in line.why_this
    assert "visit v0" in line.if_left_out
    assert line.outlook.days_of_cover == 2
    for sentence in (line.why_now, line.why_this, line.if_left_out):
        assert sentence.endswith(".")


def test_the_day_the_shelf_is_bare_waits_for_what_is_on_order(order, today):
    due = [{"item": "file", "units": 8, "due": today + timedelta(days=1)}]
    seen = _line(order(stock=_stock(9), on_order=due), "file").outlook
    assert seen.bare_on == today + timedelta(days=4)
    assert seen.visit_on == today + timedelta(days=4)


def test_nothing_is_ordered_when_the_shelf_suffices(order):
    found = order(stock=_stock(500))
    assert found.lines == ()
    assert found.total == 0


def test_what_is_on_order_counts(order):
    found = order(stock=_stock(0), on_order=[{"item": "file", "units": 500}])
    assert found.lines == ()


def test_an_order_long_overdue_is_not_counted_and_said(order, today):
    late = [{"item": "file", "units": 500, "due": today - timedelta(days=20)}]
    found = order(stock=_stock(0), on_order=late)
    assert _line(found, "file").outlook.on_order == 0
    assert any("no longer counted on" in note for note in found.notes)


def test_stock_past_its_use_by_date_is_not_counted_and_said(order, today):
    found = order(stock=_stock(500, use_by=today - timedelta(days=1)))
    assert _line(found, "file").outlook.on_hand == 0
    assert any("500 of paper file is past its use-by date" in note for note in found.notes)


def test_stock_that_will_expire_unused_is_not_relied_on(order, today):
    found = order(stock=_stock(500, use_by=today))
    line = _line(found, "file")
    assert line.outlook.usable < 20
    assert line.outlook.earliest_use_by == today


def test_the_floor_of_the_shop_is_kept(order):
    items = [
        {"item": "file", "keep_at_least": 400},
        {"item": "remover", "unit": "ml", "dose": 5},
    ]
    line = _line(order(items=items, stock=_stock(300)), "file")
    assert line.level == 400
    assert "under the shop's own floor of 400" in line.why_now


def test_kept_things_are_bought_for_loose_use_alone(order, today):
    items = [{"item": "file", "category": "disinfectable"}, {"item": "remover", "unit": "ml"}]
    assert not any(line.item == "file" for line in order(items=items).lines)
    broken = [
        {"on": today - timedelta(days=days), "item": "file", "quantity": 1}
        for days in range(5, 200, 10)
    ]
    assert 1 <= _line(order(items=items, loose_use=broken), "file").level <= 6


def test_a_short_shelf_life_caps_the_purchase_and_says_so(order):
    items = [{"item": "file", "shelf_life_days": 6}, {"item": "remover", "unit": "ml", "dose": 5}]
    offers = [{"offer": "f1", "supplier": "near", "item": "file", "pack_size": 1, "price": "0.2"}]
    line = _line(order(items=items, offers=offers), "file")
    assert line.units < line.level
    assert "use-by" in line.caution


def test_an_opened_pack_that_cannot_be_used_up_is_said(order):
    items = [{"item": "file"}, {"item": "remover", "unit": "ml", "after_opening_days": 7}]
    assert "opened pack is left" in _line(order(items=items), "remover").caution


def test_the_booked_visits_alone_hold_the_level_up_however_large_the_pack(order):
    offers = [{"offer": "f", "supplier": "near", "item": "file", "pack_size": 5000, "price": 30}]
    assert _line(order(offers=offers), "file").level >= 36


def test_a_higher_target_never_orders_less(order):
    levels = [_line(order(target=target), "file").level for target in (0.8, 0.9, 0.99, 0.999)]
    assert levels == sorted(levels)


def test_a_slower_supplier_needs_a_higher_level(order):
    def level(days):
        supplier = [{"supplier": "near", "lead_days": {days: 1.0}}]
        return _line(order(suppliers=supplier), "file").level

    assert level(1) < level(3)


def test_more_booked_visits_never_lower_the_level(order, shop):
    rows = shop()["appointments"].to_dict("records")
    more = [row | {"visit": "more" + row["visit"]} for row in rows]
    few, many = (_line(order(appointments=a), "file").level for a in (rows, rows + more))
    assert few < many


def test_rows_in_another_sequence_give_the_same_list(shop, today):
    past = [
        {
            "visit": f"p{n}",
            "service": "full",
            "starts_on": today - timedelta(days=n % 90 + 1),
            "booked_on": today - timedelta(days=n % 90 + 1 + n % 11),
            "status": "served" if n % 9 else "no-show",
        }
        for n in range(200)
    ]
    used = [
        {"visit": f"p{n}", "service": "full", "item": "file", "quantity": 1 + n % 3}
        for n in range(200)
    ]
    tables = shop() | {"usage": pd.DataFrame(used), "stock": pd.DataFrame(_stock(3))}
    tables["appointments"] = pd.concat([tables["appointments"], pd.DataFrame(past)])
    mixed = {name: frame.sample(frac=1, random_state=4) for name, frame in tables.items()}
    assert week_order(**mixed, as_of=today) == week_order(**tables, as_of=today)


def test_practice_that_left_the_set_up_moves_the_order_and_is_told(order, shop, today):
    past = [
        {"visit": f"p{n}", "service": "full", "starts_on": today - timedelta(days=1 + n)}
        | {"status": "served"}
        for n in range(60)
    ]
    used = [{"visit": f"p{n}", "service": "full", "item": "file", "quantity": 4} for n in range(60)]
    rows = shop()["appointments"].to_dict("records") + past
    followed = order(appointments=rows, usage=used)
    by_set_up = order(appointments=rows)
    assert _line(followed, "file").level > 1.5 * _line(by_set_up, "file").level
    assert followed.drift[0].sentence.startswith("The set-up of full says 2 of file")


def test_an_item_that_nobody_offers_is_in_the_notes(order, shop):
    offers = shop()["offers"].iloc[:1].to_dict("records")
    notes = order(offers=offers).notes
    assert any("remover is due but not ordered. No supplier offers it." in note for note in notes)


def test_what_is_nearly_due_is_listed_apart(order):
    level = _line(order(stock=_stock(0)), "file").level
    near = order(stock=_stock(level)).near
    assert [line.item for line in near] == ["file"]
    assert near[0].position == near[0].level == level


def test_an_empty_book_of_a_new_shop_still_makes_a_list(order):
    rows = [{"visit": "v1", "service": "full", "starts_on": "2026-03-05"}]
    line = _line(order(appointments=rows), "file")
    assert 2 <= line.level <= 30


@pytest.mark.parametrize("gone", ["items", "offers", "suppliers", "set_ups", "appointments"])
def test_a_shop_that_has_hardly_begun_gets_a_list_all_the_same(shop, today, gone):
    tables = shop()
    without = {"items": ("offers", "set_ups"), "suppliers": ("offers",)}
    for name in (gone, *without.get(gone, ())):
        tables[name] = tables[name].iloc[:0]
    found = week_order(**tables, as_of=today)
    assert bool(found.lines) == (gone in ("appointments",))


def test_pieces_by_the_hundred_are_not_cut_short(order):
    set_ups = [{"service": "full", "item": "file", "quantity": 600}]
    assert _line(order(set_ups=set_ups), "file").outlook.booked_need == pytest.approx(
        18 * 600 * 0.95, rel=0.01
    )


def test_the_shelf_screen_sees_how_long_things_last(projected, today):
    found = projected(stock=_stock(20, use_by=today + timedelta(days=300)))
    assert found.loc["file", "days_of_cover"] == 5  # two full sets a day, two files each
    assert found.loc["file", "runs_out_on"] == today + timedelta(days=5)
    assert found.loc["file", "earliest_use_by"] == today + timedelta(days=300)
    assert found.loc["file", "on_hand"] == 20
    assert found.loc["file", "daily_use"] > 1


def test_daily_use_is_the_mean_of_four_weeks():
    booked = np.concatenate([np.full((1, 2), 14.0), np.zeros((1, 60))], axis=1)
    assert Pace(booked, 0 * booked, 0 * booked).daily[0] == pytest.approx(1)


def test_what_nothing_uses_lasts_beyond_the_forecast(projected, shop):
    items = [*shop()["items"].to_dict("records"), {"item": "idle"}]
    assert pd.isna(projected(items=items).loc["idle", "days_of_cover"])


@pytest.mark.parametrize(
    ("tables", "sentence"),
    [
        ({"items": [{"name": "no id"}]}, "The table 'items' has no column 'item'"),
        ({"stock": [{"item": "file", "on_hand": -1}]}, "'stock', row 1, column 'on_hand'"),
        ({"stock": [{"item": "file", "on_hand": 1.5}]}, "whole number"),
        ({"stock": [{"item": "nobody", "on_hand": 1}]}, "not in the catalogue"),
        ({"items": [{"item": "file"}, {"item": "file"}]}, "repeats item 'file'"),
        ({"items": [{"item": "file", "unit": "box"}]}, "one of each, ml, g"),
        ({"suppliers": [{"supplier": "near", "lead_days": {2: 0.5}}]}, "sum to 1"),
        ({"suppliers": [{"supplier": "near", "lead_days": {400: 1.0}}]}, "cannot be planned"),
        ({"offers": [{"offer": "f", "supplier": "far", "item": "file"}]}, "no column 'pack_size'"),
        (
            {"appointments": [{"visit": "v", "service": "full", "starts_on": "soon"}]},
            "a day such as 2026-03-31",
        ),
        (
            {
                "appointments": [
                    {"visit": "v", "service": "full", "starts_on": "2026-03-05"},
                    {"visit": "v", "service": "tidy", "starts_on": "2026-03-06"},
                ]
            },
            "gives visit 'v' more than one starts_on",
        ),
    ],
)
def test_a_table_that_cannot_be_trusted_is_refused_in_a_sentence(order, tables, sentence):
    with pytest.raises(BadTable, match=r"\.$") as refused:
        order(**tables)
    assert sentence in str(refused.value)


@pytest.mark.parametrize("target", [0, 1, 1.2])
def test_a_target_that_cannot_be_reached_is_refused(order, target):
    with pytest.raises(BadTable, match="must lie between 0 and 1"):
        order(target=target)
