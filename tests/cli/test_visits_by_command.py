"""A day's visits by command: look, close, amend, put right."""

import pytest


def test_the_day_lists_its_visits_and_says_what_waits(run) -> None:
    done = run("today")
    assert done.exit_code == 0
    assert "open, due" in done.stdout
    assert "v1" in done.stdout
    assert "A test shop" in done.stderr


def test_times_have_an_offset_and_ids_are_text(answer) -> None:
    (visit,) = answer("today")["visits"]
    assert visit["starts_at"] == "2026-03-04T11:00:00+00:00"
    assert visit["visit_id"] == "v1"


def test_another_day_may_be_asked_for(answer) -> None:
    found = answer("today", "--day", "2026-03-05")
    assert (found["day"], found["visits"]) == ("2026-03-05", [])


def test_a_day_without_visits_says_so(run) -> None:
    assert "No visit is in the book for this day." in run("today", "--day", "2026-03-05").stderr
    assert "No visit is in the book" not in run("today").stderr


def test_an_early_visit_is_found_without_its_leading_nought(run, clock) -> None:
    clock.at = clock.at.replace(hour=9, minute=5)
    walked_in = run("walk-in", "lamp").stdout.strip()
    assert walked_in in run("close", "9:05", "--dry-run", "--json").stdout


def test_a_visit_is_closed_by_the_time_it_began(run, answer) -> None:
    done = run("close", "11:00")
    assert done.exit_code == 0
    assert "bin: 1 board" in done.stdout
    assert "wash: 1 nipper (nipper-01)" in done.stdout
    assert answer("today")["visits"][0]["state"] == "closed"


def test_where_two_visits_start_together_it_is_ones_own(run) -> None:
    ours, theirs = (
        run("walk-in", "lamp", "--technician", who).stdout.strip() for who in ("AB", "CD")
    )
    assert ours in run("close", "12:00", "--dry-run", "--json").stdout
    assert theirs in run("close", "12:00", "--dry-run", "--json", "--who", "CD").stdout
    assert f"{ours} (AB)" in run("close", "walk-in", "--dry-run", "--who", "").stderr


def test_closing_twice_writes_nothing_twice(run, answer) -> None:
    run("close", "v1")
    assert "done before" in run("close", "v1").stderr
    assert sum(lot["on_hand"] for lot in answer("shelf", "board")["lots"]) == 3 + 50 + 4 - 1


def test_a_dry_run_shows_the_card_and_writes_nothing(run, answer) -> None:
    done = run("close", "v1", "--dry-run")
    assert "board-old" in done.stdout
    assert answer("today")["visits"][0]["state"] == "open"


def test_a_card_is_amended_before_it_is_closed(run) -> None:
    done = run(
        *("close", "v1", "--extra", "board=2", "--not-used", "acetone"),
        *("--used", "gloves=1", "--piece", "nipper=nipper-02"),
    )
    assert "bin: 3 board" in done.stdout
    assert "bin: 1 gloves" in done.stdout
    assert "nipper-02" in done.stdout
    assert "acetone" not in done.stdout


def test_what_is_not_on_the_card_cannot_be_unused(run) -> None:
    done = run("close", "v1", "--not-used", "strip")
    assert done.exit_code == 1
    assert "is not on this visit's card" in done.stderr


def test_blood_asks_for_caution_and_the_blood_level_cycle(run) -> None:
    assert "Blood, broken skin" in run("close", "v1", "--blood").stderr
    assert "blood level" in run("wash").stdout


def test_a_refusal_names_the_reason_and_the_truth_can_still_be_written(run, answer) -> None:
    refused = run("close", "v1", "--extra", "board=500")
    assert refused.exit_code == 1
    assert "53 in date on the shelf" in refused.stderr
    told = run("close", "v1", "--extra", "board=500", "--already-done")
    assert told.exit_code == 0
    assert "flagged" in told.stdout
    assert len(answer("flags")["flags"]) == 1


def test_a_job_key_sent_twice_counts_once(answer) -> None:
    first = answer("close", "v1", "--key", "tablet-7-118")["receipt"]
    assert first["job_key"] == "tablet-7-118"
    assert answer("close", "v1", "--key", "tablet-7-118")["receipt"]["again"]


def test_a_flag_is_settled_with_what_was_found(run, answer) -> None:
    run("close", "v1", "--extra", "board=500", "--already-done")
    (flag,) = answer("flags")["flags"]
    assert isinstance(flag["entry_id"], str)
    assert run("settle", flag["entry_id"], "--because", "box found below").exit_code == 0
    assert answer("flags")["flags"] == []


def test_a_client_who_did_not_come_uses_nothing(run, answer) -> None:
    assert run("no-show", "v1").exit_code == 0
    assert answer("today")["visits"][0]["state"] == "no-show"


def test_a_walk_in_gets_an_id_that_can_be_closed(run) -> None:
    booked = run("walk-in", "manicure", "--client", "K7")
    assert run("close", booked.stdout.strip()).exit_code == 0


def test_an_unknown_service_is_answered_with_the_known_ones(run) -> None:
    done = run("walk-in", "massage")
    assert done.exit_code == 1
    assert "manicure" in done.stderr


def test_the_last_job_is_undone_by_a_further_entry(run, answer) -> None:
    run("close", "v1")
    assert run("undo").stdout.startswith("Undone: 11:00 c01 closed")
    assert answer("today")["visits"][0]["state"] == "open"
    assert [job["verb"] for job in answer("undo", "--list")["jobs"]][:2] == ["undo", "close"]


def test_the_beginning_of_a_key_is_enough(run, answer) -> None:
    run("close", "v1")
    run("count", "strip", "4")
    key = run("undo", "--list").stdout.splitlines()[2].split()[3]
    assert len(key) == 10
    assert run("undo", "--job", key).stdout.startswith("Undone: 11:00 c01 closed")


def test_another_job_is_undone_by_its_key(run, answer) -> None:
    run("close", "v1", "--key", "k1")
    run("count", "strip", "4")
    assert run("undo", "--job", "k1", "--because", "wrong client").exit_code == 0
    assert answer("today")["visits"][0]["state"] == "open"


@pytest.mark.parametrize("said", ["v9", "23:59"])
def test_a_visit_that_is_not_in_the_book_is_named(run, said) -> None:
    done = run("close", said)
    assert done.exit_code == 1
    assert said in done.stderr


def test_a_number_that_is_no_open_flag_is_named_and_the_list_pointed_at(run) -> None:
    done = run("settle", "998", "999", "--because", "found it")
    assert done.exit_code == 1
    assert "number 998, 999; `consumables flags` lists them." in done.stderr
