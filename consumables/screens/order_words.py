"""How an order is worded: one block for each supplier, and the reason of every line in full."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from consumables.screens.widgets.rows import Column, Row, Word
from consumables.words import counted

if TYPE_CHECKING:
    from consumables.desk.ordering import OpenLine, OpenOrder
    from consumables.reorder.order_list import OrderLine, OrderList, OrderTotal

TO_BUY = (
    Column("buy", 9),
    Column("item", stretch=True),
    Column("units", 8, right=True, from_width=50),
    Column("on hand", 8, right=True, from_width=60),
    Column("lasts", 5, right=True, from_width=68),
    Column("cost", 9, right=True),
)
COMING = (
    Column("state", 14),
    Column("item", stretch=True),
    Column("came", 11, right=True),
    Column("by", 6, right=True),
    Column("supplier", 16, from_width=76),
)
NO_ORDERS = "No order is on its way.\n\no goes back to what is to be bought."
NEWLINES = "\n\n"


def buy_rows(order_list: OrderList) -> list[Row]:
    """Each supplier with its total, and its lines beneath."""
    rows: list[Row] = []
    for total in order_list.totals:
        mine = [line for line in order_list.lines if line.supplier == total.supplier]
        rows.append(_supplier_row(total))
        rows += map(_line_row, mine)
    return rows


def coming_rows(orders: Sequence[OpenOrder]) -> list[Row]:
    """Every line of every order that is on its way."""
    return [_coming_row(order, line) for order in orders for line in order.lines]


def heading(
    order_list: OrderList | None,
    coming: Sequence[OpenOrder],
    buying: bool,
    stale: bool,
    currency: str,
) -> str:
    """Which list this is, what it comes to, and whether it still holds."""
    if not buying:
        return f"ON THE WAY: {counted(len(coming), 'order')}. Enter takes a line in."
    if order_list is None:
        return "TO BUY"
    told = f"TO BUY: {len(order_list.lines)} lines, {order_list.total:.2f} {currency}"
    told += f"; next order {order_list.next_order_on:%a %d %b}"
    if coming:
        told += f"; {counted(len(coming), 'order')} on the way (o)"
    return told + (". The shelf changed since: g works it out again." if stale else ".")


def nothing_to_buy(order_list: OrderList) -> str:
    """What to say of an empty list."""
    day = f"{order_list.next_order_on:%A %d %B}"
    return f"Nothing needs to be bought before {day}.\n\nn shows what comes near its level."


def in_full(order_list: OrderList, key: str, planned: Mapping[str, int]) -> str:
    """All that is known of the highlighted line or supplier; `planned` packs by offer."""
    for line in order_list.lines:
        if line.offer == key:
            return _why(line, planned.get(line.offer, line.packs))
    for total in order_list.totals:
        if key == f"supplier:{total.supplier}":
            return _total_words(total)
    return ""


def soon_words(order_list: OrderList) -> str:
    """What comes near its level, what practice does otherwise, and what else was noticed."""
    near = [f"  {item.name}: {item.position} left, level {item.level}" for item in order_list.near]
    told = ["Near their level", *(near or ["  nothing"])]
    if order_list.drift:
        told += ["", "Set-ups and practice", *[f"- {drift.sentence}" for drift in order_list.drift]]
    if order_list.notes:
        told += ["", "Notes", *[f"- {note}" for note in order_list.notes]]
    return "\n".join(told)


def _supplier_row(total: OrderTotal) -> Row:
    cost, name = f"{total.total:.2f}", Word(total.name, "wait")
    return Row(f"supplier:{total.supplier}", (Word("FROM", "wait"), name, "", "", "", cost))


def _line_row(line: OrderLine) -> Row:
    seen = line.outlook
    days = "" if seen.days_of_cover is None else f"{seen.days_of_cover}d"
    told = f"{line.packs} x {line.pack_size}"
    buy = Word(told, "act") if line.packs else Word("left out", "quiet")
    return Row(
        line.offer,
        (
            buy,
            seen.name,
            _amount(line.units, seen.unit),
            _amount(seen.on_hand, seen.unit),
            days,
            f"{line.cost:.2f}",
        ),
    )


def _coming_row(order: OpenOrder, line: OpenLine) -> Row:
    state = "placed" if not line.arrived else "part delivered"
    word = Word(state, "act") if line.outstanding else Word("delivered", "quiet")
    return Row(
        f"{order.order_id} {line.offer_id}",
        (
            word,
            line.name,
            f"{line.arrived}/{line.ordered}",
            f"{order.expected_by:%d %b}",
            order.supplier,
        ),
    )


def _why(line: OrderLine, planned: int) -> str:
    told = [f"{line.outlook.name}: {line.why_now}", line.why_this, f"Left out: {line.if_left_out}"]
    if line.caution:
        told.insert(0, f"CAUTION: {line.caution}")
    if planned != line.packs:
        told.insert(0, f"You changed it from {counted(planned, 'pack')}, which the list proposes.")
    return NEWLINES.join(told)


def _total_words(total: OrderTotal) -> str:
    told = [f"{total.name}: goods {total.goods:.2f}, shipping {total.shipping:.2f}"]
    return NEWLINES.join(told + ([total.note] if total.note else []))


def _amount(quantity: int, unit: str) -> str:
    return str(quantity) if unit == "each" else f"{quantity} {unit}"
