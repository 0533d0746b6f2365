"""The books on the shelf: compared over the shop's own items, checked, copied, put in force."""

from pathlib import Path

import pytest

from consumables.desk.books import check_book, comparison, copy_book
from consumables.desk.opening import Desk
from consumables.desk.verdicts import tighten, use_book, verdict_of
from consumables.errors import BadRuleBook, NotFound, Refused
from consumables.items.classify import classify
from consumables.items.compare_books import usual_items
from consumables.items.rulebook_reader import find_book, shipped, shipped_names
from consumables.words import Category, Route


def test_moving_to_texas_moves_the_shops_board_and_nipper(desk: Desk) -> None:
    found = comparison(desk, "strict-majority", "us-texas")
    moved = {one.item_id: one.after.answer for one in found.moved}
    assert found.items == len(desk.items)
    assert moved["board"] == "disinfectable, spray"
    assert moved["nipper"] == "disinfectable, sterilise"
    assert "gloves" not in moved


def test_what_is_said_to_move_is_what_moves_when_the_book_is_put_in_force(desk: Desk) -> None:
    said = {one.item_id for one in comparison(desk, "strict-majority", "us-oklahoma").moved}
    before = {name: (one.category, one.route) for name, one in desk.verdicts.items()}
    use_book(desk, "us-oklahoma")
    after = {name: (one.category, one.route) for name, one in desk.verdicts.items()}
    assert {name for name in before if before[name] != after[name]} <= said


def test_what_the_shop_decided_for_itself_does_not_move(desk: Desk) -> None:
    tighten(desk, "nipper", "the steriliser is broken")
    found = comparison(desk, "strict-majority", "us-texas")
    assert found.own == ("nipper",)
    assert "nipper" not in {one.item_id for one in found.moved}
    assert found.items == len(desk.items) - 1


def test_without_a_shop_usual_items_are_compared() -> None:
    assert comparison(None, "us-texas", "us-ohio").items == len(usual_items())


def test_a_book_that_is_nowhere_is_told(desk: Desk) -> None:
    with pytest.raises(NotFound, match="atlantis"):
        comparison(desk, "strict-majority", "atlantis")


@pytest.mark.parametrize("name", shipped_names())
def test_a_copy_of_any_book_says_what_the_book_says(name: str, tmp_path: Path) -> None:
    made = copy_book(name, str(tmp_path / "our-salon.toml"))
    copied, original = find_book(str(tmp_path / "our-salon.toml")), shipped(name)
    assert made.name == copied.name == "our-salon"
    assert (copied.rules, copied.parameters) == (original.rules, original.parameters)
    assert copied.partial is original.partial is made.partial


def test_a_copy_never_overwrites_and_never_takes_a_shipped_name(tmp_path: Path) -> None:
    there = tmp_path / "ours.toml"
    there.write_text("precious", encoding="utf-8")
    with pytest.raises(Refused, match="exists already"):
        copy_book("us-texas", str(there))
    assert there.read_text(encoding="utf-8") == "precious"
    with pytest.raises(Refused, match="comes with the tool"):
        copy_book("us-texas", str(tmp_path / "us-ohio.toml"))
    with pytest.raises(Refused, match="cannot name a book"):
        copy_book("us-texas", str(tmp_path / "our 'own'.toml"))
    with pytest.raises(Refused, match="was not written"):
        copy_book("us-texas", str(tmp_path / "nowhere" / "ours.toml"))


def test_a_changed_copy_is_checked_compared_and_put_in_force(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "ours.toml"
    copy_book("strict-majority", str(file))
    own = file.read_text(encoding="utf-8").replace("'daily', 'cloudy', 'label'", "'daily'")
    own += """
[[rules]]
rule_id = 'our-nippers'
when = { kinds = ['nipper'], wholly = ['metal'], porous = false }
category = 'disinfectable'
route = 'sterilise'
because = 'Our board wants nippers sterilised.'
cites = [{ section = 'letter of the board', edition = '2026-02-03' }]
"""
    file.write_text(own, encoding="utf-8")
    assert check_book(str(file)).rules == len(shipped("strict-majority").rules) + 1
    assert [one.item_id for one in comparison(desk, "strict-majority", str(file)).moved] == [
        "nipper"
    ]
    use_book(desk, str(file))
    assert desk.verdicts["nipper"].route is Route.STERILISE


def test_an_own_book_is_found_again_from_another_folder(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    copy_book("us-texas", "ours")
    use_book(desk, "ours.toml")
    monkeypatch.chdir("/")
    desk.forget()
    assert desk.book.name == "ours"


def test_a_broken_copy_is_refused_with_its_file_and_rule(tmp_path: Path) -> None:
    file = tmp_path / "ours.toml"
    copy_book("us-ohio", str(file))
    text = file.read_text(encoding="utf-8").replace("rule_id = 'not-porous'", "rule_id = 'porous'")
    file.write_text(text, encoding="utf-8")
    with pytest.raises(BadRuleBook, match=r"ours\.toml.*'porous' stands there twice"):
        check_book(str(file))


def test_a_verdict_says_what_would_change_it_and_which_books_differ(desk: Desk) -> None:
    verdict = verdict_of(desk, "board")
    changes = {one.condition: one.category for one in verdict.changes}
    assert classify(desk.items["board"], desk.book).changes == ()  # asked for, not always computed
    assert {one.book for one in verdict.disagree} == {"us-indiana", "us-texas"}
    assert all(one.partial for one in verdict.disagree)
    assert verdict.partial_book
    assert changes == {}  # an emery board is named: nothing about it would help


def test_a_shops_own_stricter_answer_shows_what_its_book_would_say(desk: Desk) -> None:
    tighten(desk, "nipper", "the steriliser is broken")
    (one,) = verdict_of(desk, "nipper").changes
    assert (one.condition, one.category) == (
        "if this shop followed its book",
        Category.DISINFECTABLE,
    )


def test_a_book_that_would_only_ask_is_not_listed_as_disagreeing(desk: Desk) -> None:
    """Okla. Admin. Code 175:10-7-30(c) speaks of a file that is not wholly metal or glass; of one
    whose material nobody knows it can only ask."""
    assert "us-oklahoma" not in {one.book for one in verdict_of(desk, "puzzle").disagree}
