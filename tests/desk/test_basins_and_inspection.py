"""The foot-basin log, and looking pieces over before they serve."""

from dataclasses import replace

import pytest
from small_shop import Clock

from consumables.desk.basins import basin_log, log_basin
from consumables.desk.inspecting import look_over
from consumables.desk.opening import Desk
from consumables.desk.overdue import overdue
from consumables.desk.recording import discards, last_days
from consumables.desk.undoing import undo
from consumables.desk.washing import retire, wash_list
from consumables.errors import Refused


def log_wanted(desk: Desk, wanted: bool) -> Desk:
    told = replace(desk.book.parameters, foot_basin_log=wanted, foot_basin_minutes=10)
    desk.__dict__["book"] = replace(desk.book, parameters=told)
    return desk


@pytest.fixture
def with_basins(desk: Desk) -> Desk:
    """The test shop under a book that wants the log (16 CCR 980.1 does)."""
    return log_wanted(desk, True)


def state_of(desk: Desk, piece_id: str) -> str:
    found = {piece.piece_id: piece.state for piece in wash_list(desk, everything=True)}
    return found[piece_id]


def test_a_basin_cleaning_is_written_down_with_its_initials(with_basins: Desk) -> None:
    log_basin(with_basins, "left", "after-client", "concentrate")
    (line,) = basin_log(with_basins)
    assert (line.basin, line.moment, line.minutes, line.who) == ("left", "after-client", 10, "AB")
    undo(with_basins)
    assert basin_log(with_basins) == []


def test_nobody_signs_nothing_is_written(with_basins: Desk) -> None:
    with_basins.who = ""
    with pytest.raises(Refused, match="wants initials"):
        log_basin(with_basins, "left", "weekly", "concentrate")


def test_too_short_a_time_in_a_basin_is_refused(with_basins: Desk) -> None:
    with pytest.raises(Refused, match="too short for basin left"):
        log_basin(with_basins, "left", "after-client", "concentrate", 5)


def test_a_missed_evening_is_told_only_where_the_book_wants_the_log(
    with_basins: Desk, clock: Clock
) -> None:
    log_basin(with_basins, "left", "after-client", "concentrate")
    clock.passes(24 * 60)
    assert overdue(with_basins) == ["Basin left: no end-of-day cleaning since 2026-03-04."]
    assert overdue(log_wanted(with_basins, False)) == []


def test_rust_retires_a_piece_and_the_record_says_by_which_rule(desk: Desk) -> None:
    told = look_over(desk, ["nipper-01"], "rust at the joint")
    assert state_of(desk, "nipper-01") == "retired"
    assert "disinfectant cannot reach it" in told.sentence
    (line,) = discards(desk, last_days(desk))
    assert line.because == "rust at the joint (N.J.A.C. 13:28-3.2)"


def test_a_look_that_finds_nothing_is_written_and_changes_nothing(desk: Desk) -> None:
    told = look_over(desk, ["nipper-01", "nipper-02"])
    assert told.sentence == "2 pieces looked over: nothing found."
    assert state_of(desk, "nipper-01") == "ready"


def test_words_that_no_rule_knows_leave_it_to_her(desk: Desk) -> None:
    told = look_over(desk, ["nipper-01"], "odd sound")
    assert state_of(desk, "nipper-01") == "ready"
    assert "in doubt retire it" in told.cautions[0]


def test_retiring_by_hand_names_the_rule_too(desk: Desk) -> None:
    told = retire(desk, "nipper-01", "pitted")
    assert told.sentence == "nipper-01 retired: pitted (N.J.A.C. 13:28-3.2)."
