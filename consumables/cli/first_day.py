"""A shop's first days: it is made whole or not at all, and its files may come through a pipe."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import SHOP
from consumables.errors import Refused

if TYPE_CHECKING:
    from consumables.desk.opening import Desk


@contextmanager
def made_whole() -> Iterator[str]:
    """The place of a new shop; refused where one is, and cleared again when making it fails."""
    from consumables.desk.opening import default_shop

    shop = str(click.get_current_context().meta.get(SHOP) or default_shop())
    path = Path(shop.removeprefix("sqlite:///")).expanduser()
    if path.exists():
        raise Refused(
            f"There is a shop at {shop} already. Bring more into it with `consumables bring-in`, "
            "or name another place with --shop."
        )
    try:
        yield shop
    except BaseException:
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        raise


@contextmanager
def readable(path: str) -> Iterator[Path]:
    """The appointment book named, or for `-` the one that stands on stdin."""
    import sys
    from tempfile import TemporaryDirectory

    if path != "-":
        yield Path(path)
        return
    raw = sys.stdin.buffer.read()
    ending = "ics" if b"BEGIN:VCALENDAR" in raw[:1000].upper() else "csv"
    with TemporaryDirectory(prefix="consumables-") as folder:
        spooled = Path(folder) / f"stdin.{ending}"
        spooled.write_bytes(raw)
        yield spooled


def check_history(desk: "Desk", folder: Path) -> str:
    """Read a history folder and say what it holds; nothing is written."""
    from consumables.paperwork.history_folder import read_history

    history = read_history(folder, desk.catalogue)
    return (
        f"{folder}: {len(history.visits)} past visits, {len(history.use)} uses, "
        f"{len(history.deliveries)} deliveries read; nothing was written."
    )
