"""Putting a mistake right, and settling what was flagged, from the command line."""

from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand, at_desk, json_option, signing_desk
from consumables.cli.printing import note, print_json, print_table, tell

if TYPE_CHECKING:
    from consumables.desk.opening import Desk


@click.command(cls=DeskCommand, example="consumables undo\nconsumables undo --list")
@click.option("--job", metavar="KEY", help="Another job than the last, by its key; see --list.")
@click.option("--because", default="made by mistake", metavar="TEXT", help="Why, for the record.")
@click.option("--not-used", is_flag=True, help="That visit did not touch them: put them back.")
@click.option("--list", "listed", is_flag=True, help="The latest jobs with their keys.")
@json_option
def undo(job: str | None, because: str, not_used: bool, listed: bool, as_json: bool) -> None:
    """Undo the last job by a further entry; nothing is rubbed out.

    What a closed visit drew stays out and its tools go to the wash, unless it did not use them.
    """
    from consumables.desk import undoing

    with at_desk() if listed else signing_desk() as desk:
        if not listed:
            tell(undoing.undo(desk, _whole_key(desk, job), because, not_used), as_json)
            return
        jobs = undoing.recent_jobs(desk)
        if as_json:
            print_json(jobs=jobs)
            return
        rows = [
            (done.at.astimezone(desk.zone), done.who, _short(done.job_key), done.sentence)
            for done in jobs
        ]
        print_table(("when", "who", "key", "what"), rows)


def _short(job_key: str) -> str:
    """Enough of a made-up key to tell it; a key that somebody gave is shown whole."""
    return job_key[:10] if len(job_key) == 32 else job_key


def _whole_key(desk: "Desk", said: str | None) -> str | None:
    from consumables.desk.undoing import recent_jobs

    keys = [job.job_key for job in recent_jobs(desk, 500)] if said else []
    begun = [key for key in keys if said and key.startswith(said)]
    return begun[0] if len(begun) == 1 else said


@click.command(cls=DeskCommand, example="consumables flags")
@json_option
def flags(as_json: bool) -> None:
    """Uses outside the rules or the counted stock that nobody has settled yet."""
    from consumables.desk.undoing import flagged

    with at_desk() as desk:
        found = flagged(desk)
        if as_json:
            print_json(flags=found)
            return
        if not found:
            note("Nothing is flagged.")
            return
        rows = [
            (f.entry_id, f.at.astimezone(desk.zone), f.quantity, desk.name_of(f.item_id), f.because)
            for f in found
        ]
        print_table(("number", "when", "n", "item", "because"), rows, right=("number", "n"))
    note("To settle one: count the shelf, or `consumables settle NUMBER --because TEXT`.")


@click.command(
    cls=DeskCommand, example='consumables settle 118 119 --because "two gloves tore, counted"'
)
@click.argument("numbers", nargs=-1, required=True, type=int, metavar="NUMBER...")
@click.option("--because", required=True, metavar="TEXT", help="What was found.")
@click.option("--as-new", is_flag=True, help="A surplus is new and unused: put it on the shelf.")
@json_option
def settle(numbers: tuple[int, ...], because: str, as_new: bool, as_json: bool) -> None:
    """Say what was found behind flagged uses, or behind a surplus that a count held back."""
    from consumables.desk import undoing

    with signing_desk() as desk:
        tell(undoing.settle(desk, numbers, because, as_new), as_json)


COMMANDS = (undo, flags, settle)
