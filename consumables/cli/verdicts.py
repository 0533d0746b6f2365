"""What each item is and why, and the book that says so, from the command line."""

from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand, DeskGroup, at_desk, json_option, signing_desk
from consumables.cli.printing import note, print_json, print_table, tell
from consumables.cli.verdict_words import show_verdict

if TYPE_CHECKING:
    from consumables.desk.verdicts import ItemRow
    from consumables.items.rulebook import RuleBook


@click.command(cls=DeskCommand, example="consumables items\nconsumables items padded-file")
@click.argument("item", required=False)
@json_option
def items(item: str | None, as_json: bool) -> None:
    """Every item with its verdict; of one ITEM the reasons, questions and books that differ."""
    from consumables.desk.verdicts import item_rows, verdict_of

    with at_desk() as desk:
        if item:
            verdict = verdict_of(desk, item)
            name = desk.name_of(item)
        else:
            rows = item_rows(desk)
    if item and as_json:
        print_json(name=name, verdict=verdict)
    elif item:
        show_verdict(name, verdict)
    elif as_json:
        print_json(items=rows)
    else:
        headings = ("category", "route", "look at", "item", "name")
        print_table(headings, [(r.category, r.route, _look_at(r), r.item_id, r.name) for r in rows])


def _look_at(row: "ItemRow") -> list[str]:
    said = ((row.asks, "asks"), (row.conflict, "sources differ"), (row.banned, "banned somewhere"))
    return [word for holds, word in said if holds]


@click.command(cls=DeskCommand, example='consumables tighten glass-file --because "chips easily"')
@click.argument("item")
@click.option("--because", required=True, metavar="TEXT", help="Why, for the record.")
@json_option
def tighten(item: str, because: str, as_json: bool) -> None:
    """Treat an item as single-use whatever the book says; the other way is not possible here."""
    from consumables.desk import verdicts

    with signing_desk() as desk:
        tell(verdicts.tighten(desk, item, because), as_json)


@click.group(
    cls=DeskGroup,
    invoke_without_command=True,
    example="consumables book\nconsumables book show strict-majority",
)
@json_option
@click.pass_context
def book(context: click.Context, as_json: bool) -> None:
    """The rule books that come with the tool; without a step it lists them."""
    if context.invoked_subcommand is None:
        _list_books(as_json)


@book.command("list", example="consumables book list")
@json_option
def list_books(as_json: bool) -> None:
    """Every rule book that comes with the tool."""
    _list_books(as_json)


def _list_books(as_json: bool) -> None:
    from consumables.items.rulebook_reader import shipped, shipped_names

    books = [shipped(name) for name in shipped_names()]
    if as_json:
        print_json(books=[_card(one) for one in books])
        return
    rows = [
        (b.name, b.place, b.checked_on, "in part" if b.partial else "whole", len(b.rules))
        for b in books
    ]
    print_table(("book", "place", "checked on", "seen", "rules"), rows, right=("rules",))
    note("Local law and the product label outrank every book here; confirm with your board.")


def _card(one: "RuleBook") -> dict[str, object]:
    names = ("name", "title", "place", "edition", "checked_on", "partial", "note")
    return {**{name: getattr(one, name) for name in names}, "rules": len(one.rules)}


@book.command(example="consumables book show strict-majority")
@click.argument("name")
@json_option
def show(name: str, as_json: bool) -> None:
    """One book: its parameters and every rule with its citation. NAME may be a path."""
    from consumables.items.rulebook_reader import find_book

    found = find_book(name)
    if as_json:
        print_json(book=found)
        return
    click.echo(f"{found.title} ({found.place}, {found.edition}; checked on {found.checked_on})")
    if found.note:
        click.echo(found.note)
    print_table(
        ("rule", "category", "route", "because", "cites"),
        [
            (r.rule_id, r.category, r.route, r.because, "; ".join(c.section for c in r.cites))
            for r in found.rules
        ],
    )


@book.command("use", example="consumables book use strict-majority --who MR")
@click.argument("name")
@json_option
def use_book(name: str, as_json: bool) -> None:
    """Put another book in force in this shop. NAME may be the path of the shop's own copy."""
    from consumables.desk import verdicts

    with signing_desk() as desk:
        tell(verdicts.use_book(desk, name), as_json)


COMMANDS = (items, tighten, book)
