"""The shelf: counting it, throwing away what is past its day, and what a surplus may mean."""

from collections.abc import Callable

import pytest

from consumables.desk.closing import card_for, close_visit
from consumables.desk.opening import Desk
from consumables.desk.shelving import (
    count,
    discard,
    discard_expired,
    lots_of,
    shelf,
    use_loose,
)
from consumables.errors import NotFound, Refused


def row(desk: Desk, item_id: str):  # type: ignore[no-untyped-def]
    return next(found for found in shelf(desk) if found.item_id == item_id)


def test_the_shelf_tells_in_date_from_past_use_by(desk: Desk) -> None:
    board = row(desk, "board")
    assert (board.on_hand, board.past_use_by, board.state) == (53, 4, "past use-by")


def test_kept_things_show_how_many_are_ready_and_how_often_they_were_used(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    nipper = row(desk, "nipper")
    assert (nipper.pieces_ready, nipper.pieces_kept, nipper.uses) == (1, 2, 1)


def test_a_short_count_takes_from_the_first_lots_to_expire(desk: Desk) -> None:
    receipt = count(desk, "board", 40)
    assert receipt.cautions == ("17 fewer than the ledger said: used or gone without a line.",)
    left = {lot.lot_id: lot.on_hand for lot in lots_of(desk, "board")}
    assert left == {"board-new": 40}


def test_more_on_the_shelf_than_was_written_is_said_aloud(desk: Desk) -> None:
    receipt = count(desk, "board", 60)
    assert "held back" in receipt.cautions[0]
    assert sum(lot.on_hand for lot in lots_of(desk, "board")) == 57


def test_a_count_where_nothing_was_known_starts_a_lot(desk: Desk) -> None:
    count(desk, "puzzle", 7)
    assert row(desk, "puzzle").on_hand == 7


def test_everything_past_its_use_by_goes_in_one_job(desk: Desk) -> None:
    receipt = discard_expired(desk)
    assert receipt.bin == ("4 board (board-stale)",)
    with pytest.raises(Refused, match="Nothing on the shelf is past"):
        discard_expired(desk)


def test_an_unknown_lot_is_named(desk: Desk) -> None:
    with pytest.raises(NotFound, match="no lot nowhere"):
        discard(desk, "board", "nowhere", 1, "dropped")


def test_a_spill_is_use_that_belongs_to_no_visit(desk: Desk) -> None:
    use_loose(desk, "acetone", 120, "bottle knocked over")
    assert row(desk, "acetone").on_hand == 380
    with pytest.raises(Refused, match="381 asked for, 380 on the shelf"):
        use_loose(desk, "acetone", 381, "again")


def test_a_discard_needs_a_reason(desk: Desk) -> None:
    with pytest.raises(Refused, match="why"):
        discard(desk, "board", "board-old", 1, " ")
