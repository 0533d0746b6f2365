"""The page on rule books shows what the books really answer."""

import re
from pathlib import Path

import pytest

from consumables.items.classify import classify
from consumables.items.describe import describe_text
from consumables.items.materials import families
from consumables.items.rulebook_reader import ROUTES_OF, read_rule_book, shipped, shipped_names

ROOT = Path(__file__).parents[2]
PAGES = ("docs/rule_books.md", "consumables/rulebooks/README.md")


def page(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def table() -> list[list[str]]:
    """Rows of the table of differences, the head first."""
    lines = [line for line in page(PAGES[0]).splitlines() if line.startswith("| ")]
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    start = next(at for at, row in enumerate(rows) if row[0] == "thing")
    return [row for row in rows[start:] if len(row) == len(rows[start])]


def answer(thing: str, book: str) -> str:
    verdict = classify(describe_text(thing).item, shipped(book))
    asked = "ask" if verdict.questions else verdict.route.value
    mark = " (sources differ)" if verdict.conflict else ""
    return "banned" if verdict.banned_here else asked + mark


@pytest.mark.parametrize("row", table()[1:], ids=lambda row: row[0])
def test_the_table_of_differences_is_true(row: list[str]) -> None:
    books = table()[0][1:]
    assert row[1:] == [answer(row[0], book) for book in books]


@pytest.mark.parametrize("name", PAGES)
def test_every_shipped_book_is_named(name: str) -> None:
    assert [book for book in shipped_names() if f"`{book}`" not in page(name)] == []


def test_the_example_of_an_own_book_can_be_read() -> None:
    (example,) = re.findall(r"```toml\n(.*?)```", page(PAGES[0]), re.DOTALL)
    assert read_rule_book(example, "example").rules


def test_every_family_and_every_way_is_listed_for_those_who_write_a_book() -> None:
    said = page(PAGES[1])
    ways = {route.value for routes in ROUTES_OF.values() for route in routes}
    assert [word for word in sorted(families() | ways) if f"`{word}`" not in said] == []
