"""Looser than the book on a signature, and back to the book, from the command line."""

import click

from consumables.cli.every_command import DeskCommand, json_option, signing_desk
from consumables.cli.printing import tell
from consumables.words import Route

_ROUTES = [str(route) for route in Route if route not in (Route.BIN, Route.SHARPS, Route.DISPENSE)]


@click.command(
    cls=DeskCommand,
    example="consumables loosen foot-paddle --route immerse --because 'varnished, board agrees' "
    "--citation 'letter of the board, 2026-02-03' --who MR",
)
@click.argument("item")
@click.option("--route", required=True, type=click.Choice(_ROUTES), help="How it is treated.")
@click.option("--because", required=True, metavar="TEXT", help="Why this shop may be looser.")
@click.option("--citation", required=True, metavar="TEXT", help="Where it is allowed.")
@json_option
def loosen(item: str, route: str, because: str, citation: str, as_json: bool) -> None:
    """Keep and treat an ITEM that the book bins, on a citation signed with your initials.

    Refused for do-not-re-use marks, blades, what is dispensed, banned or not described, and
    while a piece of it met blood. It stands on the record.
    """
    from consumables.desk import loosening

    with signing_desk() as desk:
        tell(loosening.loosen(desk, item, Route(route), because, citation), as_json)


@click.command(
    "to-book",
    cls=DeskCommand,
    example="consumables to-book foot-paddle --because 'the varnish peels'",
)
@click.argument("item")
@click.option("--because", required=True, metavar="TEXT", help="Why, for the record.")
@json_option
def to_book(item: str, because: str, as_json: bool) -> None:
    """The shop's own stricter or looser answer for an ITEM ends; its book speaks again."""
    from consumables.desk import loosening

    with signing_desk() as desk:
        tell(loosening.back_to_the_book(desk, item, because), as_json)


COMMANDS = (loosen, to_book)
