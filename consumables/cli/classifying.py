"""May it serve a second client? An answer for one description, or for a whole list."""

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand
from consumables.cli.printing import print_json
from consumables.cli.verdict_words import show_verdict

if TYPE_CHECKING:
    from consumables.items.item import Item
    from consumables.items.rulebook import RuleBook
    from consumables.items.verdict import Verdict

USUAL_BOOK = "strict-majority"


@click.command(
    cls=DeskCommand,
    example='consumables classify "padded nail file 100/180, foam core"\n'
    'consumables classify "steel nipper" "orangewood stick" --book us-texas\n'
    "consumables classify --csv price-list.csv --json",
)
@click.argument("texts", nargs=-1, metavar="[TEXT]...")
@click.option(
    "--csv", "csv_path", metavar="FILE|-", help="A list: a column `description`, or items."
)
@click.option("--book", metavar="NAME", default=USUAL_BOOK, show_default=True, help="Or a path.")
@click.option("--json", "as_json", is_flag=True, help="The same as one JSON object.")
def classify(texts: tuple[str, ...], csv_path: str | None, book: str, as_json: bool) -> None:
    """Say what may happen to an item after a client, from how it is described.

    Category, where it goes, every reason with its citation, what must be asked, what would change
    it, which books say otherwise, and which words told what. An unknown counts as single-use.
    """
    if bool(texts) is bool(csv_path):
        raise click.UsageError("Describe an item in words, or name a list with --csv.")
    described = [_from_text(text) for text in texts] if texts else _from_list(csv_path or "-")
    judged = _judged(described, book)
    if as_json:
        print_json(book=book, items=[_answer(one) for one in judged])
    else:
        for item, told, verdict in judged:
            show_verdict(item.name, verdict, told)


def _from_text(text: str) -> "tuple[Item, tuple[str, ...]]":
    from consumables.items.describe import describe_text

    described = describe_text(text)
    return described.item, tuple(f'"{one.words}": {one.says}' for one in described.told)


def _from_list(csv_path: str) -> "list[tuple[Item, tuple[str, ...]]]":
    from consumables.cli.described_list import read_described

    return read_described(csv_path)


def _judged(
    described: "list[tuple[Item, tuple[str, ...]]]", book: str
) -> "list[tuple[Item, tuple[str, ...], Verdict]]":
    from consumables.items.rulebook_reader import find_book, shipped, shipped_about, shipped_names

    # For one thing only the rules that may speak of it are read; a list reads the books whole.
    kinds = {_kind(item) for item, _ in described}
    read = partial(shipped_about, kind=kinds.pop()) if len(kinds) == 1 else shipped
    shelf = {name: read(name) for name in shipped_names()}
    in_force = shelf.get(book) or find_book(book)
    others = tuple(shelf.values())
    return [(item, told, _judge(item, in_force, others)) for item, told in described]


def _kind(item: "Item") -> str:
    from consumables.items.made_of import SeenItem

    return SeenItem(item).kind


def _judge(item: "Item", in_force: "RuleBook", others: "tuple[RuleBook, ...]") -> "Verdict":
    """The verdict, what would change it, and what the other books say."""
    from consumables.items.classify import classify as judge
    from consumables.items.what_if import what_would_change

    verdict = judge(item, in_force, others)
    return replace(verdict, changes=what_would_change(item, in_force, verdict))


def _answer(judged: "tuple[Item, tuple[str, ...], Verdict]") -> dict[str, object]:
    item, told, verdict = judged
    return {"description": item.name, "item": item, "told": told, "verdict": verdict}


COMMANDS = (classify,)
