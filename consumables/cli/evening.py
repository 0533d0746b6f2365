"""What the demo prints where no screen can open: tonight's close-outs and the week's order."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

import click

from consumables.cli.every_command import at_desk
from consumables.cli.order_words import show_list

if TYPE_CHECKING:
    from consumables.desk.closing import CardView, LineView
    from consumables.desk.opening import Desk
    from consumables.desk.today import DayVisit


def print_evening() -> None:
    """Today's visits, each with what closing its card would use, bin, wash; then the order list."""
    from consumables.desk.closing import card_for, look_over
    from consumables.desk.ordering import week_order

    with at_desk() as desk:
        day, visits = _next_open_visits(desk)
        which = "tonight's close-outs" if day == desk.today() else "the next close-outs"
        click.echo(f"{desk.settings.name}, {day:%A %d %B %Y}: {which}\n")
        for visit in visits:
            _print_visit(visit, look_over(desk, card_for(desk, visit.visit_id)))
        click.echo("The week's order list\n")
        show_list(week_order(desk), desk.settings.currency, short=False)


def _next_open_visits(desk: "Desk") -> "tuple[date, list[DayVisit]]":
    """Today's open visits; on a day off those of the next day that has any."""
    from consumables.desk.today import visits_on

    for ahead in range(7):
        day = desk.today() + timedelta(days=ahead)
        if visits := [visit for visit in visits_on(desk, day) if visit.state == "open"]:
            return day, visits
    return desk.today(), []


def _print_visit(visit: "DayVisit", card: "CardView") -> None:
    services = ", ".join(visit.services)
    click.echo(f"{visit.starts_at:%H:%M}  {visit.technician}  client {visit.client}: {services}")
    for where in dict.fromkeys(line.goes_to for line in card.lines):
        lines = [line for line in card.lines if line.goes_to == where]
        click.echo(f"  {where}: {_amounts(lines)}")
    for refusal in card.refusals:
        click.echo(f"  would be refused: {refusal}")
    click.echo()


def _amounts(lines: "Sequence[LineView]") -> str:
    told = (
        f"{line.line.quantity} {'' if line.unit == 'each' else line.unit + ' '}{line.name}"
        for line in lines
    )
    return "; ".join(told)
