"""Putting a copy of the shop back, from the command line."""

from pathlib import Path

import click

from consumables.cli.every_command import SHOP, DeskCommand, json_option, signing_desk
from consumables.cli.printing import tell


@click.command(
    cls=DeskCommand,
    example="consumables restore copies/shop-2026-11-25.db --because 'the disk failed'\n"
    "consumables restore --because 'an older copy lies in its place already'",
)
@click.argument("copy", required=False, type=click.Path(path_type=Path))
@click.option("--because", required=True, metavar="TEXT", help="Why, for the record.")
@json_option
@click.pass_context
def restore(context: click.Context, copy: Path | None, because: str, as_json: bool) -> None:
    """Go back to a COPY of the shop, or take over an older file that lies in its place.

    What was used since the copy is not in it. So every lot that serves one client only must be
    counted before it is drawn from, and every kept piece is washed again.
    """
    from consumables.desk.opening import default_shop
    from consumables.desk.restoring import put_copy_in_place, take_over_copy

    if copy is not None:
        put_copy_in_place(copy, Path(context.meta.get(SHOP) or default_shop()).expanduser())
    with signing_desk() as desk:
        tell(take_over_copy(desk, because), as_json)


COMMANDS = (restore,)
