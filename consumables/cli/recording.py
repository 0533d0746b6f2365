"""The record an inspector may ask for, the proof that it adds up, and a copy of it."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand, at_desk, json_option
from consumables.cli.printing import note, print_json, print_table, write_out

if TYPE_CHECKING:
    from consumables.reports.discards import DiscardLine, TreatmentLine


@click.command(
    cls=DeskCommand,
    example="consumables record --days 28\nconsumables record --wash --csv wash-up.csv",
)
@click.option("--days", type=click.IntRange(1), default=7, show_default=True, help="Up to today.")
@click.option("--wash", is_flag=True, help="The wash-up record instead of the discards.")
@click.option("--csv", "csv_path", metavar="FILE|-", help="Write it as CSV; - is stdout.")
@json_option
def record(days: int, wash: bool, csv_path: str | None, as_json: bool) -> None:
    """What was discarded, or washed up, and what was used outside the rules."""
    from consumables.desk.recording import discards, last_days, treatments

    with at_desk() as desk:
        period = last_days(desk, days)
        thrown, washed = discards(desk, period), treatments(desk, period)
    if as_json:
        print_json(first=period.first, last=period.last, discards=thrown, treatments=washed)
    elif csv_path:
        write_out(_csv(washed if wash else thrown), csv_path)
    else:
        _show(washed if wash else thrown)
        note(f"{period.first} to {period.last}.")


def _show(lines: "list[DiscardLine] | list[TreatmentLine]") -> None:
    if not lines:
        note("Nothing is on record for these days.")
        return
    print_table(
        [
            _HEADINGS.get(name, name.replace("_", " "))
            for name in _FOR_PERSONS[type(lines[0]).__name__]
        ],
        [[getattr(line, name) for name in _FOR_PERSONS[type(line).__name__]] for line in lines],
        right=("n",),
    )


# What a person looks for first; the sheet and the JSON hold every column.
_FOR_PERSONS = {
    "DiscardLine": ("at", "who", "what", "quantity", "where", "because", "item"),
    "TreatmentLine": ("at", "who", "what", "piece_or_jar", "detail", "item"),
}
_HEADINGS = {"quantity": "n"}


def _csv(lines: "list[DiscardLine] | list[TreatmentLine]") -> str:
    from consumables.paperwork.order_paper import csv_text

    columns = _columns(lines)
    return csv_text(columns, [[getattr(line, name) for name in columns] for line in lines])


def _columns(lines: "list[DiscardLine] | list[TreatmentLine]") -> list[str]:
    from dataclasses import fields

    return [column.name for column in fields(lines[0])] if lines else []


@click.command(cls=DeskCommand, example="consumables check")
@json_option
@click.pass_context
def check(context: click.Context, as_json: bool) -> None:
    """Prove that what is shown is what the ledger adds up to; exit 1 where it is not."""
    from consumables.desk import checking

    with at_desk() as desk:
        found = checking.check(desk)
    if as_json:
        print_json(sound=not found, differences=found)
    else:
        click.echo("\n".join(found) or "Sound: every balance is what the ledger adds up to.")
    if found:
        context.exit(1)


@click.command(cls=DeskCommand, example="consumables backup copies/shop-2026-11-25.db")
@click.argument("path")
def backup(path: str) -> None:
    """A whole copy of the shop, taken while it runs; put it on another disk."""
    with at_desk() as desk:
        desk.store.backup(Path(path))
    click.echo(path)
    note("Copied. To go back to it: consumables --shop that copy.")


COMMANDS = (record, check, backup)
