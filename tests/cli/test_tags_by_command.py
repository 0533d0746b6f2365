"""What is written on the things themselves."""

from collections.abc import Callable
from typing import Any

from click.testing import Result


def test_a_board_says_do_not_reuse_and_a_nipper_says_how_it_is_washed(
    answer: Callable[..., dict[str, Any]],
) -> None:
    found = answer("tags", "board", "nipper")["tags"]
    boards = [tag for tag in found if tag["name"] == "board"]
    nippers = [tag for tag in found if tag["name"] == "nipper"]
    assert {tag["warning"] for tag in boards} == {"DO NOT RE-USE"}
    # ISO 15223-1, clause 5.4.2: do not re-use (device makers' symbol glossaries, three agreeing).
    assert {tag["symbol"] for tag in boards} == {"ISO 15223-1, 5.4.2"}
    assert {tag["use_by"] for tag in boards} >= {"2026-03-31", "2027-03-31"}
    assert [tag["code"] for tag in nippers][:2] == ["DESK:nipper-01", "DESK:nipper-02"]
    assert {tag["warning"] for tag in nippers} == {""}


def test_a_thing_nobody_has_described_is_tagged_for_one_client(
    answer: Callable[..., dict[str, Any]],
) -> None:
    (tag,) = answer("tags", "puzzle")["tags"]
    assert tag["warning"] == "DO NOT RE-USE"


def test_tags_come_as_a_list_to_print_from(run: Callable[..., Result]) -> None:
    lines = run("tags", "nipper", "--csv", "-").stdout.splitlines()
    assert lines[0].startswith("warning,category,after the client")
    assert any("DESK:nipper-01" in line for line in lines)
