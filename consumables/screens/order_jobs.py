"""What the order place asks of the desk: the week's list, priced anew, and what is on its way."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consumables.desk.opening import Desk
    from consumables.desk.ordering import OpenOrder
    from consumables.reorder.order_list import OrderList


def priced(desk: Desk, planned: OrderList, packs: dict[str, int]) -> OrderList:
    """The list with her own packs, by offer."""
    from consumables.desk.ordering import amend

    return amend(desk, planned, packs)


def week_order(desk: Desk) -> tuple[OrderList, str]:
    """This week's list, and the currency it is priced in."""
    from consumables.desk.ordering import week_order as list_of_week

    return list_of_week(desk), desk.settings.currency


def open_orders(desk: Desk) -> list[OpenOrder]:
    """Orders on their way, the oldest first."""
    from consumables.desk.ordering import open_orders as placed

    return placed(desk)
