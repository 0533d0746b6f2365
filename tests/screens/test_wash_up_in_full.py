"""The wash-up beyond the usual day: the steriliser, looking over, foot basins, shared baths."""

from dataclasses import replace

import pytest
from small_shop import CATALOGUE, Clock

from consumables.desk.basins import basin_log
from consumables.desk.closing import card_for, close_visit
from consumables.desk.jars import jars, mix_jar
from consumables.desk.opening import Desk
from consumables.desk.sterilising import loads
from consumables.desk.washing import clean, treat, wash_again, wash_list


def states(desk: Desk) -> dict[str, str]:
    pieces = wash_list(desk, everything=True)
    return {piece.piece_id: piece.state for piece in pieces if piece.item_id == "nipper"}


@pytest.fixture
def texan(desk: Desk) -> Desk:
    """Both nippers cleaned, under a book that wants metal sterilised."""
    with desk.store.writing() as session:
        session.write_settings(replace(CATALOGUE.settings, rule_book="us-texas"))
    desk.forget()
    wash_again(desk, ["nipper-01", "nipper-02"])
    clean(desk, ["nipper-01", "nipper-02"])
    return desk


async def test_a_load_goes_in_with_two_keys_and_out_with_two(
    texan: Desk, clock: Clock, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("2", "a", "enter")
        assert "Which cycle for 2 in the steriliser?" in hand.asked
        await hand.press("enter")
        assert "in 45:00" in hand.sees
        clock.passes(45)
        await hand.press("a", "enter")
        assert "What does the indicator of load-0001 show?" in hand.asked
        await hand.press("enter")
        assert set(states(texan).values()) == {"ready"}
        assert loads(texan)[0].indicator == "changed"


async def test_a_spore_test_is_taken_and_read_at_the_sink(texan: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "p", "enter")
        assert "its result is waited for" in hand.sees
        await hand.press("p")
        await hand.type("failed")
        await hand.press("enter")
        assert "LATE The last spore test failed" in hand.sees


async def test_rust_is_taken_from_a_list_and_retires_the_piece(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "r", "v")
        await hand.type("rust")
        await hand.press("enter")
        pieces = wash_list(desk, everything=True)
        assert [piece.state for piece in pieces].count("retired") == 1
        assert "looked over: rust" in hand.sees


async def test_a_look_that_finds_nothing_is_one_key_more(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "r", "v", "enter")
        assert "looked over: nothing found" in hand.sees


async def test_what_joins_a_bath_sends_every_clock_back(
    desk: Desk, visit, clock: Clock, at_desk
) -> None:
    wash_again(desk, ["nipper-01", "nipper-02"])
    clean(desk, ["nipper-01", "nipper-02"])
    mix_jar(desk, "concentrate", 500, 64)
    treat(desk, ["nipper-01"])
    clock.passes(7)
    async with at_desk() as hand:
        await hand.press("2")
        assert "wet 3:00" in hand.sees
        await hand.press("t")
        assert hand.sees.count("wet 10:00") == 2
        assert "2 in it" in hand.sees


async def test_a_basin_is_signed_for(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "f", "enter")
        await hand.type("left")
        await hand.press("enter", "enter")
        (line,) = basin_log(desk)
        assert (line.basin, line.moment, line.who) == ("left", "after-client", "AB")


async def test_a_jar_is_mixed_by_the_words_on_the_label(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "m")
        await hand.type("1 us_gal")
        await hand.press("enter")
        await hand.type("2 us_fl_oz per us_gal")
        await hand.press("enter")
        assert [(jar.total_ml, jar.parts_water) for jar in jars(desk)] == [(3785, 64)]


async def test_the_ultrasonic_bath_is_mixed_when_there_is_none(desk: Desk, at_desk) -> None:
    wash_again(desk, ["nipper-01"])
    clean(desk, ["nipper-01"])
    async with at_desk() as hand:
        await hand.press("2", "n")
        await hand.type("concen")
        await hand.press("enter")
        await hand.type("500")
        await hand.press("enter")
        await hand.type("20")
        await hand.press("enter")
        assert [jar.purpose for jar in jars(desk)] == ["ultrasonic"]
        await hand.press("n")
        assert "ran 10 min in the ultrasonic bath" in hand.sees


async def test_a_usual_day_needs_no_more_keys_than_before(
    desk: Desk, visit, clock: Clock, at_desk
) -> None:
    # Counted before the wash-up grew: 2, s, enter, a, enter, enter is six keys from soiled to
    # ready, with a jar in use.
    mix_jar(desk, "concentrate", 1000, 32)
    close_visit(desk, card_for(desk, visit("manicure")))
    async with at_desk() as hand:
        await hand.press("2", "s", "enter", "a", "enter")
        clock.passes(10)
        await hand.press("enter")
        assert hand.pressed == 6
        assert states(desk)["nipper-01"] == "ready"
