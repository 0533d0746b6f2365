"""The wash-up from the command line: what waits at the sink, and each step round it."""

from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskGroup, at_desk, json_option, signing_desk
from consumables.cli.printing import note, print_json, print_table, tell

if TYPE_CHECKING:
    from consumables.desk.jars import Jar
    from consumables.desk.opening import Desk
    from consumables.desk.washing import WashPiece


@click.group(
    cls=DeskGroup,
    invoke_without_command=True,
    example="consumables wash\nconsumables wash clean all --who MR\nconsumables wash --all",
)
@click.option("--all", "everything", is_flag=True, help="Ready and retired pieces too.")
@json_option
@click.pass_context
def wash(context: click.Context, everything: bool, as_json: bool) -> None:
    """What waits at the sink, and the steps from soiled to ready.

    Without a step it lists the pieces and jars. PIECE is a tag, or `all` for every piece whose
    turn it is.
    """
    if context.invoked_subcommand is None:
        from consumables.desk.jars import jars
        from consumables.desk.washing import wash_list

        with at_desk() as desk:
            pieces, mixed = wash_list(desk, everything), jars(desk)
        if as_json:
            print_json(pieces=pieces, jars=mixed)
        else:
            _show(pieces, mixed)


def _show(pieces: "list[WashPiece]", mixed: "list[Jar]") -> None:
    print_table(
        ("state", "next", "until", "uses", "piece", "route", "item"),
        [
            (
                f"{piece.state}, blood level" if piece.blood_level else piece.state,
                piece.next_step,
                f"{piece.ready_at:%H:%M}" if piece.ready_at else "",
                piece.uses,
                piece.piece_id,
                piece.route,
                piece.name,
            )
            for piece in pieces
        ],
        right=("uses",),
    )
    for jar in mixed:
        state = "CHANGE IT" if jar.stale else "fresh"
        note(
            f"Jar {jar.jar_id}: {jar.name} 1:{jar.parts_water}, {jar.contact_minutes} min, "
            f"{state}, change by {jar.change_by:%a %d %b %H:%M}."
        )
    if not mixed:
        note(
            "No jar is in use: consumables wash mix ITEM --total ML --water PARTS (see the label)."
        )


def _meant(desk: "Desk", said: tuple[str, ...], next_step: str) -> list[str]:
    """The tags said, or for `all` every piece whose next step this is."""
    from consumables.desk.washing import wash_list
    from consumables.errors import Refused

    if said != ("all",):
        return list(said)
    pieces = wash_list(desk)
    found = [piece.piece_id for piece in pieces if piece.next_step == next_step]
    if not found:
        soonest = min((p.ready_at for p in pieces if p.ready_at), default=None)
        wait = f" The first may come out at {soonest:%H:%M}." if soonest else ""
        raise Refused(f"No piece is due to {next_step}; `consumables wash` lists them.{wait}")
    return found


_PIECES = click.argument("pieces", nargs=-1, required=True, metavar="PIECE...|all")


@wash.command(example="consumables wash clean all\nconsumables wash clean cuticle-nipper-03")
@_PIECES
@json_option
def clean(pieces: tuple[str, ...], as_json: bool) -> None:
    """Washed, rinsed and dried; not yet disinfected."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.clean(desk, _meant(desk, pieces, "clean")), as_json)


@wash.command(
    example="consumables wash treat all\nconsumables wash treat cuticle-nipper-03 --blood"
)
@_PIECES
@click.option("--blood", is_flag=True, help="The blood-level cycle.")
@json_option
def treat(pieces: tuple[str, ...], blood: bool, as_json: bool) -> None:
    """Each piece into its own route: bath, wipe, spray, laundry or steriliser; the clock starts."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.treat(desk, _meant(desk, pieces, "treat"), blood), as_json)


@wash.command(
    "wipe-down", example="consumables wash wipe-down all\nconsumables wash wipe-down curing-lamp-01"
)
@_PIECES
@json_option
def wipe_down(pieces: tuple[str, ...], as_json: bool) -> None:
    """Clean and wipe in one go what never goes into a bath: lamps, handpieces, laundry."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.wipe_down(desk, () if pieces == ("all",) else pieces), as_json)


@wash.command("take-out", example="consumables wash take-out all")
@_PIECES
@json_option
def take_out(pieces: tuple[str, ...], as_json: bool) -> None:
    """Out of treatment and ready; refused before the contact time has run."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.take_out(desk, _meant(desk, pieces, "take out")), as_json)


@wash.command(example="consumables wash again cuticle-nipper-03")
@click.argument("pieces", nargs=-1, required=True, metavar="PIECE...")
@json_option
def again(pieces: tuple[str, ...], as_json: bool) -> None:
    """A dropped or doubted piece starts the whole wash again."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.wash_again(desk, pieces), as_json)


@wash.command(example='consumables wash retire cuticle-nipper-03 --because "rust at the joint"')
@click.argument("piece")
@click.option("--because", required=True, metavar="TEXT", help="Rust, pitting, blunt, lost ...")
@json_option
def retire(piece: str, because: str, as_json: bool) -> None:
    """A worn, pitted, bent or broken piece never comes back."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.retire(desk, piece, because), as_json)


@wash.command(example="consumables wash mix disinfectant-concentrate --total 1000 --water 64")
@click.argument("item")
@click.option("--total", required=True, type=click.IntRange(1), metavar="ML", help="ml in the jar.")
@click.option(
    "--water",
    required=True,
    type=click.IntRange(0),
    metavar="PARTS",
    help="Parts of water to one of product, from the label (1:64 is 64).",
)
@json_option
def mix(item: str, total: int, water: int, as_json: bool) -> None:
    """Mix and date a fresh jar; the concentrate it takes leaves the shelf."""
    from consumables.desk.jars import mix_jar

    with signing_desk() as desk:
        tell(mix_jar(desk, item, total, water), as_json)


@wash.command(example='consumables wash empty jar-1125-0900-3f --because "cloudy"')
@click.argument("jar")
@click.option("--because", default="changed", metavar="TEXT", help="Changed, cloudy, spilt ...")
@json_option
def empty(jar: str, because: str, as_json: bool) -> None:
    """Empty a jar: its time is up, or it went cloudy."""
    from consumables.desk.jars import empty_jar

    with signing_desk() as desk:
        tell(empty_jar(desk, jar, because), as_json)


COMMANDS = (wash,)
