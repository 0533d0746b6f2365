"""The day at a glance, and a client who comes without an appointment."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from small_shop import Clock

from consumables.desk.closing import card_for, close_visit
from consumables.desk.opening import Desk
from consumables.desk.today import find_visit, glance, visits_on, walk_in
from consumables.errors import NotFound, Refused


def test_a_visit_that_has_ended_is_due(desk: Desk, visit: Callable[..., str]) -> None:
    visit("manicure")
    (found,) = visits_on(desk)
    assert (found.state, found.due, found.services) == ("open", True, ("Manicure",))


def test_the_glance_counts_what_waits(desk: Desk, visit: Callable[..., str], clock: Clock) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    seen = glance(desk)
    assert (seen.open_visits, seen.closed_visits, seen.soiled, seen.past_use_by) == (0, 1, 1, 1)
    assert not seen.order_day  # a Wednesday


def test_a_walk_in_is_in_the_book_from_now(desk: Desk) -> None:
    visit_id = walk_in(desk, ["manicure", "pedicure"], "c77")
    found = find_visit(desk, visit_id)
    assert found.ends_at - found.starts_at == timedelta(minutes=105)
    assert found.booked_on == desk.today()


def test_a_walk_in_for_a_service_nobody_offers_is_refused(desk: Desk) -> None:
    with pytest.raises(Refused, match="manicure, pedicure"):
        walk_in(desk, ["massage"])


def test_an_unknown_visit_is_named(desk: Desk) -> None:
    with pytest.raises(NotFound, match="No visit v99"):
        card_for(desk, "v99")


def test_a_day_is_the_shops_own_day(desk: Desk, visit: Callable[..., str], clock: Clock) -> None:
    visit("manicure")
    clock.passes(60 * 24)
    assert visits_on(desk) == []


@pytest.mark.parametrize("who", ["Mary Smith", "a-name-that-is-long", "Smith,M"])
def test_a_walk_in_is_written_under_a_code_never_a_name(desk: Desk, who: str) -> None:
    with pytest.raises(Refused, match="client: Initials or a code") as refused:
        walk_in(desk, ["manicure"], who)
    assert who not in str(refused.value)
    with pytest.raises(Refused, match="technician: Initials or a code"):
        walk_in(desk, ["manicure"], technician=who)
    assert visits_on(desk) == []


def test_blanks_around_a_walk_ins_code_do_not_count(desk: Desk) -> None:
    assert find_visit(desk, walk_in(desk, ["manicure"], " c77 ")).client == "c77"
