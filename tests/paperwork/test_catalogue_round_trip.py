"""Whatever a shop may own, its catalogue written down as sheets reads back as it was."""

from datetime import date
from decimal import Decimal
from zoneinfo import available_timezones

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consumables.errors import BadFile
from consumables.items.catalogue import (
    CalendarWord,
    Catalogue,
    Offer,
    OpeningStock,
    Service,
    SetUpLine,
    ShopSettings,
    Supplier,
)
from consumables.items.item import Item, Part
from consumables.paperwork.catalogue_folder import read_catalogue
from consumables.paperwork.cells import clean
from consumables.paperwork.shop_settings import WEEKDAYS
from consumables.words import Grading, Unit

# ------------------------------------------------------------------ writing a catalogue down


def said(value: object) -> str:
    """One value as the text of one cell."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case dict():
            return " ".join(f"{day}:{chance}" for day, chance in value.items())
        case tuple():
            return "/".join(map(str, value))
        case date():
            return value.isoformat()
    return str(value)


def table(columns: dict[str, str], things: list) -> list[list[str]]:
    """Sheet rows; `columns` gives the attribute behind each column."""
    rows = [[said(getattr(thing, name)) for name in columns.values()] for thing in things]
    return [list(columns), *rows]


def same(names: str, **other: str) -> dict[str, str]:
    return other | {name: name for name in names.split()}


def as_sheets(shop: Catalogue) -> dict[str, list[list[str]]]:
    settings = shop.settings
    parts = [(item.item_id, part) for item in shop.items for part in item.parts]
    part_columns = same("material porous removable touches_client supplied_as", part="name")
    return {
        "shop": [
            ["setting", "value"],
            ["name", settings.name],
            ["zone", settings.zone],
            ["technicians", ";".join(settings.technicians)],
            ["order_weekday", WEEKDAYS[settings.order_weekday]],
            ["target_service", str(settings.target_service)],
        ],
        "items": table(
            same(
                "name kind unit dose dispensed launderable immersible electric sharp do_not_reuse"
                " label_says_washable grits grading shelf_life_days after_opening_days"
                " contact_minutes max_uses keep_at_least",
                item="item_id",
            ),
            list(shop.items),
        ),
        "parts": [
            ["item", *part_columns],
            *([i, *(said(getattr(p, a)) for a in part_columns.values())] for i, p in parts),
        ],
        "suppliers": table(
            same("name lead_days minimum_order shipping_fee free_shipping_from",
                 supplier="supplier_id"),
            list(shop.suppliers),
        ),
        "offers": table(
            same("pack_size price break_packs break_price gtin", offer="offer_id",
                 supplier="supplier_id", item="item_id"),
            list(shop.offers),
        ),
        "services": table(same("name minutes price", service="service_id"), list(shop.services)),
        "set_ups": table(
            same("quantity once_per_visit", service="service_id", item="item_id"),
            list(shop.set_ups),
        ),
        "calendar_words": table(same("word", service="service_id"), list(shop.words)),
        "opening_stock": table(
            same("lot quantity use_by opened_on unit_cost tagged", item="item_id"),
            list(shop.opening_stock),
        ),
    }  # fmt: skip


# ------------------------------------------------------------------ any catalogue at all

TEXTS = (
    st.text(
        st.characters(exclude_categories=("C", "Z"), include_characters=" "),
        min_size=1,
        max_size=12,
    )
    .map(clean)
    .filter(lambda text: text and all(c.isprintable() for c in text))
)
IDS = TEXTS.filter(lambda text: ";" not in text)
NAMED = st.lists(IDS, min_size=1, max_size=3, unique_by=str.casefold)
MONEY = st.decimals(0, 9999, places=2)
MAYBE_DATE = st.none() | st.dates(date(1990, 1, 1), date(2190, 12, 31))
MAYBE_BOOL = st.none() | st.booleans()
LEADS = st.sampled_from([{3: 1.0}, {2: 0.5, 3: 0.3, 5: 0.2}, {0: 0.125, 9: 0.875}])
ZONES = st.sampled_from(sorted(available_timezones() & {"UTC", "Asia/Tokyo", "America/Chicago"}))


@st.composite
def catalogues(draw) -> Catalogue:
    item_ids, suppliers, services = draw(NAMED), draw(NAMED), draw(NAMED)
    an_item, a_service = st.sampled_from(item_ids), st.sampled_from(services)

    def part(name: str, item_id: str) -> Part:
        refill = draw(st.sampled_from(["", *(i for i in item_ids if i != item_id)]))
        return Part(
            name, draw(TEXTS), draw(MAYBE_BOOL), draw(st.booleans()), draw(st.booleans()), refill
        )

    def item(item_id: str) -> Item:
        return Item(
            item_id,
            draw(TEXTS),
            draw(TEXTS | st.just("")),
            tuple(part(name, item_id) for name in draw(NAMED)),
            draw(MAYBE_BOOL),
            *(draw(st.booleans()) for _ in range(6)),
            draw(st.lists(st.integers(8, 20_000), max_size=3).map(tuple)),
            draw(st.sampled_from(Grading)),
            draw(st.sampled_from(Unit)),
            draw(st.integers(1, 50)),
            *(draw(st.none() | st.integers(1, 900)) for _ in range(4)),
            draw(st.integers(0, 99)),
        )

    def offer(offer_id: str) -> Offer:
        price = draw(st.decimals(1, 9999, places=2))
        cheaper = draw(st.none() | st.just(price / 2))
        return Offer(
            offer_id,
            draw(st.sampled_from(suppliers)),
            draw(an_item),
            draw(st.integers(1, 900)),
            price,
            None if cheaper is None else 3,
            cheaper,
            draw(st.sampled_from(["", "04006381333931", "00036000291452"])),
        )

    def stock(lot: str) -> OpeningStock:
        of = draw(st.sampled_from(items))
        return OpeningStock(
            of.item_id,
            lot,
            draw(st.integers(1, 900)),
            draw(MAYBE_DATE),
            draw(MAYBE_DATE),
            draw(MONEY),
            of.unit is Unit.EACH,
        )

    items = tuple(item(item_id) for item_id in item_ids)
    return Catalogue(
        ShopSettings(draw(TEXTS), draw(ZONES), technicians=draw(st.sampled_from([(), ("AB", "Ç")])),
                     order_weekday=draw(st.integers(0, 6)),
                     target_service=draw(st.sampled_from([0.9, 0.975]))),
        items,
        tuple(Supplier(s, draw(TEXTS), draw(LEADS), draw(MONEY), draw(MONEY),
                       draw(st.none() | MONEY)) for s in suppliers),
        tuple(offer(offer_id) for offer_id in draw(NAMED)),
        tuple(Service(s, draw(TEXTS), draw(st.integers(1, 1440)), draw(MONEY)) for s in services),
        tuple(SetUpLine(s, draw(an_item), draw(st.integers(1, 99)), draw(st.booleans()))
              for s in services),
        tuple(CalendarWord(word, draw(a_service)) for word in draw(NAMED)),
        tuple(stock(lot) for lot in draw(NAMED)),
    )  # fmt: skip


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(shop=catalogues())
def test_any_catalogue_written_as_csv_or_as_xlsx_reads_back_equal(shop, pens, tmp_path_factory):
    sheets = as_sheets(shop)
    place = tmp_path_factory.mktemp("written")
    workbook = pens["workbook"](place / "shop.xlsx", sheets)
    assert read_catalogue(workbook) == shop
    folder = pens["folder"](place / "shop", sheets)
    assert read_catalogue(folder) == shop


def test_half_a_cent_of_price_survives_the_round_trip(pens, tmp_path):
    shop = Catalogue(
        items=(Item("a", "A"),),
        suppliers=(Supplier("s", "S", {1: 1.0}),),
        offers=(Offer("o", "s", "a", 1, Decimal("0.0050")),),
    )
    assert read_catalogue(pens["folder"](tmp_path / "shop", as_sheets(shop))) == shop


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), cell=st.text(max_size=8) | st.text("0123456789.-:/; ", max_size=8))
def test_any_text_in_any_cell_is_understood_or_refused_whole(data, cell, sheets, pens, tmp_path):
    name = data.draw(st.sampled_from(sorted(sheets.keys() - {"shop"})))
    row = data.draw(st.integers(1, len(sheets[name]) - 1))
    column = data.draw(st.integers(0, len(sheets[name][0]) - 1))
    spoilt = [list(line) for line in sheets[name]]
    spoilt[row][column] = cell.encode("utf-8", "ignore").decode("utf-8")
    folder = pens["folder"](tmp_path / "shop", sheets | {name: spoilt})
    said = f"{name} was understood"
    try:
        read_catalogue(folder)
    except BadFile as refusal:
        said = str(refusal)
    assert name in said or "listed in" in said
