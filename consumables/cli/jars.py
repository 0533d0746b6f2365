"""Jars from the command line: mixed by measure or by the label's words, and emptied."""

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand, json_option, signing_desk
from consumables.cli.printing import note, tell

if TYPE_CHECKING:
    from consumables.desk.jars import Jar
    from consumables.desk.opening import Desk, Receipt


def show_jars(mixed: "list[Jar]") -> None:
    """The jars in use beside the list of pieces, a line each."""
    for jar in mixed:
        state = "CHANGE IT" if jar.stale else "fresh"
        kind = "Ultrasonic bath" if jar.purpose == "ultrasonic" else "Jar"
        label = f" ({jar.label})" if jar.label else ""
        holds = f", {len(jar.holds)} in it" if jar.holds else ""
        note(
            f"{kind} {jar.jar_id}: {jar.name} 1:{jar.parts_water:g}{label}, "
            f"{jar.contact_minutes} min, {state}, change by {jar.change_by:%a %d %b %H:%M}{holds}."
        )
    if not mixed:
        note(
            "No jar is in use: consumables wash mix ITEM --total ML --water PARTS (see the label)."
        )


def _number(_context: click.Context, _parameter: click.Parameter, said: str | None) -> object:
    if said is None:
        return None
    try:
        return Decimal(said)
    except InvalidOperation:
        raise click.BadParameter(f"'{said}' is no number; write it like 3.5.") from None


@click.command(
    cls=DeskCommand,
    example="consumables wash mix disinfectant-concentrate --total 1000 --water 64\n"
    'consumables wash mix disinfectant-concentrate --total "1 us_gal" '
    '--label "2 us_fl_oz per us_gal"',
)
@click.argument("item")
@click.option(
    "--total", required=True, metavar="VOLUME", help='In the jar: 1000 (ml), "1.5 l", "1 us_gal".'
)
@click.option("--water", metavar="PARTS", help="Parts of water to one of product (1:64 is 64).")
@click.option("--label", metavar="TEXT", help='The label\'s words: "2 us_fl_oz per us_gal".')
@click.option("--stock", callback=_number, metavar="PERCENT", help="The product's own per cent ...")
@click.option("--target", callback=_number, metavar="PERCENT", help="... and the per cent wanted.")
@click.option(
    "--lasts",
    type=click.IntRange(1),
    metavar="DAYS",
    help="Days the label lets it stand; the book may say fewer.",
)
@click.option("--ultrasonic", is_flag=True, help="It is the ultrasonic bath, changed daily.")
@json_option
def mix(
    item: str,
    total: str,
    water: str | None,
    label: str | None,
    stock: Decimal | None,
    target: Decimal | None,
    lasts: int | None,
    ultrasonic: bool,
    as_json: bool,
) -> None:
    """Mix and date a fresh jar; the concentrate it takes leaves the shelf."""
    percents = (stock, target) if stock is not None and target is not None else None
    with signing_desk() as desk:
        purpose = "ultrasonic" if ultrasonic else "disinfect"
        tell(_mixed(desk, item, total, water or label, percents, lasts, purpose), as_json)


def _mixed(
    desk: "Desk",
    item: str,
    total: str,
    strength: str | None,
    percents: tuple[Decimal, Decimal] | None,
    lasts: int | None,
    purpose: str,
) -> "Receipt":
    from consumables.desk.jars import mix_from_label, mix_from_percent
    from consumables.errors import Refused

    if bool(strength) == bool(percents):
        raise Refused("Say how strong, once: --water PARTS, --label TEXT, or --stock and --target.")
    if strength:
        return mix_from_label(desk, item, total, strength, lasts, purpose)
    assert percents is not None
    return mix_from_percent(desk, item, total, *percents, lasts, purpose)


@click.command(
    cls=DeskCommand, example='consumables wash empty jar-1125-0900-3f --because "cloudy"'
)
@click.argument("jar")
@click.option("--because", default="changed", metavar="TEXT", help="Changed, cloudy, spilt ...")
@json_option
def empty(jar: str, because: str, as_json: bool) -> None:
    """Empty a jar: its time is up, or it went cloudy."""
    from consumables.desk.jars import empty_jar

    with signing_desk() as desk:
        tell(empty_jar(desk, jar, because), as_json)
