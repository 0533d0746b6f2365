"""A very small invented shop that tests share; what a test does not name does not matter to it."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from consumables.desk.opening import Desk
from consumables.items.catalogue import (
    Catalogue,
    Offer,
    Service,
    SetUpLine,
    ShopSettings,
    Supplier,
)
from consumables.items.item import Item, Part
from consumables.ledger.appointments import Appointment
from consumables.ledger.events import Event, LotReceived, PieceTagged
from consumables.words import Unit

NOON = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)


class Clock:
    """A clock that stands still until it is told to move."""

    def __init__(self) -> None:
        self.at = NOON

    def __call__(self) -> datetime:
        return self.at

    def passes(self, minutes: float) -> None:
        self.at += timedelta(minutes=minutes)


def solid(name: str, material: str, porous: bool, **facts: object) -> Item:
    """An item of one material."""
    return Item(name, name, parts=(Part("body", material, porous),), **facts)  # type: ignore[arg-type]


ITEMS = (
    solid("board", "abrasive on cardboard", True, kind="emery board"),
    solid("nipper", "stainless steel", False, kind="nipper", immersible=True),
    solid("strip", "abrasive paper", True, kind="grit sheet"),
    Item(
        "core",
        "core",
        kind="nail file",
        immersible=True,
        parts=(
            Part("core", "stainless steel", False),
            Part("surface", "abrasive paper", True, removable=True, supplied_as="strip"),
        ),
    ),
    Item("gloves", "gloves", kind="glove", parts=(Part("body", "nitrile", False),)),
    solid("lamp", "plastic, electric", False, kind="curing lamp", immersible=False, electric=True),
    Item("acetone", "acetone", dispensed=True, unit=Unit.MILLILITRE, dose=5),
    Item(
        "concentrate",
        "concentrate",
        dispensed=True,
        unit=Unit.MILLILITRE,
        contact_minutes=10,
        after_opening_days=90,
    ),
    Item("puzzle", "nail file 100/180", kind="nail file"),
)

CATALOGUE = Catalogue(
    settings=ShopSettings(name="A test shop", technicians=("AB", "CD")),
    items=ITEMS,
    suppliers=(Supplier("north", "North", {2: 0.5, 3: 0.5}, Decimal("20")),),
    offers=(
        Offer("board-50", "north", "board", 50, Decimal("12.50")),
        Offer("strip-20", "north", "strip", 20, Decimal("9.90")),
        Offer("acetone-l", "north", "acetone", 1000, Decimal("8.40")),
        Offer("nipper-1", "north", "nipper", 1, Decimal("14.00")),
    ),
    services=(
        Service("manicure", "Manicure", 45, Decimal("30")),
        Service("lamp", "Only under the lamp", 10),
        Service("pedicure", "Pedicure", 60, Decimal("40")),
    ),
    set_ups=(
        SetUpLine("manicure", "board", 1),
        SetUpLine("manicure", "nipper", 1),
        SetUpLine("manicure", "acetone", 5),
        SetUpLine("manicure", "gloves", 2, once_per_visit=True),
        SetUpLine("lamp", "lamp", 1),
        SetUpLine("pedicure", "core", 1),
        SetUpLine("pedicure", "gloves", 2, once_per_visit=True),
    ),
)

SHELF: tuple[Event, ...] = (
    LotReceived("board", "board-old", 3, date(2026, 3, 31)),
    LotReceived("board", "board-new", 50, date(2027, 3, 31)),
    LotReceived("board", "board-stale", 4, date(2026, 3, 3)),
    LotReceived("strip", "strip-1", 5),
    LotReceived("gloves", "gloves-1", 20),
    LotReceived("acetone", "acetone-1", 500),
    LotReceived("concentrate", "concentrate-1", 500, date(2027, 1, 1)),
    LotReceived("nipper", "nipper-lot", 3),
    LotReceived("core", "core-lot", 2),
    LotReceived("lamp", "lamp-lot", 1),
    PieceTagged("lamp", "lamp-lot", "lamp-01", ready=True),
    *(PieceTagged("nipper", "nipper-lot", f"nipper-0{n}", ready=True) for n in (1, 2)),
    *(PieceTagged("core", "core-lot", f"core-0{n}", ready=True) for n in (1, 2)),
)


def fill(desk: Desk, catalogue: Catalogue = CATALOGUE) -> None:
    """Write the test shop's catalogue and put its opening stock on the shelf."""
    with desk.store.writing() as session:
        session.write_settings(catalogue.settings)
        session.write_catalogue(catalogue)
        session.append(desk.job("open-shelf", "Opening stock."), SHELF)
    desk.forget()


def put_in_book(desk: Desk, visit_id: str, services: tuple[str, ...], client: str = "c01") -> None:
    """One appointment that has just ended."""
    starts = desk.clock() - timedelta(hours=1)
    ends = desk.clock() - timedelta(minutes=5)
    found = Appointment(visit_id, starts, ends, services, client, "AB", booked_on=date(2026, 2, 20))
    with desk.store.writing() as session:
        session.write_appointments([found], "test")
