"""The card of a visit: put right with a few keys, refused with reasons, never turned away."""

from consumables.desk.opening import Desk, Receipt
from consumables.desk.shelving import lots_of
from consumables.desk.today import visits_on
from consumables.desk.undoing import flagged
from consumables.desk.washing import wash_list
from consumables.screens.widgets.told import Told


def held(desk: Desk, item_id: str) -> int:
    return sum(lot.on_hand for lot in lots_of(desk, item_id))


async def test_the_card_says_where_each_thing_goes_and_its_mark(desk, visit, at_desk) -> None:
    visit("pedicure")
    async with at_desk() as hand:
        await hand.press("enter")
        assert "strip + wash 1 core replaceable-surface" in hand.sees
        assert "bin 1 strip single-use" in hand.sees
        assert "bin 2 gloves single-use" in hand.sees


async def test_what_was_not_used_stays_on_the_shelf(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "space")
        assert "not used 0 board" in hand.sees
        await hand.press("c")
        assert held(desk, "board") == 57


async def test_more_is_counted_in_the_smallest_measure_that_is_drawn(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "plus", "plus", "minus", "down", "down", "plus", "c")
        assert held(desk, "board") == 57 - 2
        assert held(desk, "acetone") == 500 - 10  # its dose is 5 ml


async def test_an_extra_item_is_found_by_a_part_of_its_name(desk, visit, at_desk) -> None:
    visit("lamp")
    async with at_desk() as hand:
        await hand.press("enter", "e")
        await hand.type("glov")
        await hand.press("enter")
        assert "bin 1 gloves" in hand.sees
        await hand.press("c")
        assert held(desk, "gloves") == 19


async def test_she_may_name_the_piece_that_was_in_her_hand(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "down", "p", "down", "enter", "c")
        (soiled,) = wash_list(desk)
        assert soiled.piece_id == "nipper-02"


async def test_blood_shows_its_caution_and_asks_for_the_blood_level_cycle(
    desk, visit, at_desk
) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "b")
        assert "BLOOD: YES" in hand.sees
        assert "stop, glove, first aid" in hand.sees
        await hand.press("c")
        (soiled,) = wash_list(desk)
        assert soiled.blood_level


async def test_a_refused_card_gives_its_reasons_and_writes_nothing(
    desk, lamp_in_the_wash, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("enter")
        assert "refused 1 lamp" in hand.sees
        assert "NOT ALLOWED AS IT STANDS - lamp: 1 asked for, 0 ready" in hand.sees
        await hand.press("c")
        assert "NOT DONE Nothing was written" in hand.sees
        assert {v.visit_id: v.state for v in visits_on(desk)}["next"] == "open"


def test_a_blade_is_told_for_the_sharps_box_and_not_for_the_bin() -> None:
    told = Told.receipt(Receipt("k", "Closed.", bin=("2 gloves",), sharps=("1 blade",)))
    assert told.lists == (("SHARPS", ("1 blade",)), ("BIN NOW", ("2 gloves",)))


async def test_what_is_already_done_is_written_and_flagged(desk, lamp_in_the_wash, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("enter", "f")
        assert "Is it already done?" in hand.asked
        await hand.press("enter")  # the no is highlighted
        assert not flagged(desk)
        await hand.press("f", "y")
        assert [flag.item_id for flag in flagged(desk)] == ["lamp"]
        assert "FLAGGED 1 lamp" in hand.sees


async def test_escape_leaves_the_visit_open(desk, visit, at_desk) -> None:
    visit("manicure")
    async with at_desk() as hand:
        await hand.press("enter", "escape")
        assert [v.state for v in visits_on(desk)] == ["open"]
