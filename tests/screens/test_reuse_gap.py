"""The reuse gap at the keys: g goes from services to items, initials, cards and counts."""

from consumables.desk.closing import card_for, close_visit, set_quantity
from consumables.desk.opening import Desk
from consumables.desk.shelving import count
from consumables.screens.widgets.rows import Rows


async def test_g_looks_at_the_gap_in_five_ways(desk: Desk, visit, at_desk) -> None:
    close_visit(desk, set_quantity(card_for(desk, visit("manicure")), 0, 0))
    count(desk, "board", 60)
    async with at_desk() as hand:
        await hand.press("6", "g")
        assert "GAP BY SERVICE: the last 7 days, 1 of 1 card short" in hand.sees
        await hand.press("g")
        assert "GAP BY ITEM" in hand.sees
        assert "0 to 20 %, 95 % sure" in hand.sees
        assert "●─────────────────" in hand.sees  # the gloves: none short, up to 97.5 % could be
        await hand.press("g")
        assert "GAP BY TECHNICIAN" in hand.sees
        await hand.press("g")
        assert "missing 04 Mar 12:00 board AB" in hand.sees
        await hand.press("g")
        assert "GAP, COUNTS" in hand.sees
        assert "more" in hand.sees
        await hand.press("g", "p")
        assert "GAP BY SERVICE: the last 30 days" in hand.sees


async def test_the_gap_begins_with_the_row_that_stands_out(desk: Desk, visit, at_desk) -> None:
    close_visit(desk, set_quantity(card_for(desk, visit("manicure")), 0, 0))
    async with at_desk() as hand:
        await hand.press("6", "g", "down", "g")
        shown = [rows for rows in hand.app.screen.query(Rows) if rows.size.width]
        assert [rows.current for rows in shown] == ["board"]


async def test_full_cards_say_so_and_empty_days_say_what_to_do(desk: Desk, visit, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("6", "g")
        assert "No visit of these days asks for a single-use thing." in hand.sees
    close_visit(desk, card_for(desk, visit("manicure")))
    async with at_desk() as hand:
        await hand.press("6", "g")
        assert "nothing missing" in hand.sees
        await hand.press("g", "g", "g")
        assert "No card of these days leaves out" in hand.sees


async def test_the_gap_fits_a_very_small_terminal(desk: Desk, visit, at_desk) -> None:
    close_visit(desk, set_quantity(card_for(desk, visit("manicure")), 0, 0))
    count(desk, "board", 60)
    async with at_desk(size=(40, 15)) as hand:
        await hand.press("6")
        for _ in range(5):
            await hand.press("g")
            lists = [rows for rows in hand.app.screen.query(Rows) if rows.size.width]
            assert all(rows.virtual_size.width <= rows.size.width for rows in lists)
