"""A scanned pack on the command line: what its label tells is not asked for again."""

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from consumables.desk.scanning import Arrival

F = TypeVar("F", bound=Callable[..., Any])


def scan_option(command: F) -> F:
    """`--scan`: the label as a scanner types it, or as printed with brackets."""
    return click.option("--scan", metavar="TEXT|-", help="The pack's bar code; - reads stdin.")(
        command
    )


def scanned_text(scan: str) -> str:
    """The text of a scan, where `-` is one line of stdin; the separator GS is kept."""
    import sys

    return sys.stdin.readline() if scan == "-" else scan


def beside_scan(first: str | None, second: str | None, units: int | None) -> tuple[str, int | None]:
    """What may stand beside a scan: a name, a number of units, or both in this sequence."""
    words = [word for word in (first, second, units) if word is not None]
    counted = int(words.pop()) if words and str(words[-1]).isdecimal() else None
    if len(words) > 1:
        raise click.UsageError("Beside --scan only one name and UNITS may stand.")
    return str(words[0]) if words else "", counted


def told_by(
    found: "Arrival", units: int | None, use_by: date | None, lot: str
) -> tuple[int, date | None, str]:
    """Units, use-by and lot: as typed, else as the label says."""
    many = units if units is not None else found.units
    if many is None:
        raise click.UsageError(
            f"{found.name}: the label does not say how many came; add UNITS (single units or ml, "
            f"not packs; a pack holds {found.pack_size})."
        )
    return many, use_by or found.use_by, lot or found.lot


def refuse_other(found: "Arrival", item: str) -> None:
    """What was typed and what was scanned must be the same item."""
    from consumables.errors import Refused

    if item not in ("", found.item_id):
        raise Refused(
            f"The label is that of {found.item_id}, not of {item}; leave one of them off."
        )
