"""Closing a visit: what leaves the shelf, what goes where, and what is refused."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from consumables.desk.closing import (
    add_item,
    card_for,
    close_visit,
    look_over,
    name_pieces,
    no_show,
    set_quantity,
)
from consumables.desk.opening import Desk
from consumables.desk.shelving import count, lots_of
from consumables.desk.today import visits_on
from consumables.desk.undoing import flagged, settle, undo
from consumables.desk.washing import retire, wash_list
from consumables.errors import Refused
from consumables.words import PieceState

Book = Callable[..., str]


def held(desk: Desk, item_id: str) -> int:
    return sum(lot.on_hand for lot in lots_of(desk, item_id))


def state_of(desk: Desk, piece_id: str) -> tuple[PieceState, int]:
    found = {piece.piece_id: piece for piece in wash_list(desk, everything=True)}[piece_id]
    return found.state, found.uses


def test_a_usual_visit_draws_bins_and_sends_to_the_wash(desk: Desk, visit: Book) -> None:
    receipt = close_visit(desk, card_for(desk, visit("manicure")))
    assert held(desk, "board") == 56
    assert held(desk, "acetone") == 495
    assert state_of(desk, "nipper-01") == (PieceState.SOILED, 1)
    assert receipt.bin == ("1 board", "2 gloves")
    assert receipt.wash == ("1 nipper (nipper-01)",)


def test_units_come_from_the_first_lot_to_expire_that_is_still_in_date(
    desk: Desk, visit: Book
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    left = {lot.lot_id: lot.on_hand for lot in lots_of(desk, "board")}
    assert left == {"board-stale": 4, "board-old": 2, "board-new": 50}


def test_a_core_loses_its_surface_and_goes_to_the_wash(desk: Desk, visit: Book) -> None:
    receipt = close_visit(desk, card_for(desk, visit("pedicure")))
    assert held(desk, "strip") == 4
    assert state_of(desk, "core-01") == (PieceState.SOILED, 1)
    assert receipt.strip == ("1 core (core-01)",)


def test_two_services_in_one_visit_share_what_is_laid_out_once(desk: Desk, visit: Book) -> None:
    close_visit(desk, card_for(desk, visit("manicure", "pedicure")))
    assert held(desk, "gloves") == 18


def test_a_visit_is_closed_once_however_often_it_is_sent(desk: Desk, visit: Book) -> None:
    card = card_for(desk, visit("manicure"))
    first = close_visit(desk, card, job_key="tap")
    again = [close_visit(desk, card, job_key="tap"), close_visit(desk, card)]
    assert [first.again, *(receipt.again for receipt in again)] == [False, True, True]
    assert held(desk, "board") == 56


def test_a_key_sent_again_after_an_undo_still_counts_once(desk: Desk, visit: Book) -> None:
    card = card_for(desk, visit("manicure"))
    close_visit(desk, card, job_key="tap")
    undo(desk, not_used=True)
    assert close_visit(desk, card, job_key="tap").again
    assert held(desk, "board") == 57


def test_a_soiled_piece_is_refused_and_nothing_is_written(desk: Desk, visit: Book) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    card = card_for(desk, visit("manicure", visit_id="v2"))
    nipper = next(i for i, line in enumerate(card.lines) if line.item_id == "nipper")
    with pytest.raises(Refused, match="nipper-01: it is soiled"):
        close_visit(desk, name_pieces(card, nipper, ["nipper-01"]))
    assert held(desk, "board") == 56


def test_a_retired_piece_is_refused(desk: Desk, visit: Book) -> None:
    retire(desk, "nipper-01", "pitted")
    card = card_for(desk, visit("manicure"))
    with pytest.raises(Refused, match="it is retired"):
        close_visit(desk, name_pieces(card, 1, ["nipper-01"]))


def test_more_than_is_in_date_is_refused_and_the_stale_ones_are_named(
    desk: Desk, visit: Book
) -> None:
    card = set_quantity(card_for(desk, visit("manicure")), 0, 60)
    with pytest.raises(Refused, match="53 in date on the shelf, 4 past use-by"):
        close_visit(desk, card)


def test_looking_a_card_over_writes_nothing(desk: Desk, visit: Book) -> None:
    view = look_over(desk, set_quantity(card_for(desk, visit("manicure")), 0, 60))
    assert len(view.refusals) == 1
    assert held(desk, "board") == 57


def test_what_was_already_done_is_written_and_flagged_until_a_count_settles_it(
    desk: Desk, visit: Book
) -> None:
    card = set_quantity(card_for(desk, visit("manicure")), 0, 60)
    receipt = close_visit(desk, card, already_done=True)
    assert receipt.flagged
    assert [(flag.item_id, flag.quantity) for flag in flagged(desk)] == [("board", 7)]
    count(desk, "board", 4)
    assert flagged(desk) == []


def test_a_soiled_piece_that_was_used_is_told_counted_and_settled_with_a_reason(
    desk: Desk, visit: Book
) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    card = name_pieces(card_for(desk, visit("manicure", visit_id="v2")), 1, ["nipper-01"])
    close_visit(desk, card, already_done=True)
    assert state_of(desk, "nipper-01") == (PieceState.SOILED, 2)
    (flag,) = flagged(desk)
    settle(desk, [flag.entry_id], "talked it through, two spare nippers bought")
    assert flagged(desk) == []


def test_a_used_surface_never_serves_again(desk: Desk, visit: Book) -> None:
    card = card_for(desk, visit("pedicure"))
    strip = next(i for i, line in enumerate(card.lines) if line.item_id == "strip")
    with pytest.raises(Refused, match="no fresh surface"):
        close_visit(desk, set_quantity(card, strip, 0))


def test_a_strip_nobody_had_counted_still_was_a_fresh_surface(desk: Desk, visit: Book) -> None:
    count(desk, "strip", 0)
    close_visit(desk, card_for(desk, visit("pedicure")), already_done=True)
    assert [flag.item_id for flag in flagged(desk)] == ["strip"]
    assert state_of(desk, "core-01") == (PieceState.SOILED, 1)


def test_a_piece_named_twice_is_one_piece(desk: Desk, visit: Book) -> None:
    card = name_pieces(card_for(desk, visit("manicure")), 1, ["nipper-01", "nipper-01"])
    close_visit(desk, card)
    assert state_of(desk, "nipper-01") == (PieceState.SOILED, 1)


def test_blood_sends_metal_to_the_blood_level_cycle(desk: Desk, visit: Book) -> None:
    card = replace(card_for(desk, visit("manicure")), contaminated=True)
    receipt = close_visit(desk, card)
    assert [p.blood_level for p in wash_list(desk)] == [True]
    assert any("licence" in caution for caution in receipt.cautions)


def test_an_extra_item_and_one_not_used_are_recorded_as_they_were(desk: Desk, visit: Book) -> None:
    card = set_quantity(card_for(desk, visit("manicure")), 0, 0)
    close_visit(desk, add_item(desk, card, "strip", 2))
    assert (held(desk, "board"), held(desk, "strip")) == (57, 3)


def test_a_no_show_uses_nothing_and_closes_the_visit(desk: Desk, visit: Book) -> None:
    no_show(desk, visit("manicure"))
    assert held(desk, "board") == 57
    assert [found.state for found in visits_on(desk)] == ["no-show"]


def test_undo_of_a_card_that_used_nothing_puts_everything_back(desk: Desk, visit: Book) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    undo(desk, not_used=True)
    assert held(desk, "board") == 57
    assert state_of(desk, "nipper-01") == (PieceState.READY, 0)
    assert [found.state for found in visits_on(desk)] == ["open"]


def test_undo_is_refused_when_something_later_rests_on_it(desk: Desk, visit: Book) -> None:
    first = close_visit(desk, card_for(desk, visit("manicure")))
    from consumables.desk.washing import clean

    clean(desk, ["nipper-01"])
    with pytest.raises(Refused, match="cannot be undone any more"):
        undo(desk, first.job_key)


def test_an_unknown_file_is_single_use_until_somebody_says_what_it_is(desk: Desk) -> None:
    verdict = desk.verdicts["puzzle"]
    assert verdict.category == "single-use"
    assert verdict.questions
