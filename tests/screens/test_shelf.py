"""The shelf at the keys: the state first, counting, throwing away, tagging."""

from collections.abc import Mapping

import pytest

from consumables.desk import ordering
from consumables.desk.opening import Desk
from consumables.desk.shelving import lots_of, shelf
from consumables.desk.washing import wash_list
from consumables.screens.shelf_words import bar, cover_words


@pytest.fixture(autouse=True)
def cover(monkeypatch: pytest.MonkeyPatch) -> Mapping[str, float | None]:
    """Days of cover as the planner would give them; the planner has tests of its own."""
    days: dict[str, float | None] = {"board": 21.0, "gloves": None}
    monkeypatch.setattr(ordering, "days_of_cover", lambda _desk: days)
    return days


def held(desk: Desk, item_id: str) -> int:
    return sum(lot.on_hand for lot in lots_of(desk, item_id))


async def test_what_needs_to_be_seen_to_stands_first(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("3")
        assert "use-by past use-by board 53 ███··· 21d" in hand.sees
        assert "in stock nipper 2/2 +1 new" in hand.sees


async def test_a_count_is_written_and_a_surplus_said_aloud(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("3", "c")
        await hand.type("60")
        await hand.press("enter")
        assert held(desk, "board") == 57  # the surplus is held back
        assert "CAUTION 3 more than the ledger says" in hand.sees


async def test_everything_past_its_use_by_goes_in_the_bin_after_a_yes(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("3", "x")
        assert "4 each  board" in hand.asked
        await hand.press("y")
        assert "BIN NOW 4 board (board-stale)" in hand.sees
        assert not any(row.past_use_by for row in shelf(desk))


async def test_a_spoiled_unit_is_thrown_away_from_its_lot_with_the_reason(
    desk: Desk, at_desk
) -> None:
    async with at_desk() as hand:
        await hand.press("3", "slash")
        await hand.type("glov")
        await hand.press("enter", "d")
        await hand.type("2")
        await hand.press("enter", "down", "enter")
        assert held(desk, "gloves") == 18
        assert "Discarded 2 gloves (gloves-1): spoiled" in hand.sees


async def test_use_that_belongs_to_no_visit_is_written(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("3", "slash")
        await hand.type("aceto")
        await hand.press("enter", "l")
        await hand.type("25")
        await hand.press("enter", "enter")
        assert held(desk, "acetone") == 475


async def test_new_kept_things_get_a_tag_and_start_in_the_wash(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("3", "slash")
        await hand.type("nipper")
        await hand.press("enter", "t", "enter", "enter")
        assert [piece.piece_id for piece in wash_list(desk)] == ["nipper-03"]


async def test_the_lots_are_shown_in_the_sequence_they_are_used(desk: Desk, at_desk) -> None:
    async with at_desk() as hand:
        await hand.press("3", "enter")
        assert hand.asked.index("board-stale: 4, PAST USE-BY") < hand.asked.index("board-new: 50")


def test_a_bar_of_cover_is_full_at_six_weeks_and_never_longer() -> None:
    assert [bar(days) for days in (0, 7, 42, 400)] == ["······", "█·····", "██████", "██████"]
    assert cover_words(None) == ""
