"""The command line: parse, open the desk, call one desk job, print."""

from typing import Any

import click

from consumables.cli.every_command import SHOP, WHO, OutermostGroup

# Where each command stands, in the sequence of a working day; a module is only read when one of
# its commands is asked for, which keeps the quick ones quick.
WORKING_DAY = {
    "To begin": {"demo": "starting", "begin": "starting", "bring-in": "starting"},
    "What an item is": {
        "classify": "classifying",
        "items": "verdicts",
        "tighten": "verdicts",
        "loosen": "loosening",
        "to-book": "loosening",
        "book": "books",
    },
    "Clients": {
        "today": "visits",
        "close": "visits",
        "no-show": "visits",
        "walk-in": "visits",
    },
    "The wash-up": {
        "wash": "washing",
        "steriliser": "sterilising",
        "basin": "basins",
        "tag": "tagging",
        "tags": "tagging",
    },
    "The shelf": {
        "shelf": "shelving",
        "count": "shelving",
        "discard": "shelving",
        "use": "shelving",
    },
    "The week's order": {"order": "ordering"},
    "The record": {
        "record": "recording",
        "gap": "reuse",
        "flags": "putting_right",
        "settle": "putting_right",
        "undo": "putting_right",
        "check": "keeping",
        "retention": "keeping",
        "backup": "keeping",
        "restore": "restoring",
    },
}
EXAMPLE = """consumables demo                      look round an invented shop
consumables begin my-shop/            make your own from a folder of sheets
consumables today                     what the day holds
consumables close 10:30 --who MR      a visit is over: use, bin, wash in one go
consumables classify "foam buffer"    may it serve a second client?"""


def _show_version(context: click.Context, _parameter: click.Parameter, asked: bool) -> None:
    if asked:
        from consumables import __version__

        click.echo(f"consumables {__version__}")
        context.exit()


@click.group(cls=OutermostGroup, places=WORKING_DAY, invoke_without_command=True, example=EXAMPLE)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and stop.",
)
@click.pass_context
def main(context: click.Context, /, **_said: Any) -> None:
    """What a nail desk uses up, washes, bins and must buy, with the rule behind each answer.

    Without a command the screens open. Local law and the product label outrank this tool.
    """
    if context.invoked_subcommand is None:
        from consumables.cli.starting import open_screens

        open_screens(context.meta.get(SHOP), context.meta.get(WHO, ""))
