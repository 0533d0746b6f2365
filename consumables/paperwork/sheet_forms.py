"""Which sheets the desk reads, and which columns each of them has."""

from dataclasses import dataclass


@dataclass(frozen=True)
class SheetForm:
    """One sheet: the columns that every row must fill, and those that may be blank or missing."""

    name: str  # the file is <name>.csv, the workbook's sheet is <name>
    required: tuple[str, ...]
    optional: tuple[str, ...] = ()

    @property
    def columns(self) -> tuple[str, ...]:
        return self.required + self.optional


def _form(name: str, required: str, optional: str = "") -> SheetForm:
    return SheetForm(name, tuple(required.split()), tuple(optional.split()))


ITEMS = _form(
    "items",
    "item name unit",
    "kind dose dispensed launderable immersible electric sharp do_not_reuse label_says_washable"
    " grits grading shelf_life_days after_opening_days contact_minutes max_uses keep_at_least",
)
PARTS = _form("parts", "item part material", "porous removable touches_client supplied_as")
SUPPLIERS = _form(
    "suppliers", "supplier name lead_days", "minimum_order shipping_fee free_shipping_from"
)
OFFERS = _form(
    "offers",
    "offer supplier item pack_size price",
    "pack_unit break_packs break_price gtin",
)
SERVICES = _form("services", "service name minutes", "price")
SET_UPS = _form("set_ups", "service item quantity", "once_per_visit")
CALENDAR_WORDS = _form("calendar_words", "word service")
OPENING_STOCK = _form("opening_stock", "item lot quantity", "use_by opened_on unit_cost tagged")
CATALOGUE = (
    ITEMS, PARTS, SUPPLIERS, OFFERS, SERVICES, SET_UPS, CALENDAR_WORDS, OPENING_STOCK,
)  # fmt: skip

SHOP = _form("shop", "setting value")  # in a workbook; in a folder it is shop.toml
SETTINGS = (
    "name", "zone", "currency", "rule_book", "technicians", "review_days", "order_weekday",
    "target_service",
)  # fmt: skip

PAST_VISITS = _form(
    "past_visits", "visit starts_on services", "client technician outcome booked_on"
)
PAST_USE = _form("past_use", "visit item quantity", "service")
PAST_LOOSE_USE = _form("past_loose_use", "on item quantity because")
PAST_DELIVERIES = _form(
    "past_deliveries",
    "arrived_on item quantity",
    "order supplier ordered_on use_by lot unit_cost",
)
HISTORY = (PAST_VISITS, PAST_USE, PAST_LOOSE_USE, PAST_DELIVERIES)

APPOINTMENTS = _form(
    "appointments",
    "visit starts_on",
    "services summary minutes client technician status booked_on",
)
