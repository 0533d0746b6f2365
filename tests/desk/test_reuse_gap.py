"""The reuse gap of a real ledger: closed cards, flagged uses, counts, and what was undone."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from small_shop import put_in_book

from consumables.desk.closing import add_item, card_for, close_visit, no_show, set_quantity
from consumables.desk.opening import Desk
from consumables.desk.recording import Period, last_days
from consumables.desk.reuse_gap import ending, reuse_gap
from consumables.desk.shelving import count
from consumables.desk.undoing import flagged, settle, undo
from consumables.desk.verdicts import tighten
from consumables.errors import Refused
from consumables.reports.gap_chances import ReuseGap

Visit = Callable[..., str]


def today(desk: Desk) -> ReuseGap:
    return reuse_gap(desk, last_days(desk, 1))


def close(desk: Desk, visit_id: str, leave_out: str = "") -> None:
    card = card_for(desk, visit_id)
    for at, line in enumerate(card.lines):
        if line.item_id == leave_out:
            card = set_quantity(card, at, 0)
    close_visit(desk, card)


def test_a_card_closed_as_set_up_leaves_nothing_open(desk: Desk, visit: Visit) -> None:
    close(desk, visit("manicure"))
    found = today(desk)
    assert (found.served, found.whole.cards, found.whole.asked) == (1, 1, 2)
    assert found.missing == ()


def test_a_card_without_its_board_is_a_visit_not_accounted_for(desk: Desk, visit: Visit) -> None:
    close(desk, visit("manicure"), leave_out="board")
    found = today(desk)
    assert [(a.visit_id, a.service_id, a.item_id) for a in found.missing] == [
        ("v1", "manicure", "board")
    ]
    assert [(row.name, row.short) for row in found.by("technician")] == [("AB", 1)]


def test_a_core_closed_with_its_surface_accounts_for_itself(desk: Desk, visit: Visit) -> None:
    close(desk, visit("pedicure"))
    assert today(desk).missing == ()


def test_an_undone_visit_leaves_both_sides(desk: Desk, visit: Visit) -> None:
    close(desk, visit("manicure"), leave_out="board")
    undo(desk)
    found = today(desk)
    assert (found.served, found.missing, found.whole.drawn) == (0, (), 0)


def test_a_no_show_is_asked_for_nothing(desk: Desk, visit: Visit) -> None:
    no_show(desk, visit("manicure"))
    assert today(desk).served == 0


def test_what_was_done_with_stock_that_is_not_there_is_flagged_not_missing(
    desk: Desk, visit: Visit
) -> None:
    count(desk, "board", 0)
    close_visit(desk, card_for(desk, visit("manicure")), already_done=True)
    found = today(desk)
    assert (found.whole.flagged, found.whole.missing) == (1, 0)


def test_an_item_the_shop_made_stricter_is_asked_for_anew(desk: Desk, visit: Visit) -> None:
    tighten(desk, "nipper", "too many to wash")
    close(desk, visit("manicure"), leave_out="nipper")
    assert [a.item_id for a in today(desk).missing] == ["nipper"]


def test_an_extra_of_another_service_does_not_hide_a_hole(desk: Desk, visit: Visit) -> None:
    card = add_item(desk, card_for(desk, visit("manicure")), "gloves", 2)
    close_visit(desk, set_quantity(card, 0, 0))
    assert [a.item_id for a in today(desk).missing] == ["board"]


def test_a_count_shows_what_left_the_shelf_and_what_did_not(desk: Desk, visit: Visit) -> None:
    close(desk, visit("manicure"), leave_out="board")
    held = sum(lot.on_hand for lot in _lots(desk, "board"))
    count(desk, "board", held - 1)
    (row,) = today(desk).counts
    assert (row.item_id, row.shortage, row.surplus, row.missing) == ("board", 1, 0, 1)


def test_more_on_the_shelf_than_the_ledger_says_is_its_own_line(desk: Desk, visit: Visit) -> None:
    close(desk, visit("manicure"))
    count(desk, "board", sum(lot.on_hand for lot in _lots(desk, "board")) + 2)
    (row,) = today(desk).counts
    assert (row.surplus, row.counts_above, row.drawn) == (2, 1, 1)
    assert row.state.startswith("more")


def test_a_surplus_that_still_lies_there_is_not_found_a_second_time(desk: Desk) -> None:
    more = sum(lot.on_hand for lot in _lots(desk, "board")) + 2
    count(desk, "board", more)
    desk.clock.passes(60)  # type: ignore[attr-defined]
    count(desk, "board", more)
    (row,) = today(desk).counts
    assert (row.counts, row.counts_above, row.surplus) == (2, 1, 2)


def test_a_surplus_taken_in_as_new_is_told_with_the_count_that_found_it(desk: Desk) -> None:
    count(desk, "board", sum(lot.on_hand for lot in _lots(desk, "board")) + 5)
    settle(desk, [flag.entry_id for flag in flagged(desk)], "a box not written down", as_new=True)
    (row,) = today(desk).counts
    assert (row.counts, row.surplus, row.as_new) == (1, 5, 5)


def test_a_count_of_what_the_ledger_never_knew_is_a_surplus(desk: Desk) -> None:
    count(desk, "puzzle", 4)
    (row,) = today(desk).counts
    assert (row.item_id, row.surplus) == ("puzzle", 4)


def test_another_day_knows_nothing_of_it(desk: Desk, visit: Visit) -> None:
    close(desk, visit("manicure"), leave_out="board")
    count(desk, "board", 40)
    yesterday = desk.today() - timedelta(days=1)
    found = reuse_gap(desk, Period(yesterday, yesterday))
    assert (found.served, found.missing, found.counts) == (0, (), ())


def test_the_visit_is_named_for_whoever_served_not_for_whoever_closed_the_card(
    desk: Desk,
) -> None:
    put_in_book(desk, "late", ("manicure",))  # AB serves
    desk.who = "CD"
    close(desk, "late", leave_out="board")
    assert [a.technician for a in today(desk).missing] == ["AB"]


def test_a_period_may_end_on_any_day(desk: Desk) -> None:
    last = desk.today()
    assert ending(last, 7) == last_days(desk, 7)


def test_slips_of_every_card_are_no_slips(desk: Desk) -> None:
    with pytest.raises(Refused, match="2 or more"):
        reuse_gap(desk, last_days(desk, 1), 1)


def _lots(desk: Desk, item_id: str):  # type: ignore[no-untyped-def]
    with desk.store.reading() as session:
        return session.lots([item_id])
