"""From what is needed to what is bought where: whole packs, price breaks, minimum orders, fees.

`plan` is the one boundary: needs in, plan out. Its rules, in this sequence:

1. The home offer of an item is the one whose whole packs for four weeks' use (or for what is
   missing, if that is more) cost least per unit that will be used. Ties go to the lower supplier
   id, then the lower offer id.
2. An item is due when its position (usable on hand and on order) is under the level s of its home
   offer; then the fewest packs that bring it to s are ordered (R, s, nQ). An all-units price
   break is taken when more packs cost no more. If what is there does not hold out until the home
   offer comes, the next cheapest that comes in time is bought instead, else the fastest, up to
   the same level, so that the home offer is in time again the week after.
3. Nothing is bought past its cap (what is used before its use-by date). Where even the smallest
   pack is past it, packs are bought only as far as booked visits need them, and the line says so.
4. A line, or all lines of a supplier, moves to a supplier already ordered from while that makes
   goods, fees and what is missing to minimum orders cheaper together; the best move first.
5. An order under its supplier's minimum is filled pack by pack with the item that would run out
   first, never past a cap or a year's use. If the minimum is still missed, the order says so.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from consumables.items.catalogue import Offer, Supplier
from consumables.reorder.best_offer import best_line, moved, one_more
from consumables.reorder.purchases import (
    Need,
    OrderPlan,
    PlanLine,
    SupplierOrder,
    missing_to_minimum,
    rank,
    shipping_of,
)

LONGEST_COVER_DAYS = 365.0
Lines = dict[str, PlanLine]


def plan(
    needs: Sequence[Need], offers: Sequence[Offer], suppliers: Sequence[Supplier]
) -> OrderPlan:
    """Plan one week's orders by the rules above; the sequence of the arguments changes nothing."""
    by_id = {supplier.supplier_id: supplier for supplier in suppliers}
    wanted = {need.item: need for need in sorted(needs, key=lambda need: need.item)}
    by_item: dict[str, list[Offer]] = {item: [] for item in wanted}
    for offer in sorted(offers, key=rank):
        need = wanted.get(offer.item_id)
        if need and offer.supplier_id in by_id and offer.offer_id in need.levels:
            by_item[need.item].append(offer)
    found = {item: best_line(need, by_item[item]) for item, need in wanted.items()}
    lines = {item: line for item, (line, _) in found.items() if line}
    lines = _consolidated(lines, wanted, by_item, by_id)
    for supplier in sorted({line.offer.supplier_id for line in lines.values()}):
        lines = _filled(lines, wanted, by_item, by_id[supplier])
    unmet = tuple((item, why) for item, (_, why) in found.items() if why and item not in lines)
    return OrderPlan(_orders(lines, by_id), unmet)


def _consolidated(
    lines: Lines,
    needs: Mapping[str, Need],
    offers: Mapping[str, Sequence[Offer]],
    suppliers: Mapping[str, Supplier],
) -> Lines:
    """Rule 4: take the move that saves most until none saves anything."""
    while True:
        goods = _goods(lines)
        saved = [
            (_saving(lines, move, goods, suppliers), sorted(move), move)
            for move in _moves(lines, needs, offers)
        ]
        best = min(saved, key=lambda rated: (-rated[0], rated[1]), default=None)
        if best is None or best[0] <= 0:
            return lines
        lines = lines | best[2]


def _moves(
    lines: Lines, needs: Mapping[str, Need], offers: Mapping[str, Sequence[Offer]]
) -> list[Lines]:
    used = sorted(_goods(lines))
    moves: list[Lines] = []
    for supplier in used:
        mine = [item for item, line in lines.items() if line.offer.supplier_id == supplier]
        others = [other for other in used if other != supplier]
        tried = {item: moved(lines[item], needs[item], offers[item], others) for item in mine}
        possible = {item: line for item, line in tried.items() if line}
        moves += [{item: line} for item, line in possible.items()]
        if len(possible) == len(mine) > 1:
            moves.append(possible)
    return moves


def _saving(
    lines: Lines, move: Lines, goods: Mapping[str, Decimal], suppliers: Mapping[str, Supplier]
) -> Decimal:
    """How much less goods, fees and what is missing to minimum orders come to after a move."""
    after = dict(goods)
    for item, line in move.items():
        after[lines[item].offer.supplier_id] -= lines[item].cost
        after[line.offer.supplier_id] += line.cost
    changed = [one for one in after if after[one] != goods[one]]
    before = sum((_outlay(suppliers[one], goods[one]) for one in changed), Decimal(0))
    return before - sum((_outlay(suppliers[one], after[one]) for one in changed), Decimal(0))


def _outlay(supplier: Supplier, goods: Decimal) -> Decimal:
    return goods + shipping_of(supplier, goods) + missing_to_minimum(supplier, goods)


def _goods(lines: Lines) -> dict[str, Decimal]:
    goods: dict[str, Decimal] = {}
    for line in lines.values():
        supplier = line.offer.supplier_id
        goods[supplier] = goods.get(supplier, Decimal(0)) + line.cost
    return goods


def _filled(
    lines: Lines,
    needs: Mapping[str, Need],
    offers: Mapping[str, Sequence[Offer]],
    supplier: Supplier,
) -> Lines:
    """Rule 5 for one supplier."""
    own = {
        item: [offer for offer in found if offer.supplier_id == supplier.supplier_id]
        for item, found in offers.items()
        if item not in lines or lines[item].offer.supplier_id == supplier.supplier_id
    }
    while missing_to_minimum(supplier, _goods(lines)[supplier.supplier_id]):
        tried = (
            one_more(lines.get(item), needs[item], found, LONGEST_COVER_DAYS)
            for item, found in own.items()
        )
        soonest = min(
            (more for more in tried if more),
            key=lambda more: (more[0], more[1].offer.item_id),
            default=None,
        )
        if soonest is None:
            break
        lines = lines | {soonest[1].offer.item_id: soonest[1]}
    return lines


def _orders(lines: Lines, suppliers: Mapping[str, Supplier]) -> tuple[SupplierOrder, ...]:
    each = [lines[item] for item in sorted(lines)]
    return tuple(
        SupplierOrder(suppliers[one], tuple(line for line in each if line.offer.supplier_id == one))
        for one in sorted(_goods(lines))
    )
