"""A scanned tag or pack, found again in the shop: known pieces, offers and orders on their way."""

from datetime import date, timedelta

import pytest
from bar_coded_shop import ACETONE, BOARD, GS, NIPPER, give_bar_codes
from small_shop import Clock

from consumables.desk.delivering import receive
from consumables.desk.opening import Desk
from consumables.desk.ordering import open_orders, place_packs
from consumables.desk.scanning import Arrival, PieceSeen, arrival, on_the_way, piece_seen, seen
from consumables.desk.washing import retire, wash_again
from consumables.errors import NotFound, Refused


@pytest.fixture
def coded(desk: Desk) -> Desk:
    give_bar_codes(desk)
    return desk


def test_a_tag_tells_where_its_piece_stands(coded: Desk) -> None:
    found = seen(coded, "DESK:nipper-01")
    assert isinstance(found, PieceSeen)
    assert "ready for the next client; 0 uses so far" in found.sentence
    wash_again(coded, ["nipper-01"])
    assert "soiled; wash it first" in piece_seen(coded, "DESK:nipper-01").sentence
    retire(coded, "nipper-01", "rust")
    assert "never comes back" in piece_seen(coded, "DESK:nipper-01").sentence


def test_a_tag_of_another_shop_is_said_to_be_one(coded: Desk) -> None:
    with pytest.raises(NotFound, match="nipper-77 was ever tagged"):
        seen(coded, "DESK:nipper-77")


def test_a_label_fills_item_units_use_by_and_lot_of_the_order_on_its_way(coded: Desk) -> None:
    place_packs(coded, "north", {"board-50": 4})
    (order,) = open_orders(coded)
    found = on_the_way(coded, f"]C102{BOARD}372{GS}17270600" + "10K4")
    assert found == Arrival(
        "board", "board", "board-50", 50, order.order_id, 200, 100, date(2027, 6, 30), "K4"
    )


def test_a_label_that_does_not_count_leaves_the_units_open(coded: Desk) -> None:
    place_packs(coded, "north", {"board-50": 4})
    assert on_the_way(coded, BOARD).units is None


def test_the_oldest_order_that_still_lacks_it_is_filled_first(coded: Desk, clock: Clock) -> None:
    place_packs(coded, "north", {"board-50": 1})
    first = open_orders(coded)[0].order_id
    clock.at += timedelta(days=1)
    place_packs(coded, "north", {"board-50": 1})
    second = next(o.order_id for o in open_orders(coded) if o.order_id != first)
    assert on_the_way(coded, BOARD).order_id == first
    assert on_the_way(coded, BOARD, second).order_id == second
    receive(coded, first, "board-50", 50)
    assert on_the_way(coded, BOARD).order_id == second


def test_what_is_on_no_order_is_known_but_not_received(coded: Desk) -> None:
    assert arrival(coded, NIPPER).order_id == ""
    with pytest.raises(NotFound, match="on no order on its way"):
        on_the_way(coded, NIPPER)
    with pytest.raises(NotFound, match="not on order order-none"):
        on_the_way(coded, NIPPER, "order-none")


def test_a_number_nobody_knows_says_what_to_do(coded: Desk) -> None:
    with pytest.raises(NotFound, match=r"05012345678900.*offers\.csv"):
        arrival(coded, "5012345678900")


def test_a_label_without_a_number_is_no_delivery(coded: Desk) -> None:
    with pytest.raises(Refused, match="no bar-code number"):
        arrival(coded, "17270630" + "10K4")


def test_a_doubt_comes_along(coded: Desk) -> None:
    found = arrival(coded, f"01{ACETONE}10A21B")
    assert found.lot == ""
    assert "serial number" in found.doubts[0]
