"""The foot-basin log from the command line."""

import click

from consumables.cli.every_command import DeskGroup, at_desk, json_option, signing_desk
from consumables.cli.printing import note, print_json, print_table, tell


@click.group(
    cls=DeskGroup,
    invoke_without_command=True,
    example="consumables basin\nconsumables basin --days 365\n"
    "consumables basin log left --moment after-client --product disinfectant-concentrate --who MR",
)
@click.option(
    "--days", type=click.IntRange(1), default=60, help="Days up to today; 60 unless said."
)
@json_option
@click.pass_context
def basin(context: click.Context, days: int, as_json: bool) -> None:
    """The log of foot basins: each cleaning, and what is overdue where the book wants a log.

    Without a step it lists them.
    """
    if context.invoked_subcommand is None:
        from consumables.desk.basins import basin_log, overdue

        with at_desk() as desk:
            lines, late = basin_log(desk, days), overdue(desk)
        if as_json:
            print_json(basins=lines, overdue=late)
            return
        print_table(
            ("at", "basin", "moment", "min", "who", "product"),
            [(one.at, one.basin, one.moment, one.minutes, one.who, one.product) for one in lines],
            right=("min",),
        )
        for sentence in late:
            note(f"OVERDUE: {sentence}")


@basin.command(
    example="consumables basin log left --moment after-client --product disinfectant-concentrate"
)
@click.argument("name", metavar="BASIN")
@click.option(
    "--moment",
    required=True,
    type=click.Choice(("after-client", "end-of-day", "weekly")),
    help="Which cleaning it was.",
)
@click.option("--product", required=True, metavar="ITEM", help="The disinfectant.")
@click.option(
    "--minutes",
    type=click.IntRange(1),
    help="How long it stood or ran; what label and book ask unless said.",
)
@json_option
def log(name: str, moment: str, product: str, minutes: int | None, as_json: bool) -> None:
    """A basin was drained, scrubbed and disinfected; your initials sign it."""
    from consumables.desk.basins import log_basin

    with signing_desk() as desk:
        tell(log_basin(desk, name, moment, product, minutes), as_json)


COMMANDS = (basin,)
