"""The wash-up: every step in turn, and no piece ready before its contact time has run."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from small_shop import CATALOGUE, Clock, solid

from consumables.desk.closing import card_for, close_visit
from consumables.desk.jars import jars, mix_jar
from consumables.desk.opening import Desk
from consumables.desk.tagging import tag
from consumables.desk.undoing import recent_jobs, undo
from consumables.desk.washing import clean, take_out, treat, wash_list, wipe_down
from consumables.errors import Refused
from consumables.items.catalogue import Service, SetUpLine
from consumables.ledger.events import LotReceived, PieceTagged
from consumables.words import PieceState


@pytest.fixture
def soiled(desk: Desk, visit: Callable[..., str]) -> Desk:
    close_visit(desk, card_for(desk, visit("manicure")))
    return desk


def test_a_piece_is_ready_only_after_the_label_time(soiled: Desk, clock: Clock) -> None:
    mix_jar(soiled, "concentrate", 1000, 64)
    clean(soiled, ["nipper-01"])
    treat(soiled, ["nipper-01"])
    clock.passes(9)
    with pytest.raises(Refused, match="1 minute more"):
        take_out(soiled, ["nipper-01"])
    clock.passes(1)
    take_out(soiled, ["nipper-01"])
    assert wash_list(soiled) == []


def test_a_soiled_piece_is_cleaned_before_it_is_treated(soiled: Desk) -> None:
    mix_jar(soiled, "concentrate", 1000, 64)
    with pytest.raises(Refused, match="only when it is cleaned"):
        treat(soiled, ["nipper-01"])


def test_immersion_needs_a_jar_and_a_fresh_one(soiled: Desk, clock: Clock) -> None:
    clean(soiled, ["nipper-01"])
    with pytest.raises(Refused, match="mix and date"):
        treat(soiled, ["nipper-01"])
    mix_jar(soiled, "concentrate", 1000, 64)
    clock.passes(60 * 24)
    with pytest.raises(Refused, match="was to be changed"):
        treat(soiled, ["nipper-01"])


def test_two_fluid_ounces_to_the_gallon_is_one_to_sixty_four(desk: Desk) -> None:
    # 1 part in 65 of the whole: label convention, 128 US fl oz to the US gallon (NIST HB 44 C).
    from consumables.closeout.solutions import product_ml

    assert product_ml(3785 + 59, 64) == 59
    mix_jar(desk, "concentrate", 1000, 64)
    assert [jar.parts_water for jar in jars(desk)] == [64]


def test_a_piece_that_met_blood_needs_the_blood_level_cycle(
    desk: Desk, visit: Callable[..., str]
) -> None:
    from dataclasses import replace

    close_visit(desk, replace(card_for(desk, visit("manicure")), contaminated=True))
    mix_jar(desk, "concentrate", 1000, 64)
    clean(desk, ["nipper-01"])
    with pytest.raises(Refused, match="blood-level cycle"):
        treat(desk, ["nipper-01"])
    treat(desk, ["nipper-01"], blood_level=True)


def test_a_lamp_wiped_down_serves_again_once_its_wet_time_has_run(
    desk: Desk, visit: Callable[..., str], clock: Clock
) -> None:
    def close(number: int) -> None:
        close_visit(desk, card_for(desk, visit("lamp", visit_id=f"v{number}")))

    close(1)
    with pytest.raises(Refused, match="1 waiting in the wash"):
        close(2)
    wipe_down(desk)
    with pytest.raises(Refused, match="1 waiting in the wash"):
        close(2)
    clock.passes(10)
    close(2)


def test_a_new_tool_is_washed_before_its_first_client(desk: Desk) -> None:
    tag(desk, "nipper", 1)
    states = {piece.piece_id: piece.state for piece in wash_list(desk)}
    assert states == {"nipper-03": PieceState.SOILED}


def test_a_single_use_thing_is_never_tagged_to_be_kept(desk: Desk) -> None:
    with pytest.raises(Refused, match="single-use"):
        tag(desk, "board", 1)


def test_the_mixing_of_a_jar_that_holds_pieces_is_not_undone(soiled: Desk) -> None:
    mix_jar(soiled, "concentrate", 1000, 64)
    (mixed,) = [job for job in recent_jobs(soiled) if job.verb == "mix"]
    clean(soiled, ["nipper-01"])
    treat(soiled, ["nipper-01"])
    with pytest.raises(Refused, match="nipper-01 lie in that jar"):
        undo(soiled, mixed.job_key)


def test_a_towel_serves_again_only_when_somebody_says_it_is_back_from_the_laundry(
    desk: Desk, visit: Callable[..., str]
) -> None:
    towel = solid("towel", "terry cotton", True, kind="towel", launderable=True)
    services = (*CATALOGUE.services, Service("foot", "Foot care", 30))
    set_ups = (*CATALOGUE.set_ups, SetUpLine("foot", "towel", 1))
    wider = replace(CATALOGUE, items=(*CATALOGUE.items, towel), services=services, set_ups=set_ups)
    with desk.store.writing() as session:
        session.write_catalogue(wider)
        got = LotReceived("towel", "towel-lot", 1)
        session.append(desk.job("test", "."), [got, PieceTagged("towel", "towel-lot", "t1", True)])
    desk.forget()
    close_visit(desk, card_for(desk, visit("foot", visit_id="v1")))
    wipe_down(desk)
    with pytest.raises(Refused, match="1 waiting in the wash"):
        close_visit(desk, card_for(desk, visit("foot", visit_id="v2")))
    take_out(desk, ["t1"])
    close_visit(desk, card_for(desk, visit("foot", visit_id="v2")))
