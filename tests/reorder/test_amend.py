"""Her own packs in the list: the price break, the shipping and the minimum order follow."""

from datetime import date
from decimal import Decimal

from consumables.items.catalogue import Offer, Supplier
from consumables.reorder.amend import amended
from consumables.reorder.order_list import OrderLine as Line
from consumables.reorder.order_list import OrderList, OrderTotal

SUPPLIER = Supplier("north", "North", {2: 1.0}, Decimal(20), Decimal("5.90"), Decimal(60))
OFFER = Offer("o1", "north", "board", 50, Decimal("12.50"), 4, Decimal("11"))


def listed(packs: int) -> OrderList:
    line = Line(
        "north", "o1", "board", packs, 50, packs * 50, packs * OFFER.price, 0, None, *"    "
    )  # type: ignore[arg-type]
    goods = packs * OFFER.price
    total = OrderTotal("north", "North", goods, Decimal("5.90"), goods + 6, Decimal(0), "")
    day = date(2026, 3, 4)
    return OrderList(day, day, 0.99, (line,), (total,), (), (), ())


def changed(packs: int) -> OrderList:
    return amended(listed(2), {"o1": packs}, [OFFER], [SUPPLIER])


def test_from_the_price_break_on_every_pack_is_cheaper() -> None:
    assert changed(4).lines[0].cost == Decimal("44")
    assert changed(4).lines[0].units == 200


def test_shipping_is_free_from_its_threshold() -> None:
    assert changed(5).totals[0].total == Decimal("60.90")
    assert changed(6).totals[0].total == Decimal("66")


def test_a_line_left_out_costs_nothing_and_a_missed_minimum_is_said() -> None:
    assert changed(0).total == 0
    assert changed(1).totals[0].below_minimum == Decimal("7.50")
    assert "7.50 is missing" in changed(1).totals[0].note


def test_nothing_changed_changes_nothing() -> None:
    assert changed(2) == listed(2)
