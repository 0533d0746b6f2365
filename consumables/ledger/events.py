"""What can happen at a nail desk, in the past tense; nothing written here is ever changed.

Quantities are whole numbers of the item's own unit (pieces, millilitres or grams).
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from consumables.ledger import wash_events
from consumables.ledger.wash_events import WashEvent
from consumables.words import Category, Outcome, Route

# What happens at the sink stands in a module of its own; these are asked for everywhere.
Soiled = wash_events.Soiled
Cleaned = wash_events.Cleaned
TreatmentStarted = wash_events.TreatmentStarted
Treated = wash_events.Treated
Pouched = wash_events.Pouched
SolutionMixed = wash_events.SolutionMixed
SolutionDiscarded = wash_events.SolutionDiscarded
PieceRetired = wash_events.PieceRetired


@dataclass(frozen=True)
class LotReceived:
    """One delivery of one item came onto the shelf."""

    item_id: str
    lot_id: str
    quantity: int
    use_by: date | None = None
    opened_on: date | None = None
    supplier_lot: str = ""
    unit_cost: Decimal = Decimal(0)
    order_id: str = ""


@dataclass(frozen=True)
class LotOpened:
    """A container was opened; from here its period after opening counts."""

    item_id: str
    lot_id: str
    opened_on: date
    use_by: date | None  # the earlier of the printed date and the period after opening


@dataclass(frozen=True)
class PieceTagged:
    """One unit of a lot became a kept thing with a tag of its own."""

    item_id: str
    lot_id: str
    piece_id: str
    ready: bool = False  # False: wash and disinfect before the first client
    client: str = ""  # bound to one client where the book allows kits


@dataclass(frozen=True)
class UseRecorded:
    """Something was used on a client: units drawn from a lot, or one piece."""

    item_id: str
    visit_id: str
    service_id: str
    quantity: int
    lot_id: str = ""  # units leave this lot ...
    piece_id: str = ""  # ... or this piece counts one use more and is soiled


@dataclass(frozen=True)
class OutsideUseRecorded:
    """Something was used outside the rules or the counted stock; told, flagged, never netted."""

    item_id: str
    visit_id: str
    service_id: str
    quantity: int
    because: str
    piece_id: str = ""


@dataclass(frozen=True)
class UsedLoose:
    """Something was used that belongs to no visit: a jar mixed, a spill, a breakage."""

    item_id: str
    lot_id: str
    quantity: int
    because: str


@dataclass(frozen=True)
class Discarded:
    """Something went in the bin. With a visit its units were drawn by that visit's use already;
    without one they leave the lot now."""

    item_id: str
    quantity: int
    because: str
    route: Route = Route.BIN
    lot_id: str = ""
    visit_id: str = ""
    piece_id: str = ""


@dataclass(frozen=True)
class SurfaceFitted:
    """A fresh surface went onto a core."""

    item_id: str  # the surface's own item
    lot_id: str
    piece_id: str  # the core
    visit_id: str


@dataclass(frozen=True)
class SurfaceStripped:
    """A used surface came off its core."""

    item_id: str
    piece_id: str
    visit_id: str


@dataclass(frozen=True)
class VisitClosed:
    """A visit's card was closed, once."""

    visit_id: str
    outcome: Outcome
    service_ids: tuple[str, ...] = ()
    contaminated: bool = False


@dataclass(frozen=True)
class StockCounted:
    """Somebody looked: this is what one lot really holds."""

    item_id: str
    lot_id: str
    counted: int
    expected: int  # what the ledger said a moment before
    usable: int | None = None  # less than counted: the surplus is held until it is explained


@dataclass(frozen=True)
class OrderPlaced:
    """One order went to one supplier; lines are (offer_id, item_id, packs, units, pack price)."""

    order_id: str
    supplier_id: str
    placed_on: date
    lines: tuple[tuple[str, str, int, int, Decimal], ...]


@dataclass(frozen=True)
class DeliveryReceived:
    """Part or all of one line of an order arrived."""

    order_id: str
    offer_id: str
    item_id: str
    units: int


@dataclass(frozen=True)
class OrderClosed:
    """Nothing more will come of an order."""

    order_id: str
    because: str


@dataclass(frozen=True)
class LotDoubted:
    """An older copy of the shop was put back: what this lot holds is not known until counted."""

    item_id: str
    lot_id: str


@dataclass(frozen=True)
class ShopRestored:
    """An older copy of the shop was put in its place; `missing_from` is the first entry lost."""

    missing_from: int
    because: str


@dataclass(frozen=True)
class BookChosen:
    """Another rule book was put in force."""

    book: str
    title: str
    edition: str


@dataclass(frozen=True)
class VerdictLoosened:
    """The shop treats an item less strictly than its book, on a citation somebody signed for."""

    item_id: str
    category: Category
    route: Route
    because: str
    citation: str
    signed_by: str
    signed_on: date


@dataclass(frozen=True)
class VerdictRestored:
    """The shop's own stricter or looser verdict ended; the book in force speaks again."""

    item_id: str
    because: str


@dataclass(frozen=True)
class VerdictTightened:
    """The shop decided to treat an item more strictly than its book does."""

    item_id: str
    because: str


@dataclass(frozen=True)
class ClientCodesPurged:
    """Codes of clients were taken off the visits that started before `until` (aware)."""

    until: datetime
    visits: int  # that still carried one


@dataclass(frozen=True)
class EntryCorrected:
    """An earlier entry was put right. `reversed` undoes what it did; `settled` says a flagged
    use has been looked into."""

    entry_id: int
    how: str  # reversed | settled
    because: str


Event = (
    LotReceived
    | LotOpened
    | PieceTagged
    | UseRecorded
    | OutsideUseRecorded
    | UsedLoose
    | Discarded
    | SurfaceFitted
    | SurfaceStripped
    | WashEvent
    | VisitClosed
    | StockCounted
    | OrderPlaced
    | DeliveryReceived
    | OrderClosed
    | LotDoubted
    | ShopRestored
    | BookChosen
    | VerdictTightened
    | VerdictLoosened
    | VerdictRestored
    | ClientCodesPurged
    | EntryCorrected
)


@dataclass(frozen=True)
class Entry:
    """One line of the ledger: an event with its when, who and job."""

    entry_id: int
    at: datetime  # UTC
    who: str  # initials
    job_key: str
    event: Event
