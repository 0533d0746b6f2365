"""Which pack of whom: the line of one item, looked at by itself."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from math import ceil

from consumables.items.catalogue import Offer
from consumables.reorder.purchases import Need, PlanLine, price_of, rank

COMPARED_DAYS = 28


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
    if need.position >= max(need.levels[offer.offer_id] for offer in offers):
        return None, ""
    ranked = ranked_offers(need, offers)
    if not ranked:
        return _past_cap(need, offers)
    first = next((offer for offer in ranked if in_time(need, offer)), None)
    chosen = first or min(ranked, key=lambda offer: need.lead.get(offer.offer_id, 0))
    level = max(need.levels[chosen.offer_id], need.levels[ranked[0].offer_id])
    if need.position >= level:
        return None, ""
    line = bought(need, chosen, level)
    others = [bought(need, offer, level) for offer in ranked if offer != chosen]
    late = ranked[0].offer_id if chosen != ranked[0] else ""
    second = (others[0].offer, others[0].cost) if others else None
    return replace(line, too_late=late, second=second), ""


def ranked_offers(need: Need, offers: Iterable[Offer]) -> list[Offer]:
    """Offers whose packs may be bought, by what whole packs for four weeks cost.

    Compared is the cost per unit that will be used of the packs that cover four weeks' use, or
    what is missing now if that is more, so that the answer does not change from week to week.
    """
    missing = max(need.levels.values()) - need.position
    units = max(1, missing, ceil(COMPARED_DAYS * need.daily_use))
    rated = []
    for offer in offers:
        packs = packs_for(need, offer, units)
        if packs:
            share = max(need.usable_share.get(offer.offer_id, 1.0), 0.01)
            used = Decimal(packs * offer.pack_size) * Decimal(f"{share:.4f}")
            rated.append((price_of(offer, packs) / min(used, Decimal(units)), rank(offer), offer))
    return [offer for _, _, offer in sorted(rated, key=lambda rate: rate[:2])]


def in_time(need: Need, offer: Offer) -> bool:
    """Whether what is there holds out until this offer is delivered."""
    return need.position >= need.bridge.get(offer.offer_id, 0)


def bought(need: Need, offer: Offer, level: int) -> PlanLine:
    """The item bought by this offer up to a level, at least one pack unless capped."""
    level = max(level, need.levels[offer.offer_id])
    packs = packs_for(need, offer, max(1, level - need.position))
    capped = need.position + packs * offer.pack_size < level
    return PlanLine(offer=offer, packs=packs, level=level, capped=capped)


def moved(
    line: PlanLine, need: Need, offers: Iterable[Offer], suppliers: Sequence[str]
) -> PlanLine | None:
    """The same item from one of `suppliers`, if that comes in time and reaches the level."""
    if line.past_cap:
        return None
    now = need.bridge.get(line.offer.offer_id, 0)
    found = [
        bought(need, offer, line.level)
        for offer in offers
        if offer.supplier_id in suppliers
        and (in_time(need, offer) or need.bridge.get(offer.offer_id, 0) <= now)
    ]
    found = [other for other in found if other.packs and not other.capped]
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
