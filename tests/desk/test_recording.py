"""The record an inspector may ask for: what went in the bin, what was washed, and by whom."""

from collections.abc import Callable
from datetime import timedelta

from consumables.desk.closing import card_for, close_visit, set_quantity
from consumables.desk.jars import mix_jar
from consumables.desk.opening import Desk
from consumables.desk.recording import Period, discards, last_days, treatments
from consumables.desk.shelving import discard_expired
from consumables.desk.undoing import flagged, settle, undo
from consumables.desk.washing import clean, treat


def test_everything_binned_is_on_the_record_with_its_reason(
    desk: Desk, visit: Callable[..., str]
) -> None:
    close_visit(desk, card_for(desk, visit("manicure", "pedicure")))
    discard_expired(desk)
    told = {(line.what, line.item, line.quantity, line.because) for line in _today(desk)}
    assert ("discarded", "board", 1, "used on one client") in told
    assert ("surface stripped", "strip", 1, "surface never serves twice") in told
    assert ("discarded", "board", 4, "past use-by") in told
    assert {line.who for line in _today(desk)} == {"AB"}


def test_an_undone_visit_is_not_on_the_record(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    undo(desk)
    assert _today(desk) == []


def test_what_was_done_outside_the_rules_is_on_the_record(
    desk: Desk, visit: Callable[..., str]
) -> None:
    card = set_quantity(card_for(desk, visit("manicure")), 0, 60)
    close_visit(desk, card, already_done=True)
    (flag,) = flagged(desk)
    settle(desk, [flag.entry_id], "a box had not been written down")
    told = [(line.what, line.item, line.because) for line in _today(desk)]
    assert "used outside the rules" in {what for what, _, _ in told}
    assert told[-1] == ("settled", "board", "a box had not been written down")


def test_the_wash_is_on_the_record_with_its_minutes(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    mix_jar(desk, "concentrate", 1000, 64)
    clean(desk, ["nipper-01"])
    treat(desk, ["nipper-01"])
    lines = treatments(desk, last_days(desk, 1))
    assert [line.what for line in lines] == ["jar mixed", "cleaned", "in treatment"]
    assert "10 min" in lines[-1].detail


def test_another_day_shows_nothing(desk: Desk, visit: Callable[..., str]) -> None:
    close_visit(desk, card_for(desk, visit("manicure")))
    yesterday = desk.today() - timedelta(days=1)
    assert discards(desk, Period(yesterday, yesterday)) == []


def _today(desk: Desk):  # type: ignore[no-untyped-def]
    return discards(desk, last_days(desk, 1))
