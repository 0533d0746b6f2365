"""Baths and jars: adding restarts every clock, label words and units, the ultrasonic bath."""

from collections.abc import Callable

import pytest
from small_shop import Clock

from consumables.desk.closing import card_for, close_visit
from consumables.desk.jars import empty_jar, jars, mix_from_label, mix_from_percent, mix_jar
from consumables.desk.opening import Desk
from consumables.desk.recording import last_days, treatments
from consumables.desk.tagging import tag
from consumables.desk.undoing import undo
from consumables.desk.washing import clean, take_out, treat, ultrasonic, wash_again, wash_list
from consumables.errors import NotFound, Refused


@pytest.fixture
def two_soiled(desk: Desk, visit: Callable[..., str]) -> Desk:
    """Two nippers at the sink, cleaned, and a fresh jar of ten minutes."""
    close_visit(desk, card_for(desk, visit("manicure")))
    close_visit(desk, card_for(desk, visit("manicure", visit_id="v2")))
    mix_jar(desk, "concentrate", 1000, 64)
    clean(desk, ["nipper-01", "nipper-02"])
    return desk


def minutes_left(desk: Desk) -> dict[str, float]:
    return {
        piece.piece_id: (piece.ready_at - desk.now()).total_seconds() / 60
        for piece in wash_list(desk)
        if piece.ready_at
    }


def test_adding_a_piece_restarts_the_clock_of_all_in_the_bath(
    two_soiled: Desk, clock: Clock
) -> None:
    treat(two_soiled, ["nipper-01"])
    clock.passes(6)
    told = treat(two_soiled, ["nipper-02"])
    assert "clock anew for nipper-01" in told.sentence
    assert minutes_left(two_soiled) == {"nipper-01": 10, "nipper-02": 10}
    clock.passes(5)
    with pytest.raises(Refused, match="5 minutes more"):
        take_out(two_soiled, ["nipper-01"])
    clock.passes(5)
    take_out(two_soiled, ["nipper-01", "nipper-02"])


def test_another_jar_keeps_its_own_clock(two_soiled: Desk, clock: Clock) -> None:
    (first,) = jars(two_soiled)
    treat(two_soiled, ["nipper-01"], jar_id=first.jar_id)
    clock.passes(6)
    mix_jar(two_soiled, "concentrate", 500, 64)
    second = jars(two_soiled)[0]
    treat(two_soiled, ["nipper-02"], jar_id=second.jar_id)
    assert minutes_left(two_soiled) == {"nipper-01": 4, "nipper-02": 10}
    assert [jar.holds for jar in jars(two_soiled)] == [("nipper-02",), ("nipper-01",)]


def test_undoing_the_addition_gives_the_clock_back(two_soiled: Desk, clock: Clock) -> None:
    treat(two_soiled, ["nipper-01"])
    clock.passes(6)
    treat(two_soiled, ["nipper-02"])
    undo(two_soiled)
    assert minutes_left(two_soiled) == {"nipper-01": 4}
    assert two_soiled.store.sound()


def test_a_jar_is_not_emptied_over_pieces_that_lie_in_it(two_soiled: Desk, clock: Clock) -> None:
    treat(two_soiled, ["nipper-01"])
    (jar,) = jars(two_soiled)
    with pytest.raises(Refused, match="nipper-01 lies in"):
        empty_jar(two_soiled, jar.jar_id, "spilt")
    wash_again(two_soiled, ["nipper-01"], "the jar was spilt")
    empty_jar(two_soiled, jar.jar_id, "spilt")
    with pytest.raises(NotFound):
        treat(two_soiled, ["nipper-02"], jar_id=jar.jar_id)


def test_the_record_says_that_a_clock_was_restarted_and_how_a_piece_came_out(
    two_soiled: Desk, clock: Clock
) -> None:
    treat(two_soiled, ["nipper-01"])
    treat(two_soiled, ["nipper-02"])
    clock.passes(10)
    take_out(two_soiled, ["nipper-01"])
    told = {line.what: line.detail for line in treatments(two_soiled, last_days(two_soiled))}
    assert told["clock restarted"].endswith("nipper-02 added")
    assert told["ready"] == "lifted, rinsed, dried"


def test_a_jar_is_mixed_by_the_labels_words_and_by_the_gallon(desk: Desk) -> None:
    told = mix_from_label(desk, "concentrate", "1 us_gal", "2 us_fl_oz per us_gal")
    # 3785 ml in 65 parts is 58 ml (NIST HB 44 App. C; 1:64 is 1 in 65 of the whole).
    assert (
        "58 ml of concentrate and 3727 ml of water (1:64, 2 us_fl_oz per us_gal)" in told.sentence
    )
    (jar,) = jars(desk)
    assert (jar.total_ml, jar.parts_water, jar.label) == (3785, 64, "2 us_fl_oz per us_gal")


@pytest.mark.parametrize(("said", "parts"), [("64", 64), ("85.33", 85.33), ("4 ml per l", 250)])
def test_a_strength_is_parts_or_words(desk: Desk, said: str, parts: float) -> None:
    mix_from_label(desk, "concentrate", "1000", said)
    assert [jar.parts_water for jar in jars(desk)] == [parts]


@pytest.mark.parametrize("said", ["strong", "1.2.3", "", ".", "²"])
def test_a_strength_nobody_can_read_is_refused(desk: Desk, said: str) -> None:
    with pytest.raises(Refused):
        mix_from_label(desk, "concentrate", "1000", said)
    assert jars(desk) == []


def test_a_jar_is_mixed_from_percentages(desk: Desk) -> None:
    from decimal import Decimal

    # CDC guideline, Appendix E: 3.5 % to 0.5 % is six parts of water.
    mix_from_percent(desk, "concentrate", "700", Decimal("3.5"), Decimal("0.5"))
    assert [jar.parts_water for jar in jars(desk)] == [6]


def test_a_label_that_lasts_longer_than_the_book_does_not_outlast_it(desk: Desk) -> None:
    mix_jar(desk, "concentrate", 500, 64, label_days=14)  # strict-majority: daily
    (jar,) = jars(desk)
    assert jar.change_by.date() == desk.today()


def test_the_ultrasonic_bath_cleans_and_disinfects_nothing(two_soiled: Desk, clock: Clock) -> None:
    with pytest.raises(Refused, match="no ultrasonic bath"):
        ultrasonic(two_soiled, ["nipper-01"])
    mix_jar(two_soiled, "concentrate", 500, 20, purpose="ultrasonic")
    ultrasonic(two_soiled, ["nipper-01"])  # N.J.A.C. 13:28-3.2: ten minutes
    steps = {piece.piece_id: piece.next_step for piece in wash_list(two_soiled)}
    assert steps["nipper-01"] == "treat"
    treat(two_soiled, ["nipper-01"])
    assert {jar.purpose: jar.holds for jar in jars(two_soiled)} == {
        "ultrasonic": (),
        "disinfect": ("nipper-01",),
    }
    clock.passes(60 * 24)
    with pytest.raises(Refused, match="was to be changed"):
        ultrasonic(two_soiled, ["nipper-02"])


def test_a_soiled_piece_does_not_go_into_the_ultrasonic_bath(desk: Desk) -> None:
    tag(desk, "nipper", 1)
    mix_jar(desk, "concentrate", 500, 20, purpose="ultrasonic")
    with pytest.raises(Refused, match="only when it is cleaned"):
        ultrasonic(desk, ["nipper-03"])
