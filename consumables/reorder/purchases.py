"""The words of buying: what is needed, the lines of an order, one order for each supplier."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from consumables.items.catalogue import Offer, Supplier


@dataclass(frozen=True)
class Need:
    """One item to plan for; quantities in its own unit.

    `levels` gives the level s for each offer id (only these offers may be bought), and
    `level_unsold` the level where nobody offers the item. `booked_level` is the position that by
    itself serves the visits in the book. `cap` is the most worth buying now, None without a
    limit. `bridge` is the position that holds out until an offer is delivered (0 if absent), and
    `lead` the latest day of its delivery. `usable_share` is the part of an opened pack that is
    used in time (1 if absent).
    """

    item: str
    position: int  # usable on hand and on order
    levels: Mapping[str, int]
    booked_level: int = 0
    daily_use: float = 0.0
    cap: int | None = None
    bridge: Mapping[str, int] = field(default_factory=dict)
    lead: Mapping[str, int] = field(default_factory=dict)
    usable_share: Mapping[str, float] = field(default_factory=dict)
    level_unsold: int = 0


@dataclass(frozen=True)
class PlanLine:
    """So many packs of one offer; `second` is the next best offer with the cost of its packs."""

    offer: Offer
    packs: int
    level: int
    capped: bool = False  # held under its level by its cap
    past_cap: bool = False  # booked visits need more than is used before the use-by date
    fills_minimum: int = 0  # packs added for the supplier's minimum order
    moved_from: str = ""  # supplier it would have come from without fees and minimum orders
    too_late: str = ""  # cheaper offer that would come too late
    second: tuple[Offer, Decimal] | None = None

    @property
    def units(self) -> int:
        return self.packs * self.offer.pack_size

    @property
    def cost(self) -> Decimal:
        return price_of(self.offer, self.packs)


@dataclass(frozen=True)
class SupplierOrder:
    """One order to one supplier."""

    supplier: Supplier
    lines: tuple[PlanLine, ...]

    @property
    def goods(self) -> Decimal:
        return sum((line.cost for line in self.lines), Decimal(0))

    @property
    def shipping(self) -> Decimal:
        return shipping_of(self.supplier, self.goods)

    @property
    def total(self) -> Decimal:
        return self.goods + self.shipping

    @property
    def below_minimum(self) -> Decimal:
        """What is missing to the supplier's minimum order."""
        return missing_to_minimum(self.supplier, self.goods)


@dataclass(frozen=True)
class OrderPlan:
    """The orders, by supplier id, and the items that are due but cannot be bought, with why."""

    orders: tuple[SupplierOrder, ...]
    unmet: tuple[tuple[str, str], ...]

    @property
    def total(self) -> Decimal:
        return sum((order.total for order in self.orders), Decimal(0))


def price_of(offer: Offer, packs: int) -> Decimal:
    """Price of whole packs; from `break_packs` on every pack costs `break_price`."""
    reached = offer.break_packs is not None and packs >= offer.break_packs
    if reached and offer.break_price is not None:
        return offer.break_price * packs
    return offer.price * packs


def shipping_of(supplier: Supplier, goods: Decimal) -> Decimal:
    """Shipping fee on goods of this value; nothing for an empty order."""
    free = supplier.free_shipping_from is not None and goods >= supplier.free_shipping_from
    return Decimal(0) if free or not goods else supplier.shipping_fee


def missing_to_minimum(supplier: Supplier, goods: Decimal) -> Decimal:
    """What an order of this value lacks to the supplier's minimum; nothing if it is empty."""
    return max(Decimal(0), supplier.minimum_order - goods) if goods else Decimal(0)


def rank(offer: Offer) -> tuple[str, str]:
    """How ties between offers are broken: supplier id, then offer id."""
    return offer.supplier_id, offer.offer_id
