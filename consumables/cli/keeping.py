"""The proof that the record adds up and is unchanged, how long codes are kept, and a copy of it."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand, at_desk, json_option, signing_desk
from consumables.cli.printing import note, print_json, tell, write_out

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.retention import Retention


@click.command(
    cls=DeskCommand,
    example="consumables check\n"
    "consumables check --digest --up-to 33826\n"
    "consumables check --against 33826:c42c4868a2bb4e22\n"
    "consumables check --digest --csv seals.csv     (kept elsewhere, it names a changed entry)",
)
@click.option("--digest", "sealed", is_flag=True, help="The seal of the ledger, as on the paper.")
@click.option("--up-to", type=click.IntRange(0), metavar="N", help="Over the entries 1 to N.")
@click.option("--csv", "csv_path", metavar="FILE|-", help="With --digest: the seal of each entry.")
@click.option(
    "--against", multiple=True, metavar="N:SEAL|FILE", help="Is it what it was? May be repeated."
)
@json_option
@click.pass_context
def check(
    context: click.Context,
    sealed: bool,
    up_to: int | None,
    csv_path: str | None,
    against: tuple[str, ...],
    as_json: bool,
) -> None:
    """Prove that what is shown is what the ledger adds up to; exit 1 where it is not."""
    from consumables.desk import checking, digests
    from consumables.desk.retention import reminder

    with at_desk() as desk:
        if sealed or csv_path or up_to is not None:
            _seal(desk, up_to, csv_path, as_json)
            return
        kept = [one for said in against for one in digests.kept(said)]
        found = [*digests.changed_since(desk, kept), *checking.check(desk)]
        past = reminder(desk)
    if as_json:
        print_json(sound=not found, differences=found)
    else:
        click.echo("\n".join(found) or _sound(bool(kept)))
    if past:
        note(past)
    if found:
        context.exit(1)


def _sound(compared: bool) -> str:
    unchanged = " The ledger is what it was when its seal was kept." if compared else ""
    return f"Sound: every balance is what the ledger adds up to.{unchanged}"


def _seal(desk: "Desk", up_to: int | None, csv_path: str | None, as_json: bool) -> None:
    from consumables.desk import digests

    if csv_path:
        write_out(digests.digest_sheet(digests.all_digests(desk)), csv_path)
        return
    found = digests.digest(desk, up_to)
    if as_json:
        print_json(entry_id=str(found.entry_id), digest=found.digest)
    else:
        click.echo(f"{found.entry_id}:{found.digest}")
        note("Keep this line; `consumables check --against` it shows whether anything changed.")


@click.command(
    cls=DeskCommand,
    example="consumables retention\nconsumables retention --purge --who MR",
)
@click.option("--purge", is_flag=True, help="Take off the codes that are past it; asks first.")
@click.option("--keep", type=int, metavar="DAYS", help="Longer than the book asks; never shorter.")
@click.option("--yes", is_flag=True, help="With --purge: do not ask.")
@json_option
def retention(purge: bool, keep: int | None, yes: bool, as_json: bool) -> None:
    """How long clients' codes are kept, which are past it, and taking those off."""
    from consumables.desk import retention as keeping

    with signing_desk() if purge else at_desk() as desk:
        found = keeping.retention(desk, keep)
        if not purge:
            print_json(retention=found) if as_json else _show(found)
            return
        if found.visits_past and not yes:
            click.confirm(_question(found), abort=True, err=True)
        tell(keeping.purge(desk, keep), as_json)


def _question(found: "Retention") -> str:
    return (
        f"Take the client's code off {found.visits_past} visits before {found.first_kept}? "
        "It cannot be undone; no visit, use or count is lost."
    )


def _show(found: "Retention") -> None:
    click.echo(found.says)
    click.echo(f"Clients' codes stand from {found.first_kept} on ({found.days} days).")
    click.echo(f"Visits before that with a code: {found.visits_past or 'none'}.")
    if found.kits:
        retired = f", {found.kits_retired} of them retired" if found.kits_retired else ""
        click.echo(f"Kits with a client's code: {', '.join(found.kits)}{retired}.")
        note(found.kit_stays)
    if found.visits_past:
        note("To take them off: consumables retention --purge")


@click.command(cls=DeskCommand, example="consumables backup copies/shop-2026-11-25.db")
@click.argument("path")
def backup(path: str) -> None:
    """A whole copy of the shop, taken while it runs; put it on another disk."""
    with at_desk() as desk:
        desk.store.backup(Path(path))
    click.echo(path)
    note(f"Copied. To go back to it: consumables restore {path} --because TEXT")


COMMANDS = (check, retention, backup)
