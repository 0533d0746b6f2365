"""How answers are printed: lists for people, one JSON object for machines."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

import click

from consumables.words import amount as amount

if TYPE_CHECKING:
    from consumables.desk.opening import Receipt

SCHEMA = 1


def print_json(**answer: object) -> None:
    """One object on stdout: money as strings, moments as ISO 8601 with offset, ids as strings."""
    import json

    click.echo(json.dumps({"schema": SCHEMA, **{k: plain(v) for k, v in answer.items()}}, indent=2))


def plain(value: object) -> Any:
    """A value as JSON knows it."""
    from dataclasses import fields, is_dataclass
    from decimal import Decimal

    match value:
        case None | bool() | int() | float():
            return value
        case str():
            return str(value)
        case Decimal():
            return f"{value:f}"
        case datetime() | date():
            return value.isoformat()
        case Mapping():
            return {str(key): plain(found) for key, found in value.items()}
    if is_dataclass(value):
        return {f.name: _field(f.name, getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Iterable):
        return [plain(found) for found in value]
    return str(value)


def _field(name: str, value: object) -> Any:
    # A ledger entry's number is an identity, not an amount.
    return str(value) if name.endswith("_id") and isinstance(value, int) else plain(value)


def print_table(
    headings: Sequence[str], rows: Iterable[Sequence[object]], right: Sequence[str] = ()
) -> None:
    """Columns on stdout, one row a line; in a pipe no frame, no colour and nothing cut off.

    On a narrow terminal the last column is cut: what must be typed again stands before it.
    """
    import sys

    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    to_person = sys.stdout.isatty()
    console = Console(width=None if to_person else 10_000, markup=False, emoji=False)
    table = Table(box=SIMPLE_HEAD if to_person else None, pad_edge=False, header_style="bold")
    for heading in headings:
        whole = heading != headings[-1]
        table.add_column(heading, justify="right" if heading in right else "left", no_wrap=whole)
    for row in rows:
        *first, last = map(cell, row)
        table.add_row(*first, Text(last, no_wrap=True, overflow="ellipsis"))
    with console.capture() as printed:
        console.print(table)
    click.echo("\n".join(line.rstrip() for line in printed.get().splitlines()))


def cell(value: object) -> str:
    """One value as it stands in a list."""
    match value:
        case None | "" | ():
            return "-"
        case bool():
            return "yes" if value else "no"
        case datetime():
            return f"{value:%Y-%m-%d %H:%M}"
        case float():
            return f"{value:.2f}"
        case tuple() | list():
            return ", ".join(map(str, value))
    return str(value)


def print_labelled(label: str, sentence: str, indent: int = 2) -> None:
    """A sentence behind the word that says what it is; folded for a person, whole in a pipe."""
    import sys

    start = f"{'':{indent}}{label:<9} "
    if sys.stdout.isatty():
        click.echo(click.wrap_text(sentence, _width(), start, " " * len(start)))
    else:
        click.echo(start + sentence)


def _width() -> int:
    from shutil import get_terminal_size

    return max(40, min(100, get_terminal_size().columns))


def note(sentence: str) -> None:
    """Words beside the answer go to stderr, so that stdout stays clean for a pipe."""
    click.echo(sentence, err=True)


def tell(receipt: "Receipt", as_json: bool = False) -> None:
    """What a job did: its sentence, what goes where, and the cautions."""
    if as_json:
        print_json(receipt=receipt)
        return
    click.echo(receipt.sentence)
    for where in ("bin", "sharps", "wash", "strip", "flagged"):
        for line in getattr(receipt, where):
            click.echo(f"  {where}: {line}")
    for caution in receipt.cautions:
        note(f"Caution: {caution}")
    if receipt.again:
        note("This was done before; nothing was written twice.")


def write_out(text: str, where: str) -> None:
    """Text to a file, or to stdout where `where` is `-`."""
    if where == "-":
        click.echo(text, nl=False)
    else:
        _write(text.encode("utf-8-sig"), where)


def write_out_bytes(paper: bytes, where: str) -> None:
    """A finished paper to a file, or to stdout where `where` is `-`."""
    import sys

    if where == "-":
        sys.stdout.buffer.write(paper)
    else:
        _write(paper, where)


def _write(content: bytes, where: str) -> None:
    from pathlib import Path

    from consumables.errors import Refused

    try:
        Path(where).write_bytes(content)
    except OSError as problem:
        why = problem.strerror or "the place cannot be written to"
        raise Refused(f"{where} was not written ({why}); choose another place.") from None
    note(f"Written to {where}.")
