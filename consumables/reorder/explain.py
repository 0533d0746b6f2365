"""The sentences of the order list: why now, why this pack, what happens without it."""

from decimal import Decimal

from consumables.reorder.outlook import Outlook
from consumables.reorder.purchases import Need, PlanLine, SupplierOrder

AMOUNTS = {"each": "", "ml": " ml", "g": " g"}


def why_now(line: PlanLine, need: Need, seen: Outlook, order: SupplierOrder, target: float) -> str:
    """Why an item is bought this week."""
    if line.packs == line.fills_minimum:
        return (
            f"Not due yet; added because {order.supplier.name} takes no order under "
            f"{order.supplier.minimum_order:.2f} and of what it sells this would run out first."
        )
    if need.position >= line.level:
        return "Not under its level here; ordered early because its order goes cheaper with others."
    there = (
        f"{amount(seen.usable, seen.unit)} usable and {amount(seen.on_order, seen.unit)} on order"
    )
    level = amount(line.level, seen.unit)
    if line.level == seen.keep_at_least:
        return f"{there} are under the shop's own floor of {level}. {_asked(seen)}"
    return (
        f"{there} are under the level of {level}; buying packs of {line.offer.pack_size} at that "
        f"level serves at least {100 * target:.4g} of 100 services. {_asked(seen)}"
    )


def why_this(line: PlanLine) -> str:
    """Why this pack and this supplier."""
    offer = line.offer
    said = f"{line.packs} x {offer.pack_size} from {offer.supplier_id} cost {line.cost:.2f}"
    if offer.break_packs and line.packs >= offer.break_packs:
        said += f", at the price from {offer.break_packs} packs on"
    if line.moved_from:
        return (
            f"{said}; a separate order to {line.moved_from} would cost more with its shipping "
            "and minimum order."
        )
    if line.past_cap:
        return f"{said}; it is the smallest pack."
    if line.too_late:
        return f"{said}; the cheaper offer {line.too_late} may come after the shelf is bare."
    if line.second is None:
        return f"{said}; nothing else was to choose from."
    other, cost = line.second
    return f"{said}; the next best is offer {other.offer_id} of {other.supplier_id} for {cost:.2f}."


def if_left_out(seen: Outlook) -> str:
    """What happens if the line is struck."""
    by_visits = seen.booked_need + seen.forecast_need > 0
    asked = "services that need it would be served" if by_visits else "asked for would be there"
    served = f"about {100 * seen.service_now:.0f} of 100 {asked}"
    if seen.bare_on is None:
        short = 100 * (1 - seen.calm_now)
        return (
            f"At the expected pace nothing is short before {seen.until.isoformat()}, but with a "
            f"chance of {short:.0f} in 100 something is; {served}."
        )
    first = ""
    if seen.visit_on:
        first = f", and visit {seen.visit_at_risk} on {seen.visit_on.isoformat()} is the first hit"
    return f"The shelf is expected to be bare on {seen.bare_on.isoformat()}{first}; {served}."


def caution(line: PlanLine, need: Need, seen: Outlook) -> str:
    """What to look out for, or ''."""
    if line.past_cap:
        return (
            f"Only about {amount(need.cap or 0, seen.unit)} more is expected to be used before "
            "the use-by date; it is bought all the same because booked visits need it."
        )
    if line.capped:
        return (
            f"Held at {amount(line.units, seen.unit)}: more would pass its use-by date unused. "
            "Expect to order again sooner."
        )
    share = need.usable_share.get(line.offer.offer_id, 1.0)
    if share < 0.9:
        lost = amount(round(line.offer.pack_size * (1 - share)), seen.unit)
        return f"About {lost} of an opened pack is left when its period after opening ends."
    return ""


def order_note(order: SupplierOrder) -> str:
    """What the supplier's minimum or fee did to an order, or ''."""
    minimum = order.supplier.minimum_order
    if order.below_minimum:
        return (
            f"{order.below_minimum:.2f} is missing to the minimum order of {minimum:.2f}, and "
            "nothing more is worth buying here this week. Ask the supplier, or wait."
        )
    added = sum(line.fills_minimum for line in order.lines)
    if added:
        return f"{added} packs were added to reach the minimum order of {minimum:.2f}."
    missing = (order.supplier.free_shipping_from or Decimal(0)) - order.goods
    return f"Shipping is free from {missing:.2f} more." if order.shipping and missing > 0 else ""


def drift_note(service: str, item: str, set_up: int, practice: float, seen: int) -> str:
    """One sentence on a set-up that practice has left."""
    return (
        f"The set-up of {service} says {set_up} of {item}; {seen} close-outs show "
        f"{practice:.1f} a service. The forecast follows practice: put one of the two right."
    )


def shelf_note(name: str, unit: str, past: int, will_expire: float) -> str:
    """What is wrong with the stock of one item, or ''."""
    said = []
    if past:
        said.append(
            f"{amount(past, unit)} of {name} is past its use-by date and not counted: discard it."
        )
    if will_expire >= 1:
        said.append(
            f"About {amount(round(will_expire), unit)} of {name} on hand is expected to pass its "
            "use-by date unused."
        )
    return " ".join(said)


def late_note(name: str, unit: str, late: int, given_up: int) -> str:
    """What is overdue of one item, or ''."""
    said = []
    if late:
        said.append(f"{amount(late, unit)} of {name} on order is overdue: chase it.")
    if given_up:
        said.append(
            f"{amount(given_up, unit)} of {name} on order is more than two weeks overdue and no "
            "longer counted on: chase it or close that order."
        )
    return " ".join(said)


def amount(quantity: float, unit: str) -> str:
    """A quantity as it is read aloud: 3.4, 12, 60 ml."""
    said = f"{quantity:.0f}" if quantity >= 9.95 else f"{quantity:.1f}".removesuffix(".0")
    return said + AMOUNTS.get(unit, "")


def _asked(seen: Outlook) -> str:
    parts = (
        ("visits in the book", seen.booked_need),
        ("visits not booked yet", seen.forecast_need),
        ("use outside visits", seen.loose_need),
    )
    told = [f"{amount(need, seen.unit)} for {what}" for what, need in parts if need >= 0.05]
    return (
        f"Until the next order comes ({seen.until.isoformat()} at the latest) it takes about "
        f"{', '.join(told) or 'nothing'}."
    )
