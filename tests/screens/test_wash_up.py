"""The wash-up at the keys: soiled, cleaned, wet for its whole time, ready; and the jars."""

from collections.abc import Callable

import pytest
from small_shop import Clock

from consumables.desk.closing import card_for, close_visit
from consumables.desk.jars import jars, mix_jar
from consumables.desk.opening import Desk
from consumables.desk.washing import wash_list


@pytest.fixture
def after_a_manicure(desk: Desk, visit: Callable[..., str]) -> Desk:
    close_visit(desk, card_for(desk, visit("manicure")))
    return desk


def states(desk: Desk) -> dict[str, str]:
    return {piece.piece_id: piece.state for piece in wash_list(desk, everything=True)}


async def test_a_whole_round_takes_a_mark_and_enter_at_each_step(
    after_a_manicure: Desk, clock: Clock, at_desk
) -> None:
    mix_jar(after_a_manicure, "concentrate", 1000, 32)
    async with at_desk() as hand:
        await hand.press("2", "s", "enter")
        assert "cleaned treat nipper nipper-01" in hand.sees
        await hand.press("a", "enter")
        assert "wet 10:00" in hand.sees
        clock.passes(4.5)
        await hand.press("enter")
        assert "NOT DONE Piece nipper-01 must stay wet 6 minutes more" in hand.sees
        clock.passes(5.5)
        await hand.press("enter")
        assert states(after_a_manicure)["nipper-01"] == "ready"
        assert "Nothing waits at the sink" in hand.sees


async def test_the_minutes_left_tick_once_a_second_and_the_end_is_told(
    after_a_manicure: Desk, clock: Clock, at_desk
) -> None:
    mix_jar(after_a_manicure, "concentrate", 1000, 32)
    async with at_desk(toasts=True) as hand:
        await hand.press("2", "c", "t")
        clock.passes(9)
        await hand.pilot.pause(1.1)
        assert "wet 1:00" in hand.sees
        clock.passes(1)
        await hand.pilot.pause(1.1)
        await hand.settle()
        assert "take out" in hand.sees
        assert "Time is up" in hand.sees


async def test_without_a_jar_a_bath_is_refused_and_a_jar_is_mixed(
    after_a_manicure: Desk, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("2", "c", "t")
        assert "NOT DONE There is no jar of disinfectant in use" in hand.sees
        await hand.press("m")
        assert "Never mix bleach with ammonia" in hand.asked
        await hand.type("660")
        await hand.press("enter", "enter")
        assert "Parts of water to one part: fill this in." in hand.asked
        await hand.type("32")
        await hand.press("enter")
        assert [jar.parts_water for jar in jars(after_a_manicure)] == [32]
        assert "JARS in use: concentrate 1:32, 10 min" in hand.sees


async def test_a_jar_is_emptied_with_its_reason(after_a_manicure: Desk, at_desk) -> None:
    mix_jar(after_a_manicure, "concentrate", 1000, 32)
    async with at_desk() as hand:
        await hand.press("2", "j", "enter")
        await hand.type("clou")
        await hand.press("enter")
        assert jars(after_a_manicure) == []
        assert "emptied: cloudy" in hand.sees


async def test_a_piece_that_met_blood_needs_the_blood_level_key(
    desk: Desk, visit: Callable[..., str], at_desk
) -> None:
    from dataclasses import replace

    mix_jar(desk, "concentrate", 1000, 32)
    close_visit(desk, replace(card_for(desk, visit("manicure")), contaminated=True))
    async with at_desk() as hand:
        await hand.press("2")
        assert "soiled BLOOD" in hand.sees
        await hand.press("c", "t")
        assert "NOT DONE Piece nipper-01 met blood" in hand.sees
        await hand.press("b")
        assert "the product's label" in hand.asked
        await hand.press("y")
        assert states(desk)["nipper-01"] == "in-treatment"


async def test_lamps_are_wiped_down_in_one_go(desk: Desk, visit, at_desk) -> None:
    close_visit(desk, card_for(desk, visit("lamp")))
    async with at_desk() as hand:
        await hand.press("2", "d")
        assert states(desk)["lamp-01"] == "in-treatment"
        assert "1 piece wiped down" in hand.sees


async def test_a_worn_piece_is_retired_with_the_reason(after_a_manicure: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "x")
        assert "Why is nipper-01 (nipper) retired?" in hand.asked
        await hand.type("tip snapped off")
        await hand.press("enter")
        assert states(after_a_manicure)["nipper-01"] == "retired"
        assert "retired: tip snapped off" in hand.sees


async def test_a_dropped_piece_is_washed_again(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "r")
        assert "ready" in hand.sees
        await hand.press("w")
        assert list(states(desk).values()).count("soiled") == 1
