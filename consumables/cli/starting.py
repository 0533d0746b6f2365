"""Starting: look round an invented shop, make your own, bring in what you already have."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import SHOP, DeskCommand, at_desk, signing_desk
from consumables.cli.printing import note

if TYPE_CHECKING:
    from consumables.desk.bringing_in import BroughtIn

Progress = Callable[[int, int], None]


def open_screens(shop: str | None, who: str) -> None:
    """The screens, where there is a terminal to show them on; else exit 2 with a hint."""
    if not has_terminal():
        hint = "The screens need a terminal. `consumables --help` lists what works without one."
        raise click.UsageError(hint)
    from consumables.screens.app import run_screens

    run_screens(shop, who)


def has_terminal() -> bool:
    """Is there a person at both ends?"""
    return sys.stdin.isatty() and sys.stdout.isatty()


@contextmanager
def progress_bar(what: str) -> Iterator[Progress]:
    """A bar on stderr while something takes longer than a moment."""
    from rich.console import Console
    from rich.progress import Progress as Bar

    console = Console(stderr=True)
    with Bar(console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


@click.command(
    cls=DeskCommand, example="consumables demo\nconsumables demo < /dev/null     (only prints)"
)
def demo() -> None:
    """An invented shop as it stands today; it is made anew each time and removed afterwards.

    In a terminal the screens open on it. Without one, tonight's close-outs and the week's order
    list are printed.
    """
    from tempfile import TemporaryDirectory

    from consumables.desk.demo import prepare

    with _closed_window_is_an_end(), TemporaryDirectory(prefix="consumables-demo-") as folder:
        with progress_bar("Inventing a shop") as progress:
            shop = prepare(Path(folder), progress)
        if has_terminal():
            open_screens(shop, "")
        else:
            from consumables.cli.evening import print_evening

            click.get_current_context().meta[SHOP] = shop
            print_evening()


@contextmanager
def _closed_window_is_an_end() -> Iterator[None]:
    """A closed window or a shut-down ends the demo like any other end, its folder removed."""
    import signal

    def leave(number: int, _frame: object) -> None:
        raise SystemExit(128 + number)

    told = [number for name in ("SIGHUP", "SIGTERM") if (number := getattr(signal, name, None))]
    before = {number: signal.signal(number, leave) for number in told}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@click.command(
    cls=DeskCommand,
    example="consumables begin my-shop/\n"
    "consumables begin my-shop/ --appointments book.ics --history past/",
)
@click.argument("folder")
@click.option("--appointments", metavar="FILE", help="An iCalendar or CSV appointment book.")
@click.option("--history", metavar="FOLDER", help="Visits, use and deliveries of the past.")
def begin(folder: str, appointments: str | None, history: str | None) -> None:
    """Make a shop from a catalogue FOLDER (or one .xlsx workbook)."""
    from consumables.cli.first_day import made_whole
    from consumables.desk.bringing_in import bring_in_appointments, bring_in_catalogue
    from consumables.desk.history import bring_in_history

    with made_whole() as shop:
        with at_desk(must_exist=False) as desk:
            _tell(bring_in_catalogue(desk, Path(folder)))
            if history:
                with progress_bar("Reading the past") as progress:
                    _tell(bring_in_history(desk, Path(history), progress))
            if appointments:
                _tell(bring_in_appointments(desk, Path(appointments)))
        note(f"The shop is at {shop}. Next: {_next_command()}")


def _next_command() -> str:
    """What to type next, with the same `--shop` where one was named."""
    named = click.get_current_context().meta.get(SHOP)
    return f"consumables --shop {named} today" if named else "consumables today"


@click.command(
    "bring-in",
    cls=DeskCommand,
    example="consumables bring-in appointments book.ics\n"
    "consumables bring-in catalogue my-shop/ --dry-run\n"
    "consumables bring-in history past/\n"
    "consumables bring-in appointments - < book.ics",
)
@click.argument("what", type=click.Choice(["catalogue", "appointments", "history"]))
@click.argument("path")
@click.option("--dry-run", is_flag=True, help="Read and check only; write nothing.")
def bring_in(what: str, path: str, dry_run: bool) -> None:
    """Bring in a catalogue folder, an appointment book or a folder of the past.

    A bad row refuses the whole file; reading the same file twice changes nothing.
    """
    from consumables.cli.first_day import check_history, readable
    from consumables.desk.bringing_in import bring_in_appointments, bring_in_catalogue
    from consumables.desk.history import bring_in_history

    with at_desk() if dry_run else signing_desk() as desk:
        if what == "catalogue":
            _tell(bring_in_catalogue(desk, Path(path), dry_run))
        elif what == "appointments":
            with readable(path) as book:
                _tell(bring_in_appointments(desk, book, dry_run))
        elif dry_run:
            click.echo(check_history(desk, Path(path)))
        else:
            with progress_bar("Reading the past") as progress:
                _tell(bring_in_history(desk, Path(path), progress))


def _tell(brought: "BroughtIn") -> None:
    click.echo(brought.sentence)
    for warning in brought.warnings:
        note(f"Look at: {warning}")
    if brought.unmapped:
        note(
            "No calendar word stands for these titles, so they were left out: "
            + "; ".join(brought.unmapped)
        )


COMMANDS = (demo, begin, bring_in)
