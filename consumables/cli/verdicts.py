"""What each item is and why, from the command line."""

from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand, at_desk, json_option, signing_desk
from consumables.cli.printing import print_json, print_table, tell
from consumables.cli.verdict_words import show_verdict

if TYPE_CHECKING:
    from consumables.desk.verdicts import ItemRow


@click.command(cls=DeskCommand, example="consumables items\nconsumables items padded-file")
@click.argument("item", required=False)
@json_option
def items(item: str | None, as_json: bool) -> None:
    """Every item with its verdict; of one ITEM why, what would change it, which books differ."""
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


COMMANDS = (items, tighten)
