"""Verdicts with their sources, and the record with its flagged uses, at the keys."""

from consumables.desk.closing import card_for, close_visit
from consumables.desk.opening import Desk
from consumables.desk.shelving import count, lots_of
from consumables.desk.undoing import flagged
from consumables.desk.verdicts import verdict_of
from consumables.screens.widgets.rows import Rows
from consumables.words import Category


async def test_a_verdict_shows_its_reasons_its_sources_and_who_disagrees(
    desk: Desk, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("5")
        assert "single-use board" in hand.sees
        assert "replaceable-surface core" in hand.sees
        await hand.press("enter")
        for reason in verdict_of(desk, "board").reasons:
            assert all(cite.section in hand.asked for cite in reason.cites)
        assert "Local law and the product's label" in hand.asked


async def test_a_verdict_shows_what_would_change_it_and_that_its_book_was_seen_in_part(
    desk: Desk, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("5", "slash")
        await hand.type("core")
        await hand.press("enter", "enter")
        assert "under strict-majority (seen in part)" in hand.asked
        assert "What would change it" in hand.asked
        assert "if the surface did not come off: single-use, bin" in hand.asked


async def test_before_another_book_is_put_in_force_the_items_that_move_are_shown(
    desk: Desk, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("5", "b")
        await hand.type("Texas")
        await hand.press("enter")
        assert "Moving from Strict majority (partial) to Texas (partial copy) changes" in hand.asked
        assert "- board: single-use, bin -> disinfectable, spray" in hand.asked
        await hand.press("y")
    desk.forget()
    assert desk.book.name == "us-texas"


async def test_an_open_question_is_shown_and_counts_as_single_use(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("5", "a")
        assert "single-use nail file 100/180 bin question" in hand.sees


async def test_an_item_is_tightened_with_the_reason(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("5", "slash")
        await hand.type("nipper")
        await hand.press("enter", "t")
        await hand.type("too many to wash")
        await hand.press("enter")
        assert verdict_of(desk, "nipper").category is Category.SINGLE_USE


async def test_any_item_is_found_by_name_in_the_palette(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("ctrl+p")
        await hand.type("acetone")
        await hand.pilot.pause(0.3)
        await hand.press("enter")
        await hand.settle()
        assert hand.app.current_mode == "items"
        assert hand.app.screen.query_one(Rows).current == "acetone"


async def test_every_action_of_a_place_is_in_the_palette(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("2", "ctrl+p")
        await hand.type("mix")
        await hand.pilot.pause(0.3)
        assert "jar key m: Mix and date a fresh jar." in hand.sees


async def test_the_record_lists_discards_treatments_and_longer_periods(
    desk: Desk, visit, at_desk
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    async with at_desk() as hand:
        await hand.press("6")
        assert "DISCARDS: the last 7 days" in hand.sees
        assert "discarded 04 Mar 12:00 gloves 2 bin AB" in hand.sees
        await hand.press("p")
        assert "the last 30 days" in hand.sees
        await hand.press("t")
        assert "Nothing was washed or treated in these days" in hand.sees


async def test_a_flagged_use_is_settled_with_what_was_found(
    desk: Desk, lamp_in_the_wash: str, at_desk
) -> None:
    close_visit(desk, card_for(desk, lamp_in_the_wash), already_done=True)
    async with at_desk() as hand:
        await hand.press("6", "f")
        assert "[ ] flagged" in hand.sees
        await hand.press("space", "s")
        await hand.type("wiped between clients, not written")
        await hand.press("enter")
        assert flagged(desk) == []
        assert "Nothing is flagged" in hand.sees


async def test_a_surplus_is_held_back_until_she_says_that_it_is_new(desk: Desk, at_desk) -> None:
    count(desk, "strip", 9)
    async with at_desk() as hand:
        await hand.press("6", "f", "n")
        await hand.type("a parcel nobody wrote down")
        await hand.press("enter")
        assert sum(lot.on_hand for lot in lots_of(desk, "strip")) == 9
        assert flagged(desk) == []


async def test_looser_than_the_book_is_signed_on_a_citation(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("5", "l", "down", "down", "enter")  # the emery board, by spraying
        assert "An inspector will read who signed it" in hand.asked
        await hand.type("the board agrees")
        await hand.press("tab")
        await hand.type("letter of 3 March")
        await hand.press("enter")
        assert desk_again(desk).verdicts["board"].route == "spray"
        await hand.press("k")
        await hand.type("withdrawn")
        await hand.press("enter")
        assert desk_again(desk).verdicts["board"].category is Category.SINGLE_USE


def desk_again(desk: Desk) -> Desk:
    """The desk as it stands now, not as it was read before."""
    desk.forget()
    return desk
