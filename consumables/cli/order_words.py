"""The week's order list in words, and as the sheet a supplier can be sent."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from consumables.cli.printing import note, print_labelled, print_table

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.reorder.order_list import OrderLine, OrderList


def show_list(found: "OrderList", currency: str, short: bool) -> None:
    """Print the list by supplier; every line with its reasons unless `short`."""
    if not found.lines:
        click.echo("Nothing needs to be ordered this week.")
    elif short:
        _show_table(found)
    else:
        _show_reasons(found, currency)
    if found.lines:
        click.echo(f"Total {found.total:.2f} {currency}, shipping included.")
    for sentence in found.notes:
        note(sentence)
    if found.drift:
        note(
            f"{len(found.drift)} lines of set-ups differ from what is really used, such as: "
            f"{found.drift[0].sentence} All of them: consumables order --drift"
        )
    note(f"Next order day: {found.next_order_on}. Write it down as placed: consumables order place")


def _show_table(found: "OrderList") -> None:
    print_table(
        ("supplier", "packs", "of", "offer", "cost", "caution", "item"),
        [
            (
                line.supplier,
                line.packs,
                line.pack_size,
                line.offer,
                f"{line.cost:.2f}",
                "look" if line.caution else "",
                line.outlook.name,
            )
            for line in found.lines
        ],
        right=("packs", "of", "cost"),
    )


def _show_reasons(found: "OrderList", currency: str) -> None:
    for total in found.totals:
        shipping = f" and {total.shipping:.2f} shipping" if total.shipping else ""
        click.echo(f"{total.name}: {total.goods:.2f}{shipping} = {total.total:.2f} {currency}")
        if total.note:
            click.echo(f"  {total.note}")
        for line in found.lines:
            if line.supplier == total.supplier:
                _show_line(line)
        click.echo()


def _show_line(line: "OrderLine") -> None:
    seen = line.outlook
    size = f"{line.packs} x {line.pack_size} {seen.unit}"
    click.echo(f"  {size:<14} {seen.name} ({line.offer})  {line.cost:.2f}")
    for label, sentence in _reasons(line):
        print_labelled(label, sentence, indent=6)


def _reasons(line: "OrderLine") -> Iterator[tuple[str, str]]:
    said = (
        ("why now", line.why_now),
        ("why this", line.why_this),
        ("left out", line.if_left_out),
        ("caution", line.caution),
    )
    return ((label, sentence) for label, sentence in said if sentence)


def show_drift(found: "OrderList") -> None:
    """Print where practice has left the set-ups, the furthest first."""
    print_table(
        ("service", "item", "set-up", "practice", "seen"),
        [(d.service, d.item, d.set_up, f"{d.practice:.1f}", d.services_seen) for d in found.drift],
        right=("set-up", "practice", "seen"),
    )
    note("The forecast follows practice. Put the set-up right, or what is done at the table.")


def list_csv(desk: "Desk", found: "OrderList") -> str:
    """The list as CSV text, one line for each offer."""
    from consumables.paperwork.order_paper import OrderPaperLine, order_csv

    offers = {offer.offer_id: offer for offer in desk.catalogue.offers}
    return order_csv(
        OrderPaperLine(
            order="",
            supplier=line.supplier,
            offer=line.offer,
            gtin=offers[line.offer].gtin,
            item=line.item,
            name=line.outlook.name,
            packs=line.packs,
            pack_size=line.pack_size,
            unit=line.outlook.unit,
            pack_price=line.cost / line.packs,
            line_price=line.cost,
            because=line.why_now,
        )
        for line in found.lines
    )
