"""The visits whose card leaves out a fresh single-use thing, and what the counts say of it."""

from datetime import date
from typing import TYPE_CHECKING, Any

import click

from consumables.cli.arguments import day
from consumables.cli.every_command import DeskCommand, at_desk, json_option
from consumables.cli.printing import note, print_json, print_table, write_out

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.recording import Period
    from consumables.reports.gap_chances import GapRow, ReuseGap

_CARDS = ("at", "visit_id", "technician", "service", "item")
_ROWS = (
    *("cards", "short", "asked", "drawn", "flagged", "stood_in", "missing"),
    *("low", "high", "by_slips", "by_blind_chance", "state"),
)


def _day(_context: click.Context, _parameter: click.Parameter, text: str | None) -> date | None:
    return day(text) if text else None


@click.command(
    cls=DeskCommand,
    example="consumables gap --days 182 --by item\nconsumables gap --by card --csv short-cards.csv",
)
@click.option("--days", type=click.IntRange(1), default=28, show_default=True, help="How many.")
@click.option("--until", metavar="DAY", callback=_day, help="Their last day; today if not said.")
@click.option(
    "--by",
    "way",
    type=click.Choice(["service", "item", "technician", "card"]),
    default="service",
    show_default=True,
    help="One row for each; card lists the short cards themselves.",
)
@click.option(
    "--slips",
    "slips_one_in",
    type=click.IntRange(2),
    metavar="N",
    help="Of N cards one is short by oversight; 100 if not said.",
)
@click.option("--csv", "csv_path", metavar="FILE|-", help="Write the list as CSV; - is stdout.")
@json_option
def gap(
    days: int,
    until: date | None,
    way: str,
    slips_one_in: int | None,
    csv_path: str | None,
    as_json: bool,
) -> None:
    """Visits not accounted for: slips of the pen, or a habit to look into."""
    from consumables.desk.recording import last_days
    from consumables.desk.reuse_gap import ending, reuse_gap

    with at_desk() as desk:
        period = ending(until, days) if until else last_days(desk, days)
        found = reuse_gap(desk, period, slips_one_in)
        if as_json:
            _json(desk, found, period)
        elif csv_path:
            write_out(_csv(desk, found, way), csv_path)
        else:
            _show(desk, found, way)
            note(f"{period.first} to {period.last}.")


def _show(desk: "Desk", found: "ReuseGap", way: str) -> None:
    from consumables.reports.gap_words import paragraph

    first, *further, rule = paragraph(found, desk.name_of, desk.service_name)
    click.echo(first)
    if way == "card":
        _show_cards(desk, found)
    elif rows := found.by(way):
        _show_rows(desk, rows, way)
    for sentence in further:
        click.echo(sentence)
    note(rule)
    if way != "card":
        note("Chances are made larger for all rows of a list being looked at together (Holm).")


def _show_rows(desk: "Desk", rows: "tuple[GapRow, ...]", way: str) -> None:
    from consumables.reports.gap_words import one_in, percent

    headings = ("state", "cards", "short", "asked", "drawn", "flagged", "at 95 %", "slips", way)
    print_table(
        headings,
        [
            (
                row.state,
                row.cards,
                row.short,
                row.asked,
                row.drawn,
                row.flagged,
                f"{percent(row.low)} - {percent(row.high)}",
                one_in(row.by_slips) if row.short else "-",
                _name(desk, row),
            )
            for row in rows
        ],
        right=headings[1:6],
    )


def _show_cards(desk: "Desk", found: "ReuseGap") -> None:
    if rows := _card_rows(desk, found):
        print_table([name.replace("_id", "") for name in _CARDS], rows)


def _card_rows(desk: "Desk", found: "ReuseGap") -> list[tuple[object, ...]]:
    return [
        (a.at, a.visit_id, a.technician, desk.service_name(a.service_id), desk.name_of(a.item_id))
        for a in found.missing
    ]


def _name(desk: "Desk", row: "GapRow") -> str:
    known = {"service": desk.service_name, "item": desk.name_of}
    return known[row.by](row.name) if row.by in known else row.name


def _csv(desk: "Desk", found: "ReuseGap", way: str) -> str:
    from consumables.paperwork.order_paper import csv_text

    if way == "card":
        return csv_text(_CARDS, _card_rows(desk, found))
    rows = [
        (row.name, _name(desk, row), *(getattr(row, name) for name in _ROWS))
        for row in found.by(way)
    ]
    return csv_text((way, "name", *_ROWS), rows)


def _json(desk: "Desk", found: "ReuseGap", period: "Period") -> None:
    from consumables.reports.gap_words import count_sentence, row_sentence, whole_sentence

    def told(row: Any, sentence: str) -> dict[str, object]:
        from dataclasses import asdict

        return {**asdict(row), "sentence": sentence}

    print_json(
        first=period.first,
        last=period.last,
        slips_one_in=found.slips_one_in,
        served=found.served,
        whole=told(found.whole, whole_sentence(found)),
        rows=[told(row, row_sentence(row, found, _name(desk, row))) for row in found.rows],
        missing=found.missing,
        counts=[
            told(row, count_sentence(row, found, desk.name_of(row.item_id))) for row in found.counts
        ],
        not_counted=found.not_counted,
    )


COMMANDS = (gap,)
