"""Round the sink by command: nothing out of turn, nothing out too early."""

import pytest


@pytest.fixture
def soiled(run) -> None:
    """One nipper at the sink."""
    run("close", "v1")


@pytest.mark.usefixtures("soiled")
def test_a_piece_goes_round_the_sink_with_the_word_all(run, clock, answer) -> None:
    run("wash", "mix", "concentrate", "--total", "1000", "--water", "32")
    assert run("wash", "clean", "all").exit_code == 0
    assert run("wash", "treat", "all").exit_code == 0
    clock.passes(minutes=11)
    assert run("wash", "take-out", "all").exit_code == 0
    assert answer("wash")["pieces"] == []


@pytest.mark.usefixtures("soiled")
def test_nothing_comes_out_before_the_contact_time(run) -> None:
    run("wash", "mix", "concentrate", "--total", "1000", "--water", "32")
    run("wash", "clean", "all")
    run("wash", "treat", "nipper-01")
    done = run("wash", "take-out", "nipper-01")
    assert done.exit_code == 1
    assert "Traceback" not in done.output


@pytest.mark.usefixtures("soiled")
def test_the_word_all_means_the_pieces_whose_turn_it_is(run) -> None:
    done = run("wash", "treat", "all")
    assert done.exit_code == 1
    assert "No piece is due to treat" in done.stderr


def test_a_jar_is_mixed_dated_shown_and_emptied(run, answer) -> None:
    mixed = run("wash", "mix", "concentrate", "--total", "1000", "--water", "32")
    assert "30 ml of concentrate and 970 ml of water" in mixed.stdout
    (jar,) = answer("wash")["jars"]
    assert run("wash", "empty", jar["jar_id"], "--because", "cloudy").exit_code == 0
    assert answer("wash")["jars"] == []


def test_a_dropped_piece_starts_again_and_a_rusty_one_never_comes_back(run, answer) -> None:
    assert run("wash", "again", "nipper-01").exit_code == 0
    assert run("wash", "retire", "nipper-01", "--because", "rust").exit_code == 0
    states = {piece["piece_id"]: piece["state"] for piece in answer("wash", "--all")["pieces"]}
    assert states["nipper-01"] == "retired"


def test_a_lamp_is_wiped_down_in_one_go(run, answer) -> None:
    run("close", run("walk-in", "lamp").stdout.strip())
    assert run("wash", "wipe-down", "all").exit_code == 0
    assert [piece["state"] for piece in answer("wash")["pieces"]] == ["in-treatment"]
    assert run("wash", "wipe-down", "all").exit_code == 1


def test_new_kept_things_are_tagged_and_wait_for_the_wash(run, answer) -> None:
    assert run("tag", "nipper", "1").exit_code == 0
    assert [piece["state"] for piece in answer("wash")["pieces"]] == ["soiled"]


def test_a_single_use_thing_is_not_tagged(run) -> None:
    done = run("tag", "board")
    assert done.exit_code == 1
    assert "single-use" in done.stderr
