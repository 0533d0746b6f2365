"""The reuse gap by command: rows, cards, sentences, and the same for a machine."""

import csv
import io

import pytest


@pytest.fixture
def short_card(run) -> None:
    assert run("close", "v1", "--not-used", "board").exit_code == 0


def test_the_gap_is_told_in_a_sentence_and_by_service(run, short_card) -> None:
    done = run("gap")
    assert done.exit_code == 0
    assert "1 visit served. 1 of 1 card short: between 2.5 % and 100.0 % at 95 %" in done.stdout
    assert "too few cards" not in done.stdout.splitlines()[0]  # 1 of 1 is 1 time in 100
    assert "Manicure" in done.stdout
    assert "Not counted in these days: board." in done.stdout
    assert "at least one anew" in done.stderr


@pytest.mark.parametrize(("way", "name"), [("item", "board"), ("technician", "AB")])
def test_the_gap_is_told_by_item_and_by_technician(run, short_card, way, name) -> None:
    done = run("gap", "--by", way)
    assert any(line.endswith(name) and " 1 " in line for line in done.stdout.splitlines())


def test_short_cards_are_listed_one_by_one(run, short_card) -> None:
    done = run("gap", "--by", "card", "--csv", "-")
    (row,) = csv.DictReader(io.StringIO(done.stdout))
    assert (row["visit_id"], row["technician"], row["service"], row["item"]) == (
        "v1",
        "AB",
        "Manicure",
        "board",
    )


def test_a_sheet_has_every_number_of_a_row(run, short_card) -> None:
    rows = csv.DictReader(io.StringIO(run("gap", "--by", "item", "--csv", "-").stdout))
    board, gloves = sorted(rows, key=lambda row: row["item"])
    assert (board["asked"], board["drawn"], board["missing"]) == ("1", "0", "1")
    assert (gloves["asked"], gloves["drawn"], gloves["missing"]) == ("1", "2", "0")


def test_a_machine_gets_rows_cards_counts_and_sentences(run, answer, short_card) -> None:
    run("count", "board", "60")
    found = answer("gap")
    assert found["whole"]["short"] == 1
    assert {row["by"] for row in found["rows"]} == {"service", "item", "technician"}
    assert all(row["sentence"] for row in found["rows"])
    assert found["missing"][0]["visit_id"] == "v1"
    assert found["counts"][0]["surplus"] > 0
    assert found["slips_one_in"] == 100


def test_other_slips_and_other_days_may_be_asked_for(answer, short_card) -> None:
    assert answer("gap", "--slips", "10")["whole"]["by_slips"] == pytest.approx(0.1)
    earlier = answer("gap", "--until", "2026-03-03", "--days", "7")
    assert (earlier["first"], earlier["last"], earlier["served"]) == ("2026-02-25", "2026-03-03", 0)


def test_a_day_that_is_none_and_slips_of_every_card_are_refused(run) -> None:
    assert run("gap", "--until", "soon").exit_code == 2
    assert run("gap", "--slips", "1").exit_code == 2


def test_an_empty_period_says_so(run) -> None:
    done = run("gap")
    assert "0 visits served. No visit of these days asks for a single-use thing" in done.stdout


def test_a_client_is_never_named(run, short_card) -> None:
    for words in (("gap",), ("gap", "--by", "card"), ("gap", "--json")):
        assert "c01" not in run(*words).output
