"""The steriliser from the command line: loads in, loads out, and its spore tests."""

from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskGroup, at_desk, json_option, signing_desk
from consumables.cli.printing import note, print_json, print_table, tell

if TYPE_CHECKING:
    from consumables.desk.spore_tests import SporeTest
    from consumables.desk.sterilising import Load

METHODS = ("steam-gravity", "steam-prevacuum", "dry-heat")


@click.group(
    cls=DeskGroup,
    invoke_without_command=True,
    example="consumables steriliser\n"
    "consumables steriliser load all --method steam-gravity --temperature 121 --minutes 30",
)
@json_option
@click.pass_context
def steriliser(context: click.Context, as_json: bool) -> None:
    """The steriliser's log: its loads, their indicators, its spore tests and what is overdue.

    Without a step it lists them.
    """
    if context.invoked_subcommand is None:
        from consumables.desk.spore_tests import overdue, spore_tests
        from consumables.desk.sterilising import loads

        with at_desk() as desk:
            found, tests, late = loads(desk), spore_tests(desk), overdue(desk)
        if as_json:
            print_json(loads=found, spore_tests=tests, overdue=late)
        else:
            _show(found, tests, late)


def _show(found: "list[Load]", tests: "list[SporeTest]", late: str) -> None:
    print_table(
        ("load", "started", "indicator", "method", "degrees", "min", "pieces"),
        [
            (
                one.load_id,
                one.started_at,
                one.indicator,
                one.method,
                f"{one.temperature} {one.scale}",
                one.minutes,
                one.pieces,
            )
            for one in found
        ],
        right=("degrees", "min"),
    )
    for test in tests[:5]:
        note(f"{test.test_id}: {test.result}.")
    if late:
        note(f"OVERDUE: {late}")


@steriliser.command(
    example="consumables steriliser load all --method steam-gravity --temperature 121 "
    "--minutes 30\n"
    "consumables steriliser load cuticle-nipper-03 --method dry-heat --temperature 340F "
    "--minutes 60"
)
@click.argument("pieces", nargs=-1, required=True, metavar="PIECE...|all")
@click.option("--method", required=True, type=click.Choice(METHODS), help="How it sterilises.")
@click.option(
    "--temperature", required=True, metavar="DEGREES", help="On the dial: 121 or 121C, 250F."
)
@click.option(
    "--minutes", required=True, type=click.IntRange(1), help="Minutes at that temperature."
)
@json_option
def load(
    pieces: tuple[str, ...], method: str, temperature: str, minutes: int, as_json: bool
) -> None:
    """Cleaned pieces in their pouches go in as one numbered load; too short or cool is refused."""
    from consumables.cli.washing import meant
    from consumables.desk.sterilising import start_load

    degrees, scale = _dial(temperature)
    with signing_desk() as desk:
        names = meant(desk, pieces, "load")
        tell(start_load(desk, names, method, degrees, minutes, scale), as_json)


@steriliser.command(example="consumables steriliser unload load-0012 --indicator changed")
@click.argument("load_id", metavar="LOAD")
@click.option(
    "--indicator",
    required=True,
    type=click.Choice(("changed", "not-changed")),
    help="What the chemical indicator shows.",
)
@json_option
def unload(load_id: str, indicator: str, as_json: bool) -> None:
    """A load comes out: ready in its pouches, or back to the wash."""
    from consumables.desk import sterilising

    with signing_desk() as desk:
        tell(sterilising.unload(desk, load_id, indicator), as_json)


@steriliser.command("spore-test", example="consumables steriliser spore-test")
@json_option
def spore_test(as_json: bool) -> None:
    """A spore test ran in the steriliser; its result is waited for."""
    from consumables.desk.spore_tests import take_spore_test

    with signing_desk() as desk:
        tell(take_spore_test(desk), as_json)


@steriliser.command(
    "spore-result", example="consumables steriliser spore-result spore-20261125-0900 passed"
)
@click.argument("test")
@click.argument("result", type=click.Choice(("passed", "failed")))
@json_option
def spore_result(test: str, result: str, as_json: bool) -> None:
    """What a spore test showed; a failed one calls back every load since the last passed one."""
    from consumables.desk.spore_tests import read_spore_test

    with signing_desk() as desk:
        tell(read_spore_test(desk, test, result), as_json)


def _dial(said: str) -> tuple[int, str]:
    digits = said.strip().upper().rstrip("°CF ")
    scale = "F" if said.strip().upper().endswith("F") else "C"
    if not digits.isdecimal():
        raise click.BadParameter(
            f"'{said}' is no temperature; write it like 121, 121C or 250F.",
            param_hint="--temperature",
        )
    return int(digits), scale


COMMANDS = (steriliser,)
