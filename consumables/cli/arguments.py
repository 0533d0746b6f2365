"""How what is typed after a command is read: a day, a name with a number, an item with a piece."""

from datetime import date

import click


def day(text: str) -> date:
    """A calendar day as 2026-11-25."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise click.BadParameter(f"'{text}' is no day; write it like 2026-11-25.") from None


def named_number(text: str) -> tuple[str, int]:
    """A name with how many of it, as nitrile-glove=2; without a number it is 1."""
    name, _, number = text.partition("=")
    if name and (number or "1").isdecimal():
        return name, int(number or "1")
    raise click.BadParameter(f"'{text}' is not understood; write it like nitrile-glove=2.")


def named_piece(text: str) -> tuple[str, str]:
    """An item with the tag of one of its pieces, as cuticle-nipper=cuticle-nipper-03."""
    item_id, _, piece_id = text.partition("=")
    if item_id and piece_id:
        return item_id, piece_id
    raise click.BadParameter(f"'{text}' is not understood; write it like nipper=nipper-03.")
