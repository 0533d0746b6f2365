"""What the tool knows stands in its docs: commands, options, columns, rule-book fields, words."""

import re
from collections.abc import Iterator
from dataclasses import fields
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import get_args

import click
import pytest

from consumables import words
from consumables.cli import main
from consumables.errors import BadFile, BadRuleBook, DeskProblem, NotFound, Refused, ShopUnavailable
from consumables.items.rulebook import Citation, Parameters, Rule, RuleBook, When
from consumables.ledger.events import Event
from consumables.paperwork import sheet_forms

ROOT = Path(__file__).parents[1]
FORMS = [found for found in vars(sheet_forms).values() if isinstance(found, sheet_forms.SheetForm)]
ENUMS = [e for e in vars(words).values() if isinstance(e, type) and issubclass(e, StrEnum)]
# Things of the trade that have one name everywhere, in code as in print.
THINGS = [
    *("Item", "Part", "Piece", "Surface", "Core", "Lot", "Tag", "Rule", "RuleBook", "Citation"),
    *("Reason", "Verdict", "Category", "Route", "SetUp", "Service", "Visit", "Client", "Supplier"),
    *("Offer", "Level", "Need", "OrderLine", "OrderList", "Delivery", "Solution", "UseBy"),
    *("LeadTime", "ReviewPeriod", "ContactTime"),
]
STATES = [
    *("open", "closed", "suggested", "placed", "part delivered", "delivered"),
    *("in stock", "expiring", "past use-by", "below floor", "none", "count first"),
]


@cache
def page(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def commands(group: click.Group, path: str = "") -> Iterator[tuple[str, click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        found = group.get_command(context, name)
        assert found is not None
        yield f"{path}{name}", found
        if isinstance(found, click.Group):
            yield from commands(found, f"{path}{name} ")


def section_of(command: str) -> str:
    """The part of the page on commands that is about one command and its steps."""
    found = re.search(
        rf"^### `consumables {command.split()[0]}\b.*?(?=^##|\Z)",
        page("docs/commands.md"),
        re.DOTALL | re.MULTILINE,
    )
    return found[0] if found else ""


@pytest.mark.parametrize(("name", "command"), list(commands(main)), ids=lambda one: str(one))
def test_every_command_and_option_is_explained(name: str, command: click.Command) -> None:
    said = section_of(name)
    assert f"`{name}" in said.replace("`consumables ", "`")
    options = [
        opt for p in command.params if isinstance(p, click.Option) for opt in p.opts[:1] if p.name
    ]
    anywhere = {"--shop", "--who"}
    assert [option for option in options if option not in anywhere and option not in said] == []


def test_no_command_is_explained_that_does_not_exist() -> None:
    known = {name for name, _ in commands(main)}
    told = re.findall(r"^### `consumables ([a-z-]+)", page("docs/commands.md"), re.MULTILINE)
    steps = re.findall(r"^- `((?:wash|order|book) [a-z-]+)", page("docs/commands.md"), re.MULTILINE)
    assert set(told) | set(steps) <= known


@pytest.mark.parametrize("option", ["--shop", "--who", "--version", "--help", "--json"])
def test_what_holds_for_all_commands_is_explained_once(option: str) -> None:
    assert option in page("docs/commands.md").split("## To begin")[0]


@pytest.mark.parametrize(
    "problem", [DeskProblem, Refused, BadFile, BadRuleBook, NotFound, ShopUnavailable]
)
def test_every_exit_code_is_explained(problem: type[DeskProblem]) -> None:
    assert f"\n| {problem.exit_code} |" in page("docs/commands.md")


@pytest.mark.parametrize("kind", [RuleBook, Parameters, Rule, When, Citation])
def test_every_field_of_a_rule_book_is_explained(kind: type) -> None:
    said = page("docs/rule_books.md")
    assert [field.name for field in fields(kind) if f"`{field.name}`" not in said] == []


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
def test_every_column_of_a_file_is_explained(form: sheet_forms.SheetForm) -> None:
    said = page("docs/files.md")
    assert form.name in said
    assert [column for column in form.columns if f"`{column}`" not in said] == []


def test_every_setting_of_a_shop_is_explained() -> None:
    said = page("docs/files.md")
    assert [setting for setting in sheet_forms.SETTINGS if f"`{setting}`" not in said] == []


@pytest.mark.parametrize("enum", ENUMS, ids=lambda enum: enum.__name__)
def test_every_word_the_desk_uses_is_in_the_glossary(enum: type[StrEnum]) -> None:
    assert [word.value for word in enum if not explained(word.value)] == []


@pytest.mark.parametrize("event", get_args(Event), ids=lambda event: event.__name__)
def test_every_thing_that_can_happen_is_in_the_glossary(event: type) -> None:
    assert explained(event.__name__)


@pytest.mark.parametrize("thing", [*THINGS, *STATES])
def test_every_thing_and_state_is_in_the_glossary(thing: str) -> None:
    assert explained(thing)


def explained(word: str) -> bool:
    """Has the glossary a line that begins with this word and says something?"""
    return bool(re.search(rf"^\| {re.escape(word)} \| \S.{{8,}} \|$", page("docs/words.md"), re.M))


def test_every_link_between_the_pages_leads_somewhere() -> None:
    pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
    broken = [
        f"{path.name}: {target}"
        for path in pages
        for target in re.findall(r"\]\(([^)#:]+)\)", path.read_text(encoding="utf-8"))
        if not (path.parent / target).exists()
    ]
    assert broken == []


def test_the_build_runs_the_lines_that_the_readme_shows() -> None:
    line = next(one for one in page("README.md").splitlines() if "-e '.[test]'" in one)
    assert line.endswith(" && .venv/bin/python -m pytest")
    assert line in page("DEVELOPERS.md")
    assert "README.md" in page(".ci/run")
