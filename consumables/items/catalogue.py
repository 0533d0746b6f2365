"""What a shop owns, buys, offers and has agreed with itself: the plain values of its catalogue."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from consumables.items.item import Item


@dataclass(frozen=True)
class Supplier:
    """Who sells to the shop; `lead_days` is a pmf {whole days: probability} that sums to 1."""

    supplier_id: str
    name: str
    lead_days: dict[int, float]
    minimum_order: Decimal = Decimal(0)
    shipping_fee: Decimal = Decimal(0)
    free_shipping_from: Decimal | None = None


@dataclass(frozen=True)
class Offer:
    """One pack at a price; from `break_packs` packs on, every pack costs `break_price`."""

    offer_id: str
    supplier_id: str
    item_id: str
    pack_size: int  # in the item's unit
    price: Decimal  # per pack
    break_packs: int | None = None
    break_price: Decimal | None = None
    gtin: str = ""  # bar-code number, 14 digits, or empty


@dataclass(frozen=True)
class Service:
    """What is done to a client."""

    service_id: str
    name: str
    minutes: int
    price: Decimal = Decimal(0)


@dataclass(frozen=True)
class SetUpLine:
    """One item of a set-up; `once_per_visit` items are not doubled by a second service."""

    service_id: str
    item_id: str
    quantity: int  # in the item's unit
    once_per_visit: bool = False


@dataclass(frozen=True)
class CalendarWord:
    """A word of the shop's own calendar and the service it stands for."""

    word: str
    service_id: str


@dataclass(frozen=True)
class OpeningStock:
    """What lay on the shelf on the day the shop began to count."""

    item_id: str
    lot: str
    quantity: int  # in the item's unit
    use_by: date | None = None
    opened_on: date | None = None
    unit_cost: Decimal = Decimal(0)
    tagged: bool = False  # kept things already in rotation: one ready piece for each


@dataclass(frozen=True)
class ShopSettings:
    """What the shop has decided for itself."""

    name: str = "My shop"
    zone: str = "UTC"  # IANA time zone of the shop
    currency: str = "EUR"  # ISO 4217
    rule_book: str = "strict-majority"
    technicians: tuple[str, ...] = ()  # initials
    review_days: int = 7
    order_weekday: int = 0  # Monday = 0
    target_service: float = 0.99  # share of services served from the shelf


@dataclass(frozen=True)
class Catalogue:
    """The whole catalogue of one shop, as read from its folder."""

    settings: ShopSettings = field(default_factory=ShopSettings)
    items: tuple[Item, ...] = ()
    suppliers: tuple[Supplier, ...] = ()
    offers: tuple[Offer, ...] = ()
    services: tuple[Service, ...] = ()
    set_ups: tuple[SetUpLine, ...] = ()
    words: tuple[CalendarWord, ...] = ()
    opening_stock: tuple[OpeningStock, ...] = ()
