"""The week's order at the keys: why, how many, placed, taken in."""

from datetime import date, timedelta

import pytest

from consumables.desk.opening import Desk
from consumables.desk.ordering import open_orders, place_packs, week_order
from consumables.desk.shelving import lots_of
from consumables.ledger.appointments import Appointment
from consumables.screens.widgets.rows import Rows


@pytest.fixture
def full_book(desk: Desk) -> Desk:
    """Seventy manicures next week: more boards than the shelf holds."""
    opens, one = desk.now() + timedelta(days=1), timedelta(minutes=40)
    starts = [opens + timedelta(days=n // 10) + n % 10 * one for n in range(70)]
    book = [
        Appointment(f"b{n}", at, at + one, ("manicure",), booked_on=desk.today())
        for n, at in enumerate(starts)
    ]
    with desk.store.writing() as session:
        session.write_appointments(book, "test")
    return desk


async def test_every_line_says_why_it_is_there_and_what_happens_without(
    full_book: Desk, at_desk
) -> None:
    (board,) = (line for line in week_order(full_book).lines if line.item == "board")
    async with at_desk(size=(140, 40)) as hand:
        await hand.press("4")
        hand.app.screen.query_one(Rows).go_to("board-50")
        assert f"{board.packs} x 50 board" in hand.sees
        assert "EUR; next order Mon 09 Mar" in hand.sees
        await hand.press("enter")
        assert board.why_now in hand.asked
        assert board.if_left_out in hand.asked


async def test_packs_are_changed_then_placed_then_on_the_way(full_book: Desk, at_desk) -> None:
    packs = {line.offer: line.packs for line in week_order(full_book).lines}
    async with at_desk() as hand:
        await hand.press("4")
        hand.app.screen.query_one(Rows).go_to("board-50")
        await hand.press("plus", "plus", "minus", "p")
        assert "Place the order to North?" in hand.asked
        await hand.press("y")
        (order,) = open_orders(full_book)
        placed = {line.offer_id: line.packs for line in order.lines}
        assert placed == packs | {"board-50": packs["board-50"] + 1}
        await hand.press("o")
        assert "placed board 0/100" in hand.sees


async def test_what_was_noticed_is_one_key_away(full_book: Desk, at_desk) -> None:
    notes = week_order(full_book).notes
    async with at_desk() as hand:
        await hand.press("4", "n")
        assert notes
        assert all(note in hand.asked for note in notes)


async def test_a_part_delivery_is_taken_in_with_its_use_by_and_lot(desk: Desk, at_desk) -> None:
    place_packs(desk, "north", {"board-50": 2})
    async with at_desk() as hand:
        await hand.press("4", "o", "r", "ctrl+u")
        await hand.type("40")
        await hand.press("enter")
        await hand.type("31.12.2027")
        await hand.press("enter", "enter")
        assert "a date like 2031-05-28 is expected" in hand.asked
        await hand.press("ctrl+u")
        await hand.type("2027-12-31")
        await hand.press("enter")
        await hand.type("L7")
        await hand.press("enter")
        assert "part delivered board 40/100" in hand.sees
        assert any(lot.use_by == date(2027, 12, 31) for lot in lots_of(desk, "board"))


async def test_what_will_not_come_any_more_is_closed_with_the_reason(desk: Desk, at_desk) -> None:
    place_packs(desk, "north", {"board-50": 2})
    async with at_desk() as hand:
        await hand.press("4", "o", "k", "enter")
        assert open_orders(desk) == []
        assert "closed: sold out" in hand.sees


async def test_an_empty_list_says_until_when_nothing_is_needed(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("4")
        assert "Nothing needs to be bought before Monday 09 March." in hand.sees
