"""What a scanner has just read: one of our own pieces, or a pack that somebody delivered."""

from dataclasses import dataclass
from datetime import date, datetime

from consumables.desk.opening import Desk
from consumables.errors import NotFound, Refused
from consumables.items.catalogue import Offer
from consumables.items.scan import Scanned, read_scan
from consumables.items.tags import is_tag, piece_of
from consumables.ledger.orders import OrderBalance, OrderedLine
from consumables.ledger.pieces import PieceBalance
from consumables.words import PieceState, amount, counted


@dataclass(frozen=True)
class PieceSeen:
    """One of our own pieces, with where it stands in a sentence."""

    piece_id: str
    item_id: str
    name: str
    state: str
    sentence: str


@dataclass(frozen=True)
class Arrival:
    """A pack at the door: all that its label, the offers and the orders on their way tell of it.

    `units` in the item's own unit, None where the label does not say how many; `doubts` are
    sentences that a person must settle.
    """

    item_id: str
    name: str
    offer_id: str
    pack_size: int
    order_id: str = ""  # empty: it is on no order on its way
    outstanding: int = 0
    units: int | None = None
    use_by: date | None = None
    lot: str = ""
    doubts: tuple[str, ...] = ()


def seen(desk: Desk, text: str, order_id: str = "") -> PieceSeen | Arrival:
    """What a scanned text names in this shop; raises Refused or NotFound with a sentence."""
    return piece_seen(desk, text) if is_tag(text) else arrival(desk, text, order_id)


def piece_seen(desk: Desk, text: str) -> PieceSeen:
    """The piece whose tag was scanned, and where it stands."""
    piece_id = piece_of(text)
    with desk.store.reading() as session:
        piece = next((p for p in session.pieces() if p.piece_id == piece_id), None)
    if piece is None:
        raise NotFound(f"No piece {piece_id} was ever tagged in this shop; is it from elsewhere?")
    name = desk.name_of(piece.item_id)
    sentence = f"{piece_id} ({name}): {_standing(desk, piece)}"
    return PieceSeen(piece_id, piece.item_id, name, piece.state, sentence)


def arrival(desk: Desk, text: str, order_id: str = "") -> Arrival:
    """The pack whose label was scanned, with the oldest order on its way that it may belong to.

    Raises Refused where the label cannot be read, NotFound where no offer has its number.
    """
    said = read_scan(text, desk.today())
    offers = _offers_of(desk, said)
    with desk.store.reading() as session:
        orders: list[OrderBalance] = session.marks("order")
    line = _line_of(orders, {offer.offer_id for offer in offers}, order_id)
    offer = next((o for o in offers if line and o.offer_id == line[1].offer_id), offers[0])
    return Arrival(
        offer.item_id,
        desk.name_of(offer.item_id),
        offer.offer_id,
        offer.pack_size,
        line[0] if line else "",
        line[1].outstanding if line else 0,
        _units(said, offer),
        said.use_by,
        said.lot,
        said.doubts,
    )


def on_the_way(desk: Desk, text: str, order_id: str = "") -> Arrival:
    """As `arrival`, for a pack that was ordered; NotFound where it is on no order on its way."""
    found = arrival(desk, text, order_id)
    if not found.order_id:
        where = f"order {order_id}" if order_id else "no order on its way"
        raise NotFound(
            f"{found.name} is {'not on' if order_id else 'on'} {where}; take it in as bought: "
            "`consumables order bought --scan TEXT`."
        )
    return found


def _offers_of(desk: Desk, said: Scanned) -> list[Offer]:
    if not said.gtin:
        raise Refused("The label names no bar-code number (01 or 02); take it in by hand.")
    offers = [offer for offer in desk.catalogue.offers if offer.gtin == said.gtin]
    if not offers:
        raise NotFound(
            f"No offer of this shop has the bar code {said.gtin}. Take it in by hand, and write "
            "the number into column gtin of offers.csv, so that it is known the next time."
        )
    if len({offer.item_id for offer in offers}) > 1:
        names = ", ".join(sorted({offer.item_id for offer in offers}))
        raise Refused(f"The bar code {said.gtin} stands at several items ({names}); say which.")
    return offers


def _line_of(
    orders: list[OrderBalance], offers: set[str], order_id: str
) -> tuple[str, OrderedLine] | None:
    """The oldest order with something of it to come; else the oldest with it at all."""
    lines = [
        (order.order_id, line)
        for order in sorted(orders, key=lambda order: (order.placed_on, order.order_id))
        if order_id in ("", order.order_id)
        for line in order.lines
        if line.offer_id in offers
    ]
    return next((found for found in lines if found[1].outstanding), next(iter(lines), None))


def _units(said: Scanned, offer: Offer) -> int | None:
    if said.count is None:
        return None
    return said.count if said.pieces else said.count * offer.pack_size


def _standing(desk: Desk, piece: PieceBalance) -> str:
    uses = counted(piece.uses, "use")
    blood = " It met blood: the blood-level cycle." if piece.blood_level else ""
    own = f" Client {piece.client}'s own." if piece.client else ""
    match piece.state:
        case PieceState.READY:
            where = "ready for the next client"
        case PieceState.SOILED:
            where = "soiled; wash it first"
        case PieceState.CLEANED:
            where = "cleaned, not disinfected yet"
        case PieceState.IN_TREATMENT:
            where = f"in treatment{_until(desk, piece.ready_at)}"
        case _:
            where = "retired; it never comes back"
    return f"{where}; {uses} so far.{own}{blood}"


def _until(desk: Desk, ready_at: datetime | None) -> str:
    return f" until {ready_at.astimezone(desk.zone):%H:%M}" if ready_at else ""


def pack_words(found: Arrival, unit: str) -> str:
    """What the label said, in one sentence."""
    told = [f"{amount(found.units, unit)}" if found.units is not None else "how many: not said"]
    told += [f"use-by {found.use_by}"] if found.use_by else []
    told += [f"lot {found.lot}"] if found.lot else []
    return f"{found.name}: {', '.join(told)}."
