"""The wash-up from the command line: what waits at the sink, and each step round it."""

from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskGroup, at_desk, json_option, signing_desk
from consumables.cli.jars import empty, mix, show_jars
from consumables.cli.printing import note, print_json, print_table, tell

if TYPE_CHECKING:
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
        from consumables.desk.overdue import overdue
        from consumables.desk.washing import wash_list

        with at_desk() as desk:
            pieces, mixed = wash_list(desk, everything), jars(desk)
            late = overdue(desk)
        if as_json:
            print_json(pieces=pieces, jars=mixed, overdue=late)
            return
        _show(pieces)
        show_jars(mixed)
        for sentence in late:
            note(f"OVERDUE: {sentence}")


def _show(pieces: "list[WashPiece]") -> None:
    print_table(
        ("state", "next", "until", "uses", "piece", "route", "lies in", "item"),
        [
            (
                f"{piece.state}, blood level" if piece.blood_level else piece.state,
                piece.next_step,
                f"{piece.ready_at:%H:%M}" if piece.ready_at else "",
                piece.uses,
                piece.piece_id,
                piece.route,
                piece.jar_id or piece.load_id,
                piece.name,
            )
            for piece in pieces
        ],
        right=("uses",),
    )


def meant(desk: "Desk", said: tuple[str, ...], *next_steps: str) -> list[str]:
    """The tags said, or for `all` every piece whose next step this is."""
    from consumables.desk.washing import wash_list
    from consumables.errors import Refused

    if said != ("all",):
        return list(said)
    pieces = [p for p in wash_list(desk, "-" in next_steps) if p.state != "retired"]
    found = [piece.piece_id for piece in pieces if piece.next_step in next_steps]
    if not found:
        soonest = min((p.ready_at for p in pieces if p.ready_at), default=None)
        wait = f" The first may come out at {soonest:%H:%M}." if soonest else ""
        raise Refused(
            f"No piece is due to {' or '.join(next_steps)}; `consumables wash` lists them.{wait}"
        )
    return found


_PIECES = click.argument("pieces", nargs=-1, required=True, metavar="PIECE...|all")


@wash.command(example="consumables wash clean all\nconsumables wash clean cuticle-nipper-03")
@_PIECES
@json_option
def clean(pieces: tuple[str, ...], as_json: bool) -> None:
    """Washed, rinsed and dried; not yet disinfected."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.clean(desk, meant(desk, pieces, "clean")), as_json)


@wash.command(
    example="consumables wash ultrasonic all\nconsumables wash ultrasonic all --minutes 8"
)
@_PIECES
@click.option(
    "--minutes", type=click.IntRange(1), default=10, help="The maker's time; 10 unless said."
)
@json_option
def ultrasonic(pieces: tuple[str, ...], minutes: int, as_json: bool) -> None:
    """Cleaned pieces ran in the ultrasonic bath; it cleans, it does not disinfect."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.ultrasonic(desk, meant(desk, pieces, "treat", "load"), minutes), as_json)


@wash.command(
    example="consumables wash treat all\nconsumables wash treat cuticle-nipper-03 --blood"
)
@_PIECES
@click.option("--blood", is_flag=True, help="The blood-level cycle.")
@click.option("--jar", default="", metavar="JAR", help="Which jar; the freshest unless said.")
@json_option
def treat(pieces: tuple[str, ...], blood: bool, jar: str, as_json: bool) -> None:
    """Each piece into its own route: bath, wipe, spray or laundry; the clock starts.

    What lies in the same jar already starts its time anew.
    """
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.treat(desk, meant(desk, pieces, "treat"), blood, jar), as_json)


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
    """Lifted, rinsed, dried and ready; refused before the contact time has run."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.take_out(desk, meant(desk, pieces, "take out")), as_json)


@wash.command(example='consumables wash again cuticle-nipper-03 --because "pouch torn"')
@_PIECES
@click.option("--because", default="", metavar="TEXT", help="Dropped, pouch torn, wet, opened ...")
@json_option
def again(pieces: tuple[str, ...], because: str, as_json: bool) -> None:
    """A dropped or doubted piece, or one whose pouch is spoilt, starts the whole wash again."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.wash_again(desk, meant(desk, pieces, "again"), because), as_json)


@wash.command(example='consumables wash look all\nconsumables wash look nipper-03 --found "rust"')
@_PIECES
@click.option("--found", default="", metavar="TEXT", help="What was seen; nothing unless said.")
@json_option
def look(pieces: tuple[str, ...], found: str, as_json: bool) -> None:
    """Looked over before use: rust, pitting, a bent tip retire it, a torn pouch sends it back.

    `all` means every ready piece, and is only for when nothing was found.
    """
    from consumables.desk.inspecting import look_over
    from consumables.errors import Refused

    if found and pieces == ("all",):
        raise Refused("Name the piece on which something was found.")
    with signing_desk() as desk:
        tell(look_over(desk, meant(desk, pieces, "-"), found), as_json)


@wash.command(example='consumables wash retire cuticle-nipper-03 --because "rust at the joint"')
@click.argument("piece")
@click.option("--because", required=True, metavar="TEXT", help="Rust, pitting, blunt, lost ...")
@json_option
def retire(piece: str, because: str, as_json: bool) -> None:
    """A worn, pitted, bent or broken piece never comes back."""
    from consumables.desk import washing

    with signing_desk() as desk:
        tell(washing.retire(desk, piece, because), as_json)


wash.add_command(mix)
wash.add_command(empty)
COMMANDS = (wash,)
