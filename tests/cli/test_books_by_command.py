"""The rule books from the command line: listed, shown, compared, checked, copied, put in force."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from consumables.cli import main

Run = Callable[..., Result]
Answer = Callable[..., dict[str, Any]]


def without_shop(tmp_path: Path, *words: str) -> Result:
    env = {"CONSUMABLES_SHOP": "", "XDG_DATA_HOME": str(tmp_path), "HOME": str(tmp_path)}
    done = CliRunner().invoke(main, ["book", *words], env=env)
    assert "Traceback" not in done.output
    return done


def test_the_list_says_of_each_book_whether_it_was_seen_in_part(run: Run, answer: Answer) -> None:
    assert run("book").stdout == run("book", "list").stdout
    rows = {line.split()[0]: line for line in run("book").stdout.splitlines()[1:]}
    for book in answer("book", "list")["books"]:
        assert ("in part" in rows[book["name"]]) is book["partial"]


def test_a_book_shows_its_parameters_and_where_they_stand(run: Run) -> None:
    told = run("book", "show", "us-minnesota").stdout
    assert "spore test days" in told
    assert "30" in told
    assert "Minn. R. 2105.0377" in told
    assert "label on disinfectant container" in run("book", "show", "us-california").stdout


def test_what_the_tool_fills_in_is_told_from_what_a_text_says(run: Run) -> None:
    """Nevada refuses alcohol (NAC 644A.740), so the strict default does; Texas, as seen, is silent
    on contact time and on alcohol."""
    strict, texas = (run("book", "show", name).stdout for name in ("strict-majority", "us-texas"))
    assert "alcohol accepted                 no" in strict
    assert "alcohol" not in texas.split("rule  ")[0]
    assert "contact minutes                  10 (the tool's own" in texas


def test_a_parameter_is_not_confused_with_a_rule(answer: Answer) -> None:
    book = answer("book", "show", "us-ohio")["book"]
    assert book["parameters"]["container_labels"] == [["secondary container", "<contents>"]]
    assert book["rules"][0]["cites"][0]["checked_on"] == "2026-11-25"


def test_two_books_are_compared_over_the_shops_items(run: Run, answer: Answer) -> None:
    done = run("book", "compare", "strict-majority", "us-texas")
    assert done.stdout.startswith("Moving from Strict majority (partial) to Texas (partial copy)")
    assert "board" in done.stdout
    assert "disinfectable, spray" in done.stdout
    assert "Seen only in part: strict-majority, us-texas." in done.stderr
    found = answer("book", "compare", "strict-majority", "us-texas")
    assert found["over"] == "shop"
    assert found["comparison"]["moved"][0]["after"]["section"] == "16 TAC 83.106(f)"


def test_without_a_shop_usual_items_are_compared_and_it_says_so(tmp_path: Path) -> None:
    done = without_shop(tmp_path, "compare", "us-ohio", "us-texas")
    assert done.exit_code == 0
    assert "usual items" in done.stderr


def test_a_shop_that_was_named_and_is_not_there_is_an_error(tmp_path: Path) -> None:
    nowhere = str(tmp_path / "nowhere.db")
    done = without_shop(tmp_path, "compare", "us-ohio", "us-texas", "--shop", nowhere)
    assert done.exit_code == 4
    usual = without_shop(tmp_path, "compare", "us-ohio", "us-texas", "--usual", "--json")
    assert json.loads(usual.stdout)["over"] == "usual items"


def test_a_copy_is_made_checked_and_put_in_force(run: Run, tmp_path: Path) -> None:
    file = str(tmp_path / "ours.toml")
    assert "copy of us-indiana" in run("book", "copy", "us-indiana", file).stdout
    assert "ours is sound" in run("book", "check", file).stdout
    assert run("book", "copy", "us-indiana", file).exit_code == 1
    put = run("book", "use", file)
    assert "Indiana (partial copy)" in put.stdout
    assert "partial" in put.stderr
    assert "under ours (seen in part)" in run("items", "board").stdout


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("cites = ['indiana']", "", "no citation"),
        ("rule_id = 'metal-bits'", "rule_id = 'metal-bits'\ncolour = 'red'", "colour"),
        ("kinds = ['e-file bit']", "kinds = ['sanding band']", None),
    ],
)
def test_a_book_that_cannot_be_trusted_names_file_and_rule(
    run: Run, tmp_path: Path, old: str, new: str, told: str | None
) -> None:
    file = tmp_path / "ours.toml"
    run("book", "copy", "us-indiana", str(file))
    text = file.read_text(encoding="utf-8")
    head, rules = text.split("[[rules]]", 1)
    file.write_text(head + "[[rules]]" + rules.replace(old, new), encoding="utf-8")
    done = run("book", "check", str(file))
    assert done.exit_code == (3 if told else 0)
    if told:
        assert told in done.stderr
        assert "ours.toml, rule '" in done.stderr


def test_an_item_shows_what_would_change_its_verdict(run: Run, answer: Answer) -> None:
    told = run("items", "core").stdout
    assert "changes   if the surface did not come off: single-use, bin" in told
    changes = answer("items", "nipper")["verdict"]["changes"]
    assert {"condition", "category", "route"} == set(changes[0])


def test_a_description_shows_it_too_and_cautions_about_a_coarse_face() -> None:
    done = CliRunner().invoke(main, ["classify", "padded file 80/100, foam core"])
    assert "changes   if it were wholly metal or glass: disinfectable, immerse" in done.stdout
    assert "caution   Grit 80 and 100 are coarser" in done.stdout
    assert "differs   under us-texas (seen in part): disinfectable, spray" in done.stdout


def test_how_a_source_is_known_is_said_once() -> None:
    for thing in ("silicone dish", "paper face mask", "rubber mandrel", "ceramic bit"):
        done = CliRunner().invoke(main, ["classify", thing])
        for line in done.stdout.splitlines():
            assert line.count("common practice, no source") <= 1
