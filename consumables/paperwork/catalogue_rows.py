"""One row of a catalogue sheet becomes one plain value: an item, an offer, a line of a set-up.

A row that does not hold gets its complaint and a stand-in value; the folder is refused whole
afterwards, so no stand-in ever leaves the shelf.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal

from consumables.items.catalogue import (
    CalendarWord,
    Offer,
    OpeningStock,
    Service,
    SetUpLine,
    Supplier,
)
from consumables.items.item import Item, Part
from consumables.paperwork import cells
from consumables.paperwork.cells import MOST_DAYS, CellError, known_id, whole
from consumables.paperwork.rows import Row
from consumables.paperwork.units import pack_unit, whole_units
from consumables.words import Grading, Unit

_DAYS = whole(1, MOST_DAYS)


@dataclass(frozen=True)
class KnownIds:
    """The ids that other rows may speak of."""

    items: Collection[str] = ()
    suppliers: Collection[str] = ()
    services: Collection[str] = ()


def item_from(row: Row) -> Item:
    """A row of items.csv; its parts come from parts.csv."""
    return Item(
        item_id=row.need("item", cells.identity, ""),
        name=row.need("name", cells.text(), ""),
        kind=row.take("kind", cells.text(), ""),
        immersible=row.take("immersible", cells.yes_no, None),
        dispensed=row.take("dispensed", cells.yes_no, False),
        launderable=row.take("launderable", cells.yes_no, False),
        electric=row.take("electric", cells.yes_no, False),
        sharp=row.take("sharp", cells.yes_no, False),
        do_not_reuse=row.take("do_not_reuse", cells.yes_no, False),
        label_says_washable=row.take("label_says_washable", cells.yes_no, False),
        grits=row.take("grits", cells.grits, ()),
        grading=row.take("grading", cells.member(Grading), Grading.UNSTATED),
        unit=row.need("unit", cells.member(Unit), Unit.EACH),
        dose=row.take("dose", whole(1), 1),
        shelf_life_days=row.take("shelf_life_days", _DAYS, None),
        after_opening_days=row.take("after_opening_days", _DAYS, None),
        contact_minutes=row.take("contact_minutes", whole(1, 1440), None),
        max_uses=row.take("max_uses", whole(1), None),
        keep_at_least=row.take("keep_at_least", whole(0), 0),
    )


def part_from(row: Row, known: KnownIds) -> tuple[str, Part]:
    """A row of parts.csv: the item it belongs to, and the part."""
    item_id = row.need("item", known_id(known.items, "items"), "")
    part = Part(
        name=row.need("part", cells.text(), ""),
        material=row.need("material", cells.text(), ""),
        porous=row.take("porous", cells.yes_no, None),
        removable=row.take("removable", cells.yes_no, False),
        touches_client=row.take("touches_client", cells.yes_no, True),
        supplied_as=row.take("supplied_as", known_id(known.items, "items"), ""),
    )
    if part.supplied_as and part.supplied_as == item_id:
        row.complain("supplied_as", "Another item is expected: nothing is a refill of itself.")
    return item_id, part


def supplier_from(row: Row) -> Supplier:
    """A row of suppliers.csv."""
    return Supplier(
        supplier_id=row.need("supplier", cells.identity, ""),
        name=row.need("name", cells.text(), ""),
        lead_days=row.need("lead_days", cells.lead_days, {}),
        minimum_order=row.take("minimum_order", cells.money, Decimal(0)),
        shipping_fee=row.take("shipping_fee", cells.money, Decimal(0)),
        free_shipping_from=row.take("free_shipping_from", cells.money, None),
    )


def offer_from(row: Row, known: KnownIds, units: Mapping[str, Unit]) -> Offer:
    """A row of offers.csv, its pack turned into whole units of the item (`units` by item id)."""
    offer = Offer(
        offer_id=row.need("offer", cells.identity, ""),
        supplier_id=row.need("supplier", known_id(known.suppliers, "suppliers"), ""),
        item_id=row.need("item", known_id(known.items, "items"), ""),
        pack_size=_pack_size(row, units),
        price=row.need("price", cells.price, Decimal(0)),
        break_packs=row.take("break_packs", whole(2, 100_000), None),
        break_price=row.take("break_price", cells.price, None),
        gtin=row.take("gtin", cells.gtin, ""),
    )
    _refuse_odd_break(row, offer)
    return offer


def _pack_size(row: Row, units: Mapping[str, Unit]) -> int:
    amount = row.need("pack_size", cells.amount, None)
    unit = units.get(row.cells.get("item", ""))
    stated_in = row.take("pack_unit", pack_unit, unit.value if unit else "")
    if amount is None or unit is None or not stated_in:
        return 0
    try:
        return whole_units(amount, stated_in, unit)
    except CellError as problem:
        row.complain("pack_unit" if stated_in != unit.value else "pack_size", str(problem))
        return 0


def _refuse_odd_break(row: Row, offer: Offer) -> None:
    if row.blank("break_packs") != row.blank("break_price"):
        column = "break_packs" if row.blank("break_packs") else "break_price"
        row.complain(column, "break_packs and break_price are expected together or not at all.")
    if offer.break_price is not None and offer.price and offer.break_price >= offer.price:
        row.complain("break_price", "A price below the pack's usual price is expected.")


def service_from(row: Row) -> Service:
    """A row of services.csv."""
    return Service(
        service_id=row.need("service", cells.identity, ""),
        name=row.need("name", cells.text(), ""),
        minutes=row.need("minutes", whole(1, 1440), 1),
        price=row.take("price", cells.money, Decimal(0)),
    )


def set_up_line_from(row: Row, known: KnownIds) -> SetUpLine:
    """A row of set_ups.csv."""
    return SetUpLine(
        service_id=row.need("service", known_id(known.services, "services"), ""),
        item_id=row.need("item", known_id(known.items, "items"), ""),
        quantity=row.need("quantity", whole(1), 1),
        once_per_visit=row.take("once_per_visit", cells.yes_no, False),
    )


def calendar_word_from(row: Row, known: KnownIds) -> CalendarWord:
    """A row of calendar_words.csv."""
    return CalendarWord(
        word=row.need("word", cells.text(60), ""),
        service_id=row.need("service", known_id(known.services, "services"), ""),
    )


def opening_stock_from(row: Row, known: KnownIds, units: Mapping[str, Unit]) -> OpeningStock:
    """A row of opening_stock.csv; only things counted in pieces can be tagged."""
    stock = OpeningStock(
        item_id=row.need("item", known_id(known.items, "items"), ""),
        lot=row.need("lot", cells.identity, ""),
        quantity=row.need("quantity", whole(1), 1),
        use_by=row.take("use_by", cells.iso_date, None),
        opened_on=row.take("opened_on", cells.iso_date, None),
        unit_cost=row.take("unit_cost", cells.money, Decimal(0)),
        tagged=row.take("tagged", cells.yes_no, False),
    )
    if stock.tagged and units.get(stock.item_id, Unit.EACH) is not Unit.EACH:
        row.complain("tagged", "no is expected: only what is counted in pieces carries a tag.")
    return stock
