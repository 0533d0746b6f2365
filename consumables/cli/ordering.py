"""The week's order from the command line: what to buy and why, placing it, taking it in."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

import click

from consumables.cli.arguments import day, named_number
from consumables.cli.every_command import DeskGroup, at_desk, json_option, signing_desk
from consumables.cli.printing import print_json, print_table, tell, write_out
from consumables.cli.scanned import beside_scan, refuse_other, scan_option, scanned_text, told_by

if TYPE_CHECKING:
    from consumables.desk.opening import Receipt


@click.group(
    cls=DeskGroup,
    invoke_without_command=True,
    example="consumables order\nconsumables order --short\n"
    "consumables order --csv week.csv\nconsumables order place --supplier marlpit",
)
@click.option("--as-of", type=day, metavar="DAY", help="As if it were this day.")
@click.option("--short", is_flag=True, help="One line each, without the reasons.")
@click.option("--drift", is_flag=True, help="Where what is really used differs from the set-ups.")
@click.option("--csv", "csv_path", metavar="FILE|-", help="Write it as CSV; - is stdout.")
@json_option
@click.pass_context
def order(
    context: click.Context,
    as_of: date | None,
    short: bool,
    drift: bool,
    csv_path: str | None,
    as_json: bool,
) -> None:
    """What to buy this week, from whom, how many packs, and why; looking places nothing.

    Without a step it prints the list.
    """
    if context.invoked_subcommand is None:
        from consumables.cli.order_words import list_csv, show_drift, show_list
        from consumables.desk.ordering import week_order

        with at_desk() as desk:
            found = week_order(desk, as_of)
            if as_json:
                print_json(order=found, total=found.total, currency=desk.settings.currency)
            elif csv_path:
                write_out(list_csv(desk, found), csv_path)
            elif drift:
                show_drift(found)
            else:
                show_list(found, desk.settings.currency, short)


@order.command(
    example="consumables order place --who MR\n"
    "consumables order place --supplier marlpit --packs m001=2 --packs m003=0"
)
@click.option("--supplier", "suppliers", metavar="ID", multiple=True, help="Only this supplier's.")
@click.option(
    "--packs",
    type=named_number,
    metavar="OFFER=N",
    multiple=True,
    help="Other packs of an offer; 0: none.",
)
@json_option
def place(suppliers: tuple[str, ...], packs: tuple[tuple[str, int], ...], as_json: bool) -> None:
    """Write down that the list was ordered, one order for each supplier.

    It writes down; the supplier still has to be told (see --csv).
    """
    from consumables.desk.ordering import place as place_list
    from consumables.desk.ordering import week_order

    with signing_desk() as desk:
        placed = place_list(desk, week_order(desk), suppliers or None, dict(packs))
    _tell_all(placed, as_json)


def _tell_all(receipts: "Sequence[Receipt]", as_json: bool) -> None:
    if as_json:
        print_json(receipts=receipts)
        return
    for receipt in receipts:
        tell(receipt)


@order.command("open", example="consumables order open")
@json_option
def open_orders(as_json: bool) -> None:
    """Orders on their way, with what is still to come."""
    from consumables.desk import ordering

    with at_desk() as desk:
        found = ordering.open_orders(desk)
    if as_json:
        print_json(orders=found)
        return
    rows = [
        (
            placed.order_id,
            placed.state,
            placed.expected_by,
            line.offer_id,
            line.outstanding,
            line.name,
        )
        for placed in found
        for line in placed.lines
    ]
    headings = ("order", "state", "expected by", "offer", "to come", "item")
    print_table(headings, rows, right=("to come",))


@order.command(
    example="consumables order receive order-261125-marlpit-3f2 m001 50 --use-by 2027-06-30\n"
    "consumables order receive order-261125-marlpit-3f2 m001 48     (two were missing)\n"
    'consumables order receive 50 --scan "(01)02900000000018(17)270630(10)K4"'
)
@click.argument("order_id", metavar="[ORDER]", required=False)
@click.argument("offer", required=False)
@click.argument("units", type=int, required=False)
@scan_option
@click.option("--use-by", type=day, metavar="DAY", help="As printed on the pack.")
@click.option("--lot", default="", metavar="TEXT", help="The supplier's lot code.")
@json_option
def receive(
    order_id: str | None,
    offer: str | None,
    units: int | None,
    scan: str | None,
    use_by: date | None,
    lot: str,
    as_json: bool,
) -> None:
    """Take in part or all of one line: UNITS in the item's own unit, as counted.

    With --scan the label says which line, and UNITS only where it does not count them.
    """
    from consumables.desk import delivering, scanning

    if scan is None:
        if order_id is None or offer is None or units is None:
            raise click.UsageError("Say ORDER, OFFER and UNITS, or scan the pack (--scan TEXT).")
        with signing_desk() as desk:
            tell(delivering.receive(desk, order_id, offer, units, use_by, lot), as_json)
        return
    wanted, counted = beside_scan(order_id, offer, units)
    with signing_desk() as desk:
        found = scanning.on_the_way(desk, scanned_text(scan), wanted)
        many, day_, code = told_by(found, counted, use_by, lot)
        tell(
            delivering.receive(
                desk, found.order_id, found.offer_id, many, day_, code, found.doubts
            ),
            as_json,
        )


@order.command(
    "bought",
    example="consumables order bought acetone 1000 --cost 0.0084 --use-by 2027-06-30\n"
    'consumables order bought --scan "(02)02900000000018(37)2(17)270630"',
)
@click.argument("item", required=False)
@click.argument("units", type=int, required=False)
@scan_option
@click.option("--use-by", type=day, metavar="DAY", help="As printed on the pack.")
@click.option("--lot", default="", metavar="TEXT", help="The supplier's lot code.")
@click.option("--cost", default="0", metavar="MONEY", help="For one piece, ml or g.")
@json_option
def bought(
    item: str | None,
    units: int | None,
    scan: str | None,
    use_by: date | None,
    lot: str,
    cost: str,
    as_json: bool,
) -> None:
    """Take in UNITS of an ITEM that was bought without an order; --scan tells both, or the item."""
    from consumables.desk import delivering, scanning

    price = _money(cost)
    doubts: tuple[str, ...] = ()
    if scan is None and (item is None or units is None):
        raise click.UsageError("Say ITEM and UNITS, or scan the pack (--scan TEXT).")
    with signing_desk() as desk:
        if scan is not None:
            wanted, counted = beside_scan(item, None, units)
            found = scanning.arrival(desk, scanned_text(scan))
            refuse_other(found, wanted)
            item, doubts = found.item_id, found.doubts
            units, use_by, lot = told_by(found, counted, use_by, lot)
        args = (item or "", units or 0, use_by, lot, price, doubts)
        tell(delivering.receive_unordered(desk, *args), as_json)


@order.command("close", example='consumables order close ORDER --because "sold out there"')
@click.argument("order_id", metavar="ORDER")
@click.option("--because", required=True, metavar="TEXT", help="Why nothing more will come.")
@json_option
def close_order(order_id: str, because: str, as_json: bool) -> None:
    """Nothing more will come of an order."""
    from consumables.desk import ordering

    with signing_desk() as desk:
        tell(ordering.close_order(desk, order_id, because), as_json)


def _money(text: str) -> Decimal:
    try:
        amount = Decimal(text)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or amount < 0:
        raise click.UsageError(f"'{text}' is no amount of money; write it like 8.40.")
    return amount


COMMANDS = (order,)
