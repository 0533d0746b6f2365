"""The week's order: looked at, placed, and taken in as lots, in parts and with wrong counts."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from small_shop import Clock, put_in_book

from consumables.desk.checking import check
from consumables.desk.closing import card_for, close_visit
from consumables.desk.delivering import receive, receive_unordered
from consumables.desk.opening import Desk
from consumables.desk.ordering import (
    close_order,
    days_of_cover,
    open_orders,
    place,
    place_packs,
    week_order,
)
from consumables.desk.restoring import take_over_copy
from consumables.desk.shelving import count, lots_of
from consumables.desk.washing import wash_list
from consumables.errors import NotFound, Refused
from consumables.ledger.appointments import Appointment


@pytest.fixture
def busy(desk: Desk) -> Desk:
    """Four manicures are in the book for every day of the coming fortnight; few boards are left."""
    first = desk.clock()
    booked = [
        Appointment(
            f"b{day}-{n}",
            first + timedelta(days=day, hours=n),
            first + timedelta(days=day, hours=n + 1),
            ("manicure",),
            booked_on=date(2026, 2, 20),
        )
        for day in range(1, 15)
        for n in range(4)
    ]
    with desk.store.writing() as session:
        session.write_appointments(booked, "test")
    count(desk, "board", 5)
    return desk


def test_a_day_one_shop_gets_a_list_from_set_ups_and_the_calendar(busy: Desk) -> None:
    order = week_order(busy)
    boards = next(line for line in order.lines if line.item == "board")
    assert boards.units >= 35  # ten days of four manicures, less five on the shelf
    assert "5 usable" in boards.why_now


def test_what_is_on_its_way_is_not_bought_again(busy: Desk) -> None:
    receipts = place(busy, week_order(busy))
    assert "Placed order-260304-north" in receipts[0].sentence
    assert week_order(busy).lines == ()


def test_an_order_comes_in_parts_as_lots_with_a_use_by(busy: Desk) -> None:
    place_packs(busy, "north", {"board-50": 2})
    (order,) = open_orders(busy)
    part = receive(busy, order.order_id, "board-50", 60, date(2028, 1, 1), "L7")
    assert part.cautions == ("40 of this line still to come.",)
    (order,) = open_orders(busy)
    assert (order.state, order.lines[0].outstanding) == ("part delivered", 40)
    rest = receive(busy, order.order_id, "board-50", 45)  # five too many: the truth all the same
    assert "5 more than was ordered" in rest.cautions[0]
    assert open_orders(busy) == []
    assert sum(lot.on_hand for lot in lots_of(busy, "board")) == 110
    assert check(busy) == []


def test_a_delivery_past_its_use_by_is_refused(desk: Desk) -> None:
    with pytest.raises(Refused, match="send it back"):
        receive_unordered(desk, "board", 50, date(2026, 3, 3))


def test_new_tools_come_in_tagged_and_wait_for_their_first_wash(desk: Desk) -> None:
    receive_unordered(desk, "nipper", 2, unit_cost=Decimal("14"))
    assert {(p.piece_id, p.next_step) for p in wash_list(desk)} == {
        ("nipper-03", "clean"),
        ("nipper-04", "clean"),
    }


def test_an_order_can_be_closed_when_nothing_more_will_come(desk: Desk) -> None:
    place_packs(desk, "north", {"board-50": 1})
    (order,) = open_orders(desk)
    close_order(desk, order.order_id, "supplier has none")
    assert open_orders(desk) == []


def test_an_offer_of_another_supplier_is_refused_by_name(desk: Desk) -> None:
    with pytest.raises(NotFound, match="makes no offer board-51"):
        place_packs(desk, "north", {"board-51": 1})


def test_use_at_visits_and_stock_give_days_of_cover(desk: Desk, clock: Clock) -> None:
    for week in range(6):
        put_in_book(desk, f"v{week}", ("manicure",))
        card = card_for(desk, f"v{week}")
        close_visit(desk, card, already_done=True)
        clock.passes(60 * 24 * 7)
    cover = days_of_cover(desk)
    # Eight gloves are left and two went each week: four weeks, or more as nobody is booked ahead.
    assert 14 <= float(cover["gloves"] or 0) <= 90
    assert cover["strip"] is None


def test_an_order_between_two_order_days_lasts_until_the_next_one(desk: Desk) -> None:
    assert week_order(desk).next_order_on == date(2026, 3, 9)  # a Monday; today is a Wednesday
    assert week_order(desk, date(2026, 3, 9)).next_order_on == date(2026, 3, 16)


def test_after_an_older_copy_nothing_is_ordered_before_it_is_counted(busy: Desk) -> None:
    take_over_copy(busy, "the disk failed")
    order = week_order(busy)
    assert order.notes[0].startswith("Count first")
    with pytest.raises(Refused, match="Count first"):
        place(busy, order)
