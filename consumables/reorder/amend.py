"""The order list with somebody's own packs in it: what it costs now, supplier by supplier."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from consumables.items.catalogue import Offer, Supplier
from consumables.reorder.order_list import OrderLine, OrderList, OrderTotal
from consumables.reorder.purchases import missing_to_minimum, price_of, shipping_of


def amended(
    order_list: OrderList,
    packs: Mapping[str, int],
    offers: Sequence[Offer],
    suppliers: Sequence[Supplier],
) -> OrderList:
    """The same list with `packs` by offer id; price breaks, shipping and minimum orders counted.

    Offers that are not on the list are passed over; 0 packs stay on it as a line that costs
    nothing. What speaks for a line is not reckoned anew.
    """
    by_id = {offer.offer_id: offer for offer in offers}
    lines = tuple(_line(line, packs.get(line.offer), by_id) for line in order_list.lines)
    sellers = {supplier.supplier_id: supplier for supplier in suppliers}
    totals = tuple(_total(total, lines, sellers[total.supplier]) for total in order_list.totals)
    return replace(order_list, lines=lines, totals=totals)


def _line(line: OrderLine, packs: int | None, offers: Mapping[str, Offer]) -> OrderLine:
    if packs is None or packs == line.packs:
        return line
    cost = price_of(offers[line.offer], packs)
    return replace(line, packs=packs, units=packs * line.pack_size, cost=cost)


def _total(total: OrderTotal, lines: Sequence[OrderLine], supplier: Supplier) -> OrderTotal:
    mine = (line.cost for line in lines if line.supplier == total.supplier)
    goods = sum(mine, Decimal(0))
    if goods == total.goods:
        return total
    shipping, short = shipping_of(supplier, goods), missing_to_minimum(supplier, goods)
    return replace(
        total,
        goods=goods,
        shipping=shipping,
        total=goods + shipping,
        below_minimum=short,
        note=f"{short:.2f} is missing to the minimum order." if short else "",
    )
