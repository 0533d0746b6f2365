"""Loads, pouches, spore tests: what is not proven sterile is not ready."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from small_shop import CATALOGUE, Clock

from consumables.desk.checking import check
from consumables.desk.closing import card_for, close_visit, name_pieces
from consumables.desk.inspecting import look_over
from consumables.desk.opening import Desk
from consumables.desk.overdue import overdue
from consumables.desk.recording import last_days, treatments
from consumables.desk.spore_tests import read_spore_test, spore_tests, take_spore_test
from consumables.desk.sterilising import loads, start_load, unload, usual_cycles
from consumables.desk.undoing import recent_jobs, undo
from consumables.desk.washing import clean, take_out, treat, wash_again, wash_list
from consumables.errors import Refused
from consumables.words import PieceState

NIPPERS = ["nipper-01", "nipper-02"]


@pytest.fixture
def texan(desk: Desk) -> Desk:
    """The test shop under a book that wants metal sterilised, both nippers cleaned."""
    settings = replace(CATALOGUE.settings, rule_book="us-texas")
    with desk.store.writing() as session:
        session.write_settings(settings)
    desk.forget()
    wash_again(desk, NIPPERS)
    clean(desk, NIPPERS)
    return desk


def book_says(desk: Desk, **parameters: object) -> None:
    told = replace(desk.book.parameters, **parameters)  # type: ignore[arg-type]
    desk.__dict__["book"] = replace(desk.book, parameters=told)


def sterilise(desk: Desk, clock: Clock, *pieces: str) -> str:
    start_load(desk, pieces, "steam-gravity", 121, 30)
    clock.passes(45)
    load_id = loads(desk)[0].load_id
    unload(desk, load_id, "changed")
    return load_id


def states(desk: Desk) -> dict[str, PieceState]:
    pieces = wash_list(desk, everything=True)
    return {piece.piece_id: piece.state for piece in pieces if piece.item_id == "nipper"}


def steps(desk: Desk) -> dict[str, str]:
    return {piece.piece_id: piece.next_step for piece in wash_list(desk)}


def test_a_bath_is_not_enough_where_the_book_wants_it_sterile(texan: Desk) -> None:
    assert steps(texan) == dict.fromkeys(NIPPERS, "load")
    with pytest.raises(Refused, match="goes into the steriliser with a load"):
        treat(texan, NIPPERS)


def test_a_load_is_numbered_runs_dries_and_comes_out_ready(texan: Desk, clock: Clock) -> None:
    start_load(texan, NIPPERS, "steam-gravity", 121, 30)
    clock.passes(44)
    with pytest.raises(Refused, match="must run and dry 1 min more"):
        unload(texan, "load-0001", "changed")
    with pytest.raises(Refused, match="comes out with its load"):
        take_out(texan, NIPPERS)
    clock.passes(1)
    assert steps(texan) == dict.fromkeys(NIPPERS, "unload")
    unload(texan, "load-0001", "changed")
    assert states(texan) == dict.fromkeys(NIPPERS, PieceState.READY)
    with pytest.raises(Refused, match="came out already"):
        unload(texan, "load-0001", "changed")
    assert usual_cycles(texan)[0].minutes == 30


def test_a_cycle_too_short_or_too_cool_is_refused_with_the_figures(texan: Desk) -> None:
    with pytest.raises(Refused, match="30 min at 250 F or 15 min at 270 F"):
        start_load(texan, NIPPERS, "steam-gravity", 250, 20, "F")
    assert loads(texan) == []


def test_what_never_takes_heat_is_not_loaded(texan: Desk) -> None:
    wash_again(texan, ["lamp-01"])
    clean(texan, ["lamp-01"])
    with pytest.raises(Refused, match="lamp-01: heat or steam is not its route"):
        start_load(texan, ["lamp-01"], "steam-gravity", 121, 30)


def test_an_unchanged_indicator_sends_the_load_back(texan: Desk, clock: Clock) -> None:
    start_load(texan, NIPPERS, "dry-heat", 170, 60)
    clock.passes(60)
    unload(texan, "load-0001", "not-changed")
    assert states(texan) == dict.fromkeys(NIPPERS, PieceState.SOILED)


def test_a_dated_pouch_goes_back_to_the_wash_after_its_days(texan: Desk, clock: Clock) -> None:
    book_says(texan, pouch_days=30)  # Iowa r. 641-22.5
    sterilise(texan, clock, *NIPPERS)
    assert steps(texan) == {}
    clock.passes(30 * 24 * 60)
    assert steps(texan) == {}
    clock.passes(24 * 60)
    assert steps(texan) == dict.fromkeys(NIPPERS, "again")
    wash_again(texan, NIPPERS)
    told = [line for line in treatments(texan, last_days(texan)) if line.what == "sent back"]
    assert {line.detail for line in told} == {"pouch past its day"}


def test_a_torn_pouch_goes_back_to_the_wash(texan: Desk, clock: Clock) -> None:
    sterilise(texan, clock, *NIPPERS)
    look_over(texan, ["nipper-01"], "pouch torn")
    assert states(texan) == {"nipper-01": PieceState.SOILED, "nipper-02": PieceState.READY}


def test_a_failed_spore_test_calls_back_every_load_since_the_last_pass(
    texan: Desk, clock: Clock
) -> None:
    sterilise(texan, clock, "nipper-01")
    take_spore_test(texan)
    read_spore_test(texan, spore_tests(texan)[0].test_id, "passed")
    clock.passes(60)
    sterilise(texan, clock, "nipper-02")
    take_spore_test(texan)
    read_spore_test(texan, spore_tests(texan)[0].test_id, "failed")
    assert states(texan) == {"nipper-01": PieceState.READY, "nipper-02": PieceState.SOILED}
    clean(texan, ["nipper-02"])
    with pytest.raises(Refused, match="last spore test failed"):
        start_load(texan, ["nipper-02"], "steam-gravity", 121, 30)
    clock.passes(1)
    take_spore_test(texan)
    read_spore_test(texan, spore_tests(texan)[0].test_id, "passed")
    sterilise(texan, clock, "nipper-02")
    assert check(texan) == []


def test_what_was_used_after_a_doubted_load_is_named(texan: Desk, clock: Clock, visit) -> None:
    sterilise(texan, clock, *NIPPERS)
    card = card_for(texan, visit("manicure"))
    nipper = next(line for line in card.lines if line.item_id == "nipper")
    close_visit(texan, replace(card, lines=(replace(nipper, piece_ids=("nipper-01",)),)))
    take_spore_test(texan)
    told = read_spore_test(texan, spore_tests(texan)[0].test_id, "failed")
    assert told.flagged == ("nipper-01 left the shelf after such a load",)


def test_a_test_read_late_doubts_the_loads_of_its_own_time(texan: Desk, clock: Clock) -> None:
    take_spore_test(texan)
    early = spore_tests(texan)[0].test_id
    sterilise(texan, clock, "nipper-01")
    take_spore_test(texan)
    read_spore_test(texan, spore_tests(texan)[0].test_id, "passed")
    read_spore_test(texan, early, "failed")
    assert states(texan)["nipper-01"] is PieceState.SOILED


def test_a_spore_test_is_overdue_after_the_days_of_the_book(texan: Desk, clock: Clock) -> None:
    book_says(texan, spore_test_days=30)  # Minn. R. 2105.0377
    assert overdue(texan) == []
    sterilise(texan, clock, "nipper-01")
    take_spore_test(texan)
    clock.passes(30 * 24 * 60)
    assert overdue(texan) == []
    clock.passes(24 * 60)
    assert overdue(texan) == ["A spore test of the steriliser was due on Fri 03 Apr."]


def test_a_pouch_past_its_day_is_not_used_on_a_client(
    texan: Desk, clock: Clock, visit: Callable[..., str]
) -> None:
    book_says(texan, pouch_days=30)
    sterilise(texan, clock, *NIPPERS)
    clock.passes(31 * 24 * 60)
    card = name_pieces(card_for(texan, visit("manicure")), 1, ["nipper-01"])
    with pytest.raises(Refused, match="pouch is past its day"):
        close_visit(texan, card)


def test_a_failed_spore_test_is_not_undone_by_a_slip_of_the_finger(
    texan: Desk, clock: Clock
) -> None:
    sterilise(texan, clock, "nipper-01")
    take_spore_test(texan)
    read_spore_test(texan, spore_tests(texan)[0].test_id, "failed")
    done = recent_jobs(texan)[0]
    with pytest.raises(Refused, match="is not undone"):
        undo(texan, done.job_key)
