"""The week's order by command: looked at, placed, delivered in parts, closed."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture
def placed(run) -> str:
    """The id of one order of two packs of boards."""
    run("count", "board", "0")
    run("order", "place", "--packs", "board-50=2")
    return str(json.loads(run("order", "open", "--json").stdout)["orders"][0]["order_id"])


def test_the_list_gives_a_reason_for_every_line_and_money_as_text(run, answer) -> None:
    run("count", "board", "0")
    run("walk-in", "manicure")
    found = answer("order")
    assert found["currency"] == "EUR"
    assert isinstance(found["total"], str)
    lines = found["order"]["lines"]
    assert {line["item"] for line in lines} >= {"board"}
    assert all(line["why_now"] and isinstance(line["cost"], str) for line in lines)
    assert "why now" in run("order").stdout
    assert "why now" not in run("order", "--short").stdout


def test_looking_places_nothing(run, answer) -> None:
    run("order")
    assert answer("order", "open")["orders"] == []


def test_the_list_may_be_asked_for_as_of_another_day(answer) -> None:
    assert answer("order", "--as-of", "2026-03-09")["order"]["as_of"] == "2026-03-09"


def test_the_list_is_written_as_a_sheet(run, tmp_path: Path) -> None:
    run("count", "board", "0")
    rows = list(csv.DictReader(io.StringIO(run("order", "--csv", "-").stdout)))
    assert any(row["offer"] == "board-50" and row["because"] for row in rows)
    assert run("order", "--csv", str(tmp_path / "week.csv")).exit_code == 0
    assert (tmp_path / "week.csv").exists()


def test_set_ups_that_practice_has_left_are_listed(run) -> None:
    assert run("order", "--drift").exit_code == 0


def test_part_of_a_line_arrives_then_nothing_more_comes(run, answer, placed: str) -> None:
    assert run("order", "receive", placed, "board-50", "48").exit_code == 0
    (order,) = answer("order", "open")["orders"]
    assert order["state"] == "part delivered"
    assert order["lines"][0]["outstanding"] == 52
    assert run("order", "close", placed, "--because", "sold out").exit_code == 0
    assert answer("order", "open")["orders"] == []


def test_a_delivery_keeps_its_use_by_and_lot_code(
    run, answer: Callable[..., dict[str, Any]], placed: str
) -> None:
    run("order", "receive", placed, "board-50", "50", "--use-by", "2027-06-30", "--lot", "K4")
    assert "2027-06-30" in {lot["use_by"] for lot in answer("shelf", "board")["lots"]}


def test_what_was_never_ordered_is_not_received(run, placed: str) -> None:
    assert run("order", "receive", placed, "acetone-l", "1").exit_code == 1
    assert run("order", "receive", "order-none", "board-50", "1").exit_code == 1


def test_what_was_bought_over_the_counter_goes_on_the_shelf(run, answer) -> None:
    assert run("order", "bought", "acetone", "250", "--cost", "0.0084").exit_code == 0
    assert sum(lot["on_hand"] for lot in answer("shelf", "acetone")["lots"]) == 750
    assert run("order", "bought", "acetone", "250", "--cost", "cheap").exit_code == 2


def test_an_order_for_nobody_is_refused(run) -> None:
    assert run("order", "place", "--supplier", "nobody").exit_code == 1
