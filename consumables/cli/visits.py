"""The day's visits from the command line: see them, lay out their cards, close them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import click

from consumables.cli.arguments import day as a_day
from consumables.cli.arguments import named_number, named_piece
from consumables.cli.every_command import DeskCommand, at_desk, json_option, signing_desk
from consumables.cli.printing import amount, note, print_json, print_table, tell

if TYPE_CHECKING:
    from consumables.closeout.service_card import ServiceCard
    from consumables.desk.closing import CardView
    from consumables.desk.opening import Desk
    from consumables.desk.today import DayGlance, DayVisit


@click.command(cls=DeskCommand, example="consumables today\nconsumables today --day 2026-11-28")
@click.option("--day", type=a_day, metavar="DAY", help="Another day, as 2026-11-28.")
@json_option
def today(day: date | None, as_json: bool) -> None:
    """The visits of the day, and what waits meanwhile."""
    from consumables.desk.today import glance, visits_on

    with at_desk() as desk:
        visits, waiting = visits_on(desk, day), glance(desk)
        if as_json:
            print_json(day=day or desk.today(), visits=visits, waiting=waiting)
            return
        print_table(("state", "time", "technician", "client", "services", "visit"), _rows(visits))
        if not visits:
            note("No visit is in the book for this day.")
        note(_waiting(waiting))


def _rows(visits: "Sequence[DayVisit]") -> list[tuple[object, ...]]:
    return [
        (
            "open, due" if visit.due else visit.state,
            f"{visit.starts_at:%H:%M}",
            visit.technician,
            visit.client,
            visit.services,
            visit.visit_id,
        )
        for visit in visits
    ]


def _waiting(waiting: "DayGlance") -> str:
    counts = (
        (waiting.soiled, "to wash up"),
        (waiting.in_treatment, "in treatment"),
        (waiting.ready_to_take_out, "ready to take out"),
        (waiting.stale_jars, "jars to change"),
        (waiting.late, "logs and tests overdue"),
        (waiting.past_use_by, "lots past use-by"),
        (waiting.flagged, "flagged uses to settle"),
    )
    told = [f"{what}: {number}" for number, what in counts if number]
    told += ["today is order day"] if waiting.order_day else []
    return f"{waiting.shop}, book: {waiting.book}. " + ("; ".join(told) or "Nothing waits") + "."


@click.command(
    cls=DeskCommand,
    example="consumables close 10:30 --who MR\n"
    "consumables close 10:30 --extra nitrile-glove=2 --not-used cuticle-oil\n"
    "consumables close 10:30 --dry-run",
)
@click.argument("visit")
@click.option(
    "--extra", type=named_number, metavar="ITEM=N", multiple=True, help="Used beyond the set-up."
)
@click.option(
    "--used",
    type=named_number,
    metavar="ITEM=N",
    multiple=True,
    help="Used in another number than set up.",
)
@click.option("--not-used", metavar="ITEM", multiple=True, help="In the set-up but not used.")
@click.option(
    "--piece",
    type=named_piece,
    metavar="ITEM=PIECE",
    multiple=True,
    help="The piece that was in your hand.",
)
@click.option("--blood", is_flag=True, help="Blood, broken skin or an unhealthy nail.")
@click.option(
    "--already-done",
    is_flag=True,
    help="Write it even where the rules or the shelf say no; such a use is flagged.",
)
@click.option("--key", metavar="TEXT", help="The job's own key: sent twice, it counts once.")
@click.option("--dry-run", is_flag=True, help="Show what would be written; write nothing.")
@json_option
def close(
    visit: str,
    extra: tuple[tuple[str, int], ...],
    used: tuple[tuple[str, int], ...],
    not_used: tuple[str, ...],
    piece: tuple[tuple[str, str], ...],
    blood: bool,
    already_done: bool,
    key: str | None,
    dry_run: bool,
    as_json: bool,
) -> None:
    """A visit is over: draw what was used, bin, strip and send to the wash, in one go.

    VISIT is its id, the beginning of it, or today's start time as 10:30 (yours, by --who, where
    two start together).
    """
    from consumables.desk.closing import card_for, close_visit, look_over

    with at_desk() if dry_run else signing_desk() as desk:
        card = card_for(desk, _visit_id(desk, visit))
        amounts = [*used, *((item_id, 0) for item_id in not_used)]
        card = _amended(desk, card, extra, amounts, piece)
        card = replace(card, contaminated=blood)
        if dry_run:
            _show_card(look_over(desk, card), as_json)
        else:
            tell(close_visit(desk, card, already_done, key), as_json)


def _amended(
    desk: "Desk",
    card: "ServiceCard",
    extra: Sequence[tuple[str, int]],
    amounts: Sequence[tuple[str, int]],
    pieces: Sequence[tuple[str, str]],
) -> "ServiceCard":
    from consumables.desk.closing import add_item, name_pieces, set_quantity

    for item_id, number in extra:
        card = add_item(desk, card, item_id, number)
    for item_id, number in amounts:
        first, *others = _lines_of(desk, card, item_id)
        card = set_quantity(card, first, number)
        for index in others:
            card = set_quantity(card, index, 0)
    for item_id in dict.fromkeys(item_id for item_id, _ in pieces):
        named = [piece_id for of, piece_id in pieces if of == item_id]
        card = name_pieces(card, _lines_of(desk, card, item_id)[0], named)
    return card


def _lines_of(desk: "Desk", card: "ServiceCard", item_id: str) -> list[int]:
    from consumables.errors import NotFound

    found = [at for at, line in enumerate(card.lines) if line.item_id == item_id]
    if not found:
        name = desk.item(item_id).name
        raise NotFound(f"{name} is not on this visit's card; add it with --extra {item_id}=1.")
    return found


def _show_card(view: "CardView", as_json: bool) -> None:
    if as_json:
        print_json(card=view)
        return
    print_table(
        ("goes to", "used", "item", "takes", "name"),
        [
            (
                line.goes_to,
                amount(line.line.quantity, line.unit),
                line.line.item_id,
                line.takes,
                line.name,
            )
            for line in view.lines
        ],
        right=("used",),
    )
    for refusal in view.refusals:
        note(f"Would be refused: {refusal}")
    for caution in view.cautions:
        note(f"Caution: {caution}")


def _visit_id(desk: "Desk", said: str) -> str:
    """The visit meant: by its whole id, by the beginning of it, or by today's start time.

    Where two visits start together it is the one of whoever is at the desk.
    """
    from consumables.desk.today import visits_on
    from consumables.errors import NotFound

    found = [
        visit
        for visit in visits_on(desk)
        if said.zfill(5) == f"{visit.starts_at:%H:%M}" or visit.visit_id.startswith(said)
    ]
    if not found or any(visit.visit_id == said for visit in found):
        return said
    mine = [visit for visit in found if visit.technician == desk.who]
    if len(found) > 1 and len(mine) != 1:
        names = ", ".join(f"{visit.visit_id} ({visit.technician})" for visit in found)
        raise NotFound(f"{said} could be any of these visits: {names}. Name one of them.")
    return (mine if len(mine) == 1 else found)[0].visit_id


@click.command("no-show", cls=DeskCommand, example="consumables no-show 14:00 --who MR")
@click.argument("visit")
@json_option
def no_show(visit: str, as_json: bool) -> None:
    """The client did not come: close the visit, nothing was used."""
    from consumables.desk import closing

    with signing_desk() as desk:
        tell(closing.no_show(desk, _visit_id(desk, visit)), as_json)


@click.command(
    "walk-in",
    cls=DeskCommand,
    example="consumables walk-in classic-manicure\n"
    "consumables walk-in gel-removal classic-manicure --client K7",
)
@click.argument("services", nargs=-1, required=True, metavar="SERVICE...")
@click.option("--client", default="", metavar="CODE", help="A code or initials, no name.")
@click.option("--technician", default="", metavar="INITIALS", help="Who serves (else --who).")
@json_option
def walk_in(services: tuple[str, ...], client: str, technician: str, as_json: bool) -> None:
    """A client without an appointment: put the visit in the book, from now."""
    from consumables.desk import today as day

    with at_desk() as desk:
        visit_id = day.walk_in(desk, services, client, technician)
    if as_json:
        print_json(visit_id=visit_id)
        return
    click.echo(visit_id)
    note(f"In the book. When it is over: consumables close {visit_id}")


COMMANDS = (today, close, no_show, walk_in)
