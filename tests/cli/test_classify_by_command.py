"""May it serve a second client? Answered from words or from a list, without any shop."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from consumables.cli import main

DEMO_ITEMS = Path(__file__).parents[2] / "demo_shop" / "items.csv"


def classify(*words: str, stdin: str | None = None) -> Result:
    return CliRunner().invoke(main, ["classify", *words], input=stdin)


def verdicts(*words: str, stdin: str | None = None) -> dict[str, str]:
    done = classify(*words, "--json", stdin=stdin)
    assert done.exit_code == 0, done.output
    answer = json.loads(done.stdout)
    assert answer["schema"] == 1
    return {one["item"]["item_id"]: one["verdict"]["category"] for one in answer["items"]}


def test_a_wood_stick_is_for_one_client_and_the_answer_says_why() -> None:
    told = classify("orangewood stick").stdout
    assert "single-use, under strict-majority" in told
    assert "because" in told
    assert 'told by   "orangewood stick"' in told


def test_an_unknown_is_single_use_until_somebody_answers() -> None:
    assert "Single-use until answered." in classify("thing").stdout


def test_several_descriptions_are_answered_in_their_sequence() -> None:
    found = verdicts("stainless steel nipper, may be immersed", "foam buffer")
    assert list(found.values()) == ["disinfectable", "single-use"]


def test_a_list_is_read_from_a_pipe_and_other_columns_are_named() -> None:
    sheet = "sku,description,price\n1,orangewood stick,2.10\n2,cotton pad,0.90\n"
    done = classify("--csv", "-", "--json", stdin=sheet)
    assert len(json.loads(done.stdout)["items"]) == 2
    assert "Columns not read: sku, price." in done.stderr


def test_a_stated_fact_wins_over_the_words() -> None:
    sheet = "item,description,do_not_reuse\nnipper,stainless steel nipper,yes\n"
    assert verdicts("--csv", "-", stdin=sheet) == {"nipper": "single-use"}


def test_rows_that_share_an_item_are_its_parts() -> None:
    sheet = (
        "item,name,immersible,part,material,removable\n"
        "core,file,yes,core,stainless steel,no\n"
        "core,file,yes,surface,abrasive paper,yes\n"
    )
    assert verdicts("--csv", "-", stdin=sheet) == {"core": "replaceable-surface"}


def test_a_catalogue_sheet_is_read_with_the_parts_beside_it() -> None:
    found = verdicts("--csv", str(DEMO_ITEMS))
    assert len(found) == len(DEMO_ITEMS.read_text(encoding="utf-8").splitlines()) - 1
    assert set(found.values()) == {"single-use", "disinfectable", "replaceable-surface"}


@pytest.mark.parametrize(
    ("sheet", "told"),
    [
        ("a,b\n1,2\n", "A column 'description' is expected"),
        ("description,do_not_reused\nx,yes\n", "Did you mean 'do_not_reuse'?"),
        ("description,porous,material\nx,perhaps,foam\n", "column 'porous'"),
        ("", "A column 'description' is expected"),
    ],
)
def test_a_list_that_cannot_be_trusted_is_refused_whole(sheet: str, told: str) -> None:
    done = classify("--csv", "-", stdin=sheet)
    assert done.exit_code == 3
    assert told in done.stderr
    assert done.stdout == ""


def test_a_missing_list_and_a_missing_book_are_told_apart() -> None:
    assert classify("--csv", "nowhere.csv").exit_code == 3
    assert classify("stick", "--book", "nowhere").exit_code == 1


def test_words_or_a_list_but_not_both_and_not_neither() -> None:
    assert classify().exit_code == 2
    assert classify("stick", "--csv", "-").exit_code == 2
