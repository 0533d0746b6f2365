"""The steriliser, the foot basins, jars by the label and looking over, by command."""

from dataclasses import replace

import pytest
from small_shop import CATALOGUE

from consumables.desk.opening import open_desk


@pytest.fixture
def texan(shop: str, run) -> None:
    """Both nippers cleaned, under a book that wants metal sterilised."""
    with open_desk(shop) as desk, desk.store.writing() as session:
        session.write_settings(replace(CATALOGUE.settings, rule_book="us-texas"))
    run("wash", "again", "nipper-01", "nipper-02", "--because", "new book")
    run("wash", "clean", "all")


def load(run, *more: str):
    told = ("--method", "steam-gravity", "--temperature", "250F", "--minutes", "30")
    return run("steriliser", "load", "all", *(more or told))


@pytest.mark.usefixtures("texan")
def test_a_load_goes_in_and_comes_out_with_the_word_all(run, clock, answer) -> None:
    assert "load-0001: 2 pieces into the steriliser" in load(run).stdout
    clock.passes(minutes=44)
    early = run("steriliser", "unload", "load-0001", "--indicator", "changed")
    assert early.exit_code == 1
    clock.passes(minutes=1)
    assert run("steriliser", "unload", "load-0001", "--indicator", "changed").exit_code == 0
    (found,) = answer("steriliser")["loads"]
    assert (found["indicator"], found["temperature"], found["scale"]) == ("changed", 250, "F")
    assert answer("wash")["pieces"] == []


@pytest.mark.usefixtures("texan")
def test_a_cycle_below_the_table_is_refused_in_a_sentence(run) -> None:
    done = load(run, "--method", "dry-heat", "--temperature", "160C", "--minutes", "60")
    assert done.exit_code == 1
    assert "120 min at 160 C" in done.stderr
    odd = load(run, "--method", "dry-heat", "--temperature", "hot", "--minutes", "60")
    assert odd.exit_code == 2


@pytest.mark.usefixtures("texan")
def test_a_failed_spore_test_is_read_and_calls_back(run, clock, answer) -> None:
    load(run)
    clock.passes(minutes=45)
    run("steriliser", "unload", "load-0001", "--indicator", "changed")
    run("steriliser", "spore-test")
    (test,) = answer("steriliser")["spore_tests"]
    done = run("steriliser", "spore-result", test["test_id"], "failed")
    assert "goes back to the wash" in done.stdout
    assert {piece["next_step"] for piece in answer("wash")["pieces"]} == {"clean"}
    assert "OVERDUE: The last spore test failed" in run("wash").stderr


def test_a_basin_is_logged_and_listed(run, answer) -> None:
    told = ("--moment", "after-client", "--product", "concentrate")
    assert run("basin", "log", "left", *told).exit_code == 0
    assert run("basin", "log", "left", *told, "--minutes", "3").exit_code == 1
    (line,) = answer("basin")["basins"]
    assert (line["basin"], line["minutes"], line["who"]) == ("left", 10, "AB")


def test_a_jar_is_mixed_by_the_labels_words(run, answer) -> None:
    told = ("--total", "1 us_gal", "--label", "2 us_fl_oz per us_gal", "--lasts", "14")
    assert "1:64, 2 us_fl_oz per us_gal" in run("wash", "mix", "concentrate", *told).stdout
    (jar,) = answer("wash")["jars"]
    assert (jar["parts_water"], jar["total_ml"]) == (64, 3785)


def test_a_jar_wants_its_strength_said_once(run) -> None:
    none = run("wash", "mix", "concentrate", "--total", "1000")
    both = run("wash", "mix", "concentrate", "--total", "1", "--water", "9", "--stock", "3",
               "--target", "1")  # fmt: skip
    assert (none.exit_code, both.exit_code) == (1, 1)
    assert "Say how strong, once" in none.stderr


def test_a_look_that_finds_rust_retires_and_all_is_only_for_nothing(run, answer) -> None:
    assert "looked over: nothing found" in run("wash", "look", "all").stdout
    assert run("wash", "look", "all", "--found", "rust").exit_code == 1
    assert "N.J.A.C." not in run("wash", "look", "nipper-01", "--found", "scratch").stdout
    assert run("wash", "look", "nipper-01", "--found", "rust").exit_code == 0
    assert "rust (N.J.A.C. 13:28-3.2)" in run("record").stdout


def test_the_ultrasonic_bath_is_mixed_and_used(run) -> None:
    run("wash", "again", "nipper-01")
    run("wash", "clean", "all")
    mixed = run("wash", "mix", "concentrate", "--total", "500", "--water", "20", "--ultrasonic")
    assert "Mixed ultrasonic bath" in mixed.stdout
    done = run("wash", "ultrasonic", "all")
    assert "1 piece ran 10 min in the ultrasonic bath" in done.stdout
