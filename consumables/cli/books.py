"""The rule books: listed, shown, compared, checked, copied and put in force."""

from collections.abc import Iterator
from dataclasses import fields
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import SHOP, DeskGroup, json_option, signing_desk
from consumables.cli.printing import note, print_json, print_labelled, print_table, tell

if TYPE_CHECKING:
    from consumables.desk.books import Checked
    from consumables.items.compare_books import Comparison, Said
    from consumables.items.rulebook import Parameters, RuleBook

USUAL = "the tool's own, unless the text says so too"
OUTRANKED = "Local law and the product label outrank every book here; confirm with your board."


@click.group(
    cls=DeskGroup,
    invoke_without_command=True,
    example="consumables book\nconsumables book compare strict-majority us-texas",
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
    rows = [(b.name, b.place, b.checked_on, _seen(b.partial), len(b.rules)) for b in books]
    print_table(("book", "place", "checked on", "seen", "rules"), rows, right=("rules",))
    note(OUTRANKED)


def _seen(partial: bool) -> str:
    return "in part" if partial else "whole"


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
    click.echo(f"{found.said_as} ({found.place}, {found.edition}; checked on {found.checked_on})")
    if found.note:
        click.echo(found.note)
    for label, words in _parameters(found.parameters):
        click.echo(f"  {label:<32} {words}")
    print_table(
        ("rule", "category", "route", "because", "cites"),
        [
            (r.rule_id, r.category, r.route, r.because, "; ".join(c.section for c in r.cites))
            for r in found.rules
        ],
    )
    note(OUTRANKED)


def _parameters(asked: "Parameters") -> Iterator[tuple[str, str]]:
    """What a book asks of the work itself, as far as it says."""
    from consumables.cli.printing import cell

    for field in fields(asked):
        value = getattr(asked, field.name)
        label = field.name.replace("_", " ")
        if field.name == "cites":
            if value:
                yield "these stand in", "; ".join(cite.section for cite in value)
        elif field.name == "container_labels":
            yield from ((f"label on {container}", f'"{words}"') for container, words in value)
        elif value not in ("", None, ()) and (value is not False or field.default is None):
            usual = f" ({USUAL})" if value == field.default else ""
            yield label, cell(value) + usual


@book.command("use", example="consumables book use strict-majority --who MR")
@click.argument("name")
@json_option
def use_book(name: str, as_json: bool) -> None:
    """Put another book in force in this shop. NAME may be the path of the shop's own copy."""
    from consumables.desk import verdicts

    with signing_desk() as desk:
        tell(verdicts.use_book(desk, name), as_json)


@book.command(
    example="consumables book compare strict-majority us-texas\n"
    "consumables book compare us-texas my-board.toml --json"
)
@click.argument("name")
@click.argument("other")
@click.option("--usual", is_flag=True, help="Over usual items, even where there is a shop.")
@json_option
def compare(name: str, other: str, usual: bool, as_json: bool) -> None:
    """What moving from one book to another changes, item by item, over the shop's catalogue.

    Where there is no shop yet, over usual items of a nail desk. Nothing is put in force.
    """
    found, over = _compared(name, other, usual)
    if as_json:
        print_json(comparison=found, sentence=found.sentence, over=over)
        return
    click.echo(found.sentence)
    for moved in found.moved:
        click.echo(f"{moved.item_id}  {moved.name}" if over == "shop" else moved.name)
        for label, said in (("from", moved.before), ("to", moved.after)):
            print_labelled(label, _said(said))
    if found.own:
        note(f"Left out, for the shop has its own answer: {', '.join(found.own)}.")
    if over != "shop":
        note("Compared over usual items of a nail desk; with a shop, over its own catalogue.")
    if found.partial:
        note(f"Seen only in part: {', '.join(found.partial)}.")
    note(OUTRANKED)


def _compared(name: str, other: str, usual: bool) -> "tuple[Comparison, str]":
    from consumables.desk.books import comparison
    from consumables.desk.opening import open_desk
    from consumables.errors import ShopUnavailable

    named = click.get_current_context().meta.get(SHOP)
    if not usual:
        try:
            with open_desk(named) as desk:
                return comparison(desk, name, other), "shop" if desk.items else "usual items"
        except ShopUnavailable:
            if named:
                raise
    return comparison(None, name, other), "usual items"


def _said(said: "Said") -> str:
    where = f" [{said.section}]" if said.section else ""
    differ = " Sources differ." if said.conflict else ""
    return f"{said.answer}. {said.because}{differ}{where}"


@book.command(example="consumables book check my-board.toml")
@click.argument("file")
@json_option
def check(file: str, as_json: bool) -> None:
    """Read a book's FILE as strictly as if it were put in force; exit code 3 names file and rule.

    Unknown fields, missing citations, rules that can never be reached and rules that contradict
    one another are refused. What is sound but wants a second look is listed.
    """
    from consumables.desk.books import check_book

    _tell_checked(check_book(file), "is sound", as_json)


@book.command("copy", example="consumables book copy us-texas my-board.toml")
@click.argument("name")
@click.argument("file")
@json_option
def copy_book(name: str, file: str, as_json: bool) -> None:
    """Start the shop's own copy of a book in FILE, to change what your board says otherwise."""
    from consumables.desk.books import copy_book

    made = copy_book(name, file)
    _tell_checked(made, f"was written as a copy of {name}", as_json)
    note(f"Change it, `consumables book check {file}`, then `consumables book use {file}`.")


def _tell_checked(checked: "Checked", what: str, as_json: bool) -> None:
    if as_json:
        print_json(book=checked)
        return
    seen = "; its text was seen in part" if checked.partial else ""
    click.echo(f"{checked.name} {what}: {checked.title}, {checked.rules} rules{seen}.")
    for doubt in checked.doubts:
        print_labelled("look at", f"{doubt}.")


COMMANDS = (book,)
