"""What a card asks of the desk: to be laid out, looked over, and what could be added to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consumables.screens.widgets.choose import Choice

if TYPE_CHECKING:
    from consumables.closeout.service_card import ServiceCard
    from consumables.desk.closing import CardView
    from consumables.desk.opening import Desk


@dataclass(frozen=True)
class LaidOut:
    """A fresh card, and the smallest amount ever drawn of each item, in its unit."""

    view: CardView
    doses: Mapping[str, int]


def lay_out(desk: Desk, visit_id: str) -> LaidOut:
    """The card of a visit as its set-ups fill it."""
    from consumables.desk.closing import card_for

    doses = {name: item.dose for name, item in desk.items.items()}
    return LaidOut(look_over_card(desk, card_for(desk, visit_id)), doses)


def look_over_card(desk: Desk, card: ServiceCard) -> CardView:
    """What closing this card would do; nothing is written."""
    from consumables.desk.closing import look_over

    return look_over(desk, card)


def item_choices(desk: Desk) -> list[Choice]:
    """Every item with its mark."""
    from consumables.desk.verdicts import item_rows

    return [Choice(row.item_id, row.name, row.category) for row in item_rows(desk)]


def piece_choices(desk: Desk, item_id: str) -> list[Choice]:
    """The tagged pieces of an item, the ready ones first."""
    from consumables.desk.washing import wash_list

    pieces = [piece for piece in wash_list(desk, everything=True) if piece.item_id == item_id]
    pieces.sort(key=lambda piece: piece.state != "ready")
    return [Choice(p.piece_id, p.piece_id, f"{p.state}, {p.uses} uses") for p in pieces]
