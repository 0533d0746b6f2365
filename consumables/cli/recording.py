"""The record an inspector may ask for: on the screen, as a sheet, or on paper."""

from datetime import date
from typing import TYPE_CHECKING

import click

from consumables.cli.arguments import day
from consumables.cli.every_command import DeskCommand, at_desk, json_option
from consumables.cli.printing import note, print_json, print_table, write_out, write_out_bytes

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.recording import Period, Record
    from consumables.reports.record import Section
    from consumables.reports.record_lines import RecordLine

WASH_UP = ("solutions", "treatments")
# The sequence of the record; a test holds it to the desk's own.
SECTIONS = (
    *("contamination", "outside", "rules", "counts", "gap", "ledger"),
    *("solutions", "retired", "treatments", "discards"),
)


def _day(_context: click.Context, _parameter: click.Parameter, text: str | None) -> date | None:
    return day(text) if text else None


@click.command(
    cls=DeskCommand,
    example="consumables record --days 28\n"
    "consumables record --from 2026-06-01 --to 2026-11-25 --pdf record.pdf --paper letter\n"
    "consumables record --wash --csv wash-up.csv\n"
    "consumables record --section contamination --section outside",
)
@click.option("--from", "first", metavar="DAY", callback=_day, help="The first day.")
@click.option("--to", "last", metavar="DAY", callback=_day, help="The last day; today unless said.")
@click.option(
    "--days", type=click.IntRange(1, 36_500), default=7, show_default=True, help="Without --from."
)
@click.option(
    "--section", "names", multiple=True, type=click.Choice(SECTIONS), help="Only this; repeatable."
)
@click.option("--wash", is_flag=True, help="Only the wash-up: treatments and solutions.")
@click.option("--csv", "csv_path", metavar="FILE|-", help="Every line as CSV; - is stdout.")
@click.option("--pdf", "pdf_path", metavar="FILE|-", help="On paper, as an inspector reads it.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Its size.",
)
@click.option("--font", default="", metavar="FILE", help="A TrueType file with your letters.")
@json_option
def record(
    first: date | None,
    last: date | None,
    days: int,
    names: tuple[str, ...],
    wash: bool,
    csv_path: str | None,
    pdf_path: str | None,
    paper: str,
    font: str,
    as_json: bool,
) -> None:
    """What was binned, washed, mixed and counted, and what went wrong, day by day."""
    from consumables.desk import recording
    from consumables.desk.retention import reminder

    with at_desk() as desk:
        period = _period(desk, first, last, days)
        found = recording.record(desk, period, (*names, *(WASH_UP if wash else ())))
        past = reminder(desk)
        if as_json:
            _json(desk, found, period)
    if pdf_path:
        _write_pdf(found, pdf_path, paper, font)
    if csv_path:
        from consumables.desk.record_papers import record_sheet

        write_out(record_sheet(found), csv_path)
    if not (as_json or pdf_path or csv_path):
        _show(found)
    if past:
        note(past)


def _period(desk: "Desk", first: date | None, last: date | None, days: int) -> "Period":
    from datetime import timedelta

    from consumables.desk.recording import Period

    end = last or desk.today()
    return Period(first or end - timedelta(days=days - 1), end)


def _json(desk: "Desk", found: "Record", period: "Period") -> None:
    from consumables.desk.recording import discards, treatments

    print_json(
        first=period.first,
        last=period.last,
        discards=discards(desk, period),
        treatments=treatments(desk, period),
        head=found.head,
        sections=found.sections,
    )


def _write_pdf(found: "Record", path: str, paper: str, font: str) -> None:
    from consumables.cli.starting import progress_bar
    from consumables.desk.record_papers import record_paper

    with progress_bar("Setting the paper"):
        pdf = record_paper(found, paper, font)
    write_out_bytes(pdf, path)


def _show(found: "Record") -> None:
    import sys

    silent = [section.name for section in found.sections if not (section.lines or section.said)]
    show = _show_to_person if sys.stdout.isatty() else _show_to_pipe
    show(found)
    if len(silent) == len(found.sections):
        note("Nothing is on record for these days.")
    elif silent:
        note(f"Nothing in these days: {', '.join(silent)}.")
    head = found.head
    note(f"{head.first} to {head.last}, ledger up to entry {head.sealed_entry}.")


def _show_to_person(found: "Record") -> None:
    """As on paper: what one job did for the same reason together, folded to the width there is."""
    from consumables.desk.record_papers import in_words

    for section in in_words(found).sections:
        if section.rows or section.said:
            click.secho(section.title, bold=True)
            for sentence in section.said:
                _folded(sentence)
            for when, who, what, things, why, visit in section.rows:
                click.echo(f"{when}  {who:<3} {what}" + (f"  {visit}" if visit != "-" else ""))
                _folded("; ".join(text for text in (things, why) if text != "-"))
            click.echo()


def _folded(sentence: str) -> None:
    from shutil import get_terminal_size

    width = max(40, min(100, get_terminal_size().columns))
    if sentence:
        click.echo(click.wrap_text(sentence.replace("\u00a0", " "), width, "    ", "    "))


def _show_to_pipe(found: "Record") -> None:
    """One line of the record is one row."""
    for section in found.sections:
        if section.lines or section.said:
            click.echo(f"{section.title}: {section.count or 'none'}")
            for sentence in section.said:
                click.echo(f"  {sentence}")
            if section.lines:
                _show_lines(section)
            click.echo()


# What is looked for first; the sheet and the JSON hold every column.
_DISCARDS = ("at", "who", "what", "quantity", "where", "visit_id", "because", "item")
_OTHERS = ("at", "who", "what", "quantity", "lot_or_piece", "visit_id", "item", "because")
_HEADINGS = {"quantity": "n", "lot_or_piece": "lot, piece or jar", "visit_id": "visit"}


def _show_lines(section: "Section") -> None:
    wanted = _DISCARDS if section.name == "discards" else _OTHERS
    shown = [name for name in wanted if any(getattr(line, name) for line in section.lines)]
    headings = [_HEADINGS.get(name, name) for name in shown]
    rows = [[_cell(line, name) for name in shown] for line in section.lines]
    print_table(headings, rows, right=("n",))


def _cell(line: "RecordLine", name: str) -> object:
    # The beginning of a visit's id names it in every command.
    return line.visit_id[:12] if name == "visit_id" else getattr(line, name)


COMMANDS = (record,)
