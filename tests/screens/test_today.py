"""The opening screen: a visit is closed with two keys, and undone after a clear question."""

from collections.abc import Callable

from consumables.desk.opening import Desk
from consumables.desk.today import visits_on
from consumables.screens.card import CardScreen
from consumables.screens.widgets.rows import Rows


def states(desk: Desk) -> dict[str, str]:
    return {visit.visit_id: visit.state for visit in visits_on(desk)}


async def test_a_usual_visit_is_closed_with_at_most_three_keys(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "c")
        assert hand.pressed <= 3
        assert states(desk) == {"v1": "closed"}
        assert "BIN NOW 1 board; 2 gloves" in hand.sees
        assert "TO WASH 1 nipper (nipper-01)" in hand.sees


async def test_enter_alone_closes_it_once_the_card_was_seen(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter")
        await hand.pilot.pause(CardScreen.ENTER_RESTS)
        await hand.press("enter")
        assert states(desk) == {"v1": "closed"}


async def test_a_held_enter_opens_the_card_and_does_not_close_it(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "enter", "enter")
        assert isinstance(hand.app.screen, CardScreen)
        assert states(desk) == {"v1": "open"}


async def test_after_one_visit_the_next_open_one_is_highlighted(desk, visit, at_desk) -> None:
    visit("manicure", visit_id="v1")
    visit("pedicure", visit_id="v2")
    async with at_desk() as hand:
        await hand.press("enter", "c")
        assert hand.app.screen.query_one(Rows).current == "v2"
        await hand.press("enter", "c")
        assert "STRIP 1 core (core-01)" in hand.sees
        assert set(states(desk).values()) == {"closed"}


async def test_a_client_who_did_not_come_uses_nothing(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("n")
        assert "The client did not come?" in hand.asked
        await hand.press("y")
        assert states(desk) == {"v1": "no-show"}
        assert "nothing was used" in hand.sees


async def test_a_walk_in_is_put_on_the_list_and_highlighted(desk, visit, at_desk) -> None:
    visit("pedicure")
    async with at_desk() as hand:
        await hand.press("w", "space", "enter")
        await hand.type("x9")
        await hand.press("enter")
        (walk_in,) = (found for found in visits_on(desk) if found.visit_id != "v1")
        assert (walk_in.client, walk_in.services) == ("x9", ("Manicure",))
        assert hand.app.screen.query_one(Rows).current == walk_in.visit_id


async def test_the_last_job_is_told_before_it_is_undone(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "c", "u")
        assert "Undo the last job? 11:00 c01 closed: 4 items used" in hand.asked
        assert "signed AB" in hand.asked
        await hand.press("escape")
        assert states(desk) == {"v1": "closed"}
        await hand.press("u", "enter")  # they may have been touched: they stay out
        assert "1 board stay out" in hand.sees
        assert states(desk) == {"v1": "open"}
        assert "DONE Undone" in hand.sees


async def test_an_empty_day_says_what_to_do_next(desk, at_desk) -> None:
    async with at_desk() as hand:
        assert "Nobody is booked today" in hand.sees
        assert "w puts a walk-in on the list" in hand.sees
        await hand.press("comma")
        assert "Nobody is booked on this day" in hand.sees


async def test_every_key_is_also_a_place_to_click(desk, visit: Callable[..., str], at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.click("KeyLine", "card")
        await hand.click("KeyLine", "close visit")
        assert states(desk) == {"v1": "closed"}
        await hand.click("TopLine", "Shelf")
        assert hand.app.current_mode == "shelf"
