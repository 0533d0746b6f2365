"""Which pack of whom: the line of one item, looked at by itself."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from consumables.items.catalogue import Offer
from consumables.reorder.purchases import Need, PlanLine, price_of, rank


def packs_for(need: Need, offer: Offer, units: int) -> int:
    """Fewest packs that hold `units`, or those of the price break if they cost no more.

    Never more than the cap holds, which may be none.
    """
    packs = -(-units // offer.pack_size)
    most = packs if need.cap is None else need.cap // offer.pack_size
    more = offer.break_packs or 0
    if packs < more and price_of(offer, more) <= price_of(offer, packs):
        packs = more if need.cap is None or more <= most else packs
    return packs if need.cap is None else min(packs, most)


def best_line(need: Need, offers: Sequence[Offer]) -> tuple[PlanLine | None, str]:
    """The line of one item, or why a due item has none ('' if it is not due)."""
    if not offers:
        due = need.position < need.level_unsold
        return None, "No supplier offers it." if due else ""
    lift = max(need.levels[offer.offer_id] for offer in offers) - need.position
    if lift <= 0:
        return None, ""
    ranked = sorted(_costs(need, offers, lift), key=lambda pair: (pair[0], rank(pair[1])))
    if not ranked:
        return _past_cap(need, offers)
    offer = ranked[0][1]
    short = need.levels[offer.offer_id] - need.position
    if short <= 0:
        return None, ""
    second = bought(need, ranked[1][1]) if len(ranked) > 1 else None
    shown = (second.offer, second.cost) if second else None
    return replace(bought(need, offer), second=shown), ""


def bought(need: Need, offer: Offer) -> PlanLine:
    """The item bought by this offer up to its level, at least one pack unless capped."""
    level = need.levels[offer.offer_id]
    packs = packs_for(need, offer, max(1, level - need.position))
    capped = need.position + packs * offer.pack_size < level
    return PlanLine(offer=offer, packs=packs, level=level, capped=capped)


def moved(
    line: PlanLine, need: Need, offers: Iterable[Offer], suppliers: Sequence[str]
) -> PlanLine | None:
    """The same item from one of `suppliers`, if that reaches its level within its cap."""
    if line.past_cap:
        return None
    allowed = (offer for offer in offers if offer.supplier_id in suppliers)
    found = [other for offer in allowed if (other := bought(need, offer)).packs]
    found = [other for other in found if not other.capped]
    if not found:
        return None
    best = min(found, key=lambda other: (other.cost, rank(other.offer)))
    origin = line.moved_from or line.offer.supplier_id
    return replace(best, moved_from=origin, second=(line.offer, line.cost))


def one_more(
    line: PlanLine | None, need: Need, offers: Sequence[Offer], longest_cover: float
) -> tuple[float, PlanLine] | None:
    """Days of cover now, and the line with one pack more; None if that pack is not worth having.

    It is not when it would be past the cap, or last longer than `longest_cover` days.
    """
    if not offers or need.daily_use <= 0 or (line and line.past_cap):
        return None
    if line is None:
        offer = min(offers, key=lambda o: (o.price / o.pack_size, rank(o)))
        line = PlanLine(offer=offer, packs=0, level=need.levels[offer.offer_id])
    more = replace(line, packs=line.packs + 1, fills_minimum=line.fills_minimum + 1)
    within = need.cap is None or more.units <= need.cap
    useful = need.position + more.units <= longest_cover * need.daily_use
    cover = (need.position + line.units) / need.daily_use
    return (cover, more) if within and useful else None


def _costs(need: Need, offers: Iterable[Offer], units: int) -> Iterable[tuple[Decimal, Offer]]:
    """Price of the packs for `units`, per unit of them that will be used."""
    for offer in offers:
        packs = packs_for(need, offer, units)
        if packs:
            share = max(need.usable_share.get(offer.offer_id, 1.0), 0.01)
            used = Decimal(packs * offer.pack_size) * Decimal(f"{share:.4f}")
            yield price_of(offer, packs) / min(used, Decimal(units)), offer


def _past_cap(need: Need, offers: Iterable[Offer]) -> tuple[PlanLine | None, str]:
    offer = min(offers, key=lambda o: (o.pack_size, o.price, rank(o)))
    short = need.booked_level - need.position
    if short <= 0:
        return None, (
            f"The smallest pack holds {offer.pack_size}, of which only {need.cap} can be counted "
            "on to be used before the use-by date; no booked visit needs it."
        )
    packs = -(-short // offer.pack_size)
    level = need.levels[offer.offer_id]
    return PlanLine(offer=offer, packs=packs, level=level, past_cap=True), ""
