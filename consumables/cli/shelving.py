"""The shelf from the command line: look, count, throw away, use."""

from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import DeskCommand, at_desk, json_option, signing_desk
from consumables.cli.printing import amount, note, print_json, print_table, tell

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.shelving import ShelfRow


@click.command(cls=DeskCommand, example="consumables shelf\nconsumables shelf nitrile-glove")
@click.argument("item", required=False)
@json_option
def shelf(item: str | None, as_json: bool) -> None:
    """What is there, how long it lasts and what is on its way; of one ITEM its lots."""
    from consumables.desk.shelving import shelf as stand

    with at_desk() as desk:
        if item:
            _show_lots(desk, item, as_json)
            return
        rows = stand(desk)
    if as_json:
        print_json(shelf=rows)
        return
    headings = ("state", "there", "coming", "use by", "item", "name")
    print_table(headings, map(_row, rows), right=("coming",))


def _row(row: "ShelfRow") -> tuple[object, ...]:
    there = [amount(row.on_hand, row.unit)] if row.on_hand or not row.pieces_kept else []
    there += [f"{row.pieces_ready} of {row.pieces_kept} ready"] if row.pieces_kept else []
    coming = amount(row.on_order, row.unit) if row.on_order else ""
    return (row.state, there, coming, row.next_use_by, row.item_id, row.name)


def _show_lots(desk: "Desk", item_id: str, as_json: bool) -> None:
    from consumables.desk.shelving import lots_of

    item, lots = desk.item(item_id), lots_of(desk, item_id)
    if as_json:
        print_json(item_id=item_id, name=item.name, unit=item.unit, lots=lots)
        return
    rows = [
        (
            "in date" if lot.in_date else "past use-by",
            amount(lot.on_hand, item.unit),
            lot.use_by,
            lot.opened_on,
            lot.lot_id,
        )
        for lot in lots
    ]
    print_table(("state", "there", "use by", "opened", "lot"), rows, right=("there",))
    note(f"{item.name}: the first of these lots is used first.")


@click.command(cls=DeskCommand, example="consumables count nitrile-glove 84 --who MR")
@click.argument("item")
@click.argument("n", type=int)
@json_option
def count(item: str, n: int, as_json: bool) -> None:
    """Write what you saw on the shelf; flagged uses of the item are settled by it."""
    from consumables.desk import shelving

    with signing_desk() as desk:
        tell(shelving.count(desk, item, n), as_json)


@click.command(
    cls=DeskCommand,
    example='consumables discard base-gel base-gel-A031 1 --because "went thick"\n'
    "consumables discard --past-use-by",
)
@click.argument("item", required=False)
@click.argument("lot", required=False)
@click.argument("n", type=int, required=False)
@click.option("--because", default="", metavar="TEXT", help="Why it is thrown away.")
@click.option("--past-use-by", is_flag=True, help="Everything on the shelf past its use-by.")
@json_option
def discard(
    item: str | None, lot: str | None, n: int | None, because: str, past_use_by: bool, as_json: bool
) -> None:
    """Throw away N of a LOT of an ITEM, or everything past its use-by."""
    from consumables.desk import shelving

    if past_use_by is (item is not None) or (item and n is None):
        raise click.UsageError("Say ITEM, LOT and N with --because, or only --past-use-by.")
    with signing_desk() as desk:
        if past_use_by:
            tell(shelving.discard_expired(desk), as_json)
        else:
            tell(shelving.discard(desk, item or "", lot or "", n or 0, because), as_json)


@click.command(cls=DeskCommand, example='consumables use acetone 30 --because "cleaned the desk"')
@click.argument("item")
@click.argument("n", type=int)
@click.option("--because", required=True, metavar="TEXT", help="What for: a spill, a test ...")
@json_option
def use(item: str, n: int, because: str, as_json: bool) -> None:
    """Use that belongs to no visit: a spill, cleaning the desk, a breakage."""
    from consumables.desk.shelving import use_loose

    with signing_desk() as desk:
        tell(use_loose(desk, item, n, because), as_json)


COMMANDS = (shelf, count, discard, use)
