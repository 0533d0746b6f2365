"""Wash-up: soiled, cleaned, wet for the whole contact time, and only then ready again."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from consumables.errors import Refused
from consumables.items.item import Item
from consumables.items.rulebook import Parameters
from consumables.items.verdict import Verdict
from consumables.ledger.events import Cleaned, Event, Treated, TreatmentStarted
from consumables.ledger.marks import JarMark
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.wash_events import SentBack
from consumables.words import PieceState, Route

WET_ROUTES = frozenset({Route.IMMERSE, Route.WIPE, Route.SPRAY})


# Routes after which a piece simply dries where it lies; from a bath it must be lifted and rinsed.
DRIES_ALONE = frozenset({Route.WIPE, Route.SPRAY})
# Routes that need no bath: done in one go, though laundry and closed store are taken out by hand.
NO_BATH = DRIES_ALONE | {Route.LAUNDER, Route.STORE_CLEAN}


def has_dried(piece: PieceBalance, now: datetime) -> bool:
    """Was the piece wiped, sprayed, laundered or stored, and has its wet time run?"""
    waiting = piece.state is PieceState.IN_TREATMENT and piece.route in DRIES_ALONE
    return waiting and (piece.ready_at is None or now >= piece.ready_at)


def own_route(verdict: Verdict) -> Route:
    """The route of the kept part: the core's own where the surface was stripped."""
    return verdict.core_route or verdict.route if verdict.route is Route.STRIP else verdict.route


def contact_minutes(route: Route, label_minutes: int | None, book: Parameters) -> int:
    """Minutes a piece stays wet: the product's label where the book lets it rule, else the book.

    Source of the ten-minute fallback: 18VAC41-20-270(B), Tenn. R. 0440-02-.13, 820 IAC 3-1-15(b);
    a label time outranks it (FIFRA: use per label). Washing and storing have no wet time.
    """
    if route not in WET_ROUTES:
        return 0
    if label_minutes is not None and book.label_overrides_minutes:
        return label_minutes
    return max(book.contact_minutes, label_minutes or 0)


def clean(piece: PieceBalance) -> list[Event]:
    """Wash, rinse and dry first: soil stops disinfectant working."""
    return [Cleaned(piece.item_id, piece.piece_id)]


def treat(
    pieces: Iterable[PieceBalance],
    route: Route,
    minutes: int,
    now: datetime,
    blood_level: bool = False,
) -> list[Event]:
    """Pieces are wiped, sprayed, laundered or stored closed, each where it lies.

    What goes under in a bath is `bath.put_in`, what goes into the steriliser `steriliser.load`;
    both are refused here. `now` is aware.
    """
    if route in _NOT_ALONE:
        raise Refused(_NOT_ALONE[route])
    # In UTC: local time runs an hour twice when the clocks go back.
    ready_at = now.astimezone(UTC) + timedelta(minutes=minutes)
    return [
        TreatmentStarted(p.item_id, p.piece_id, route, minutes, ready_at, blood_level)
        for p in pieces
    ]


def finish(piece: PieceBalance, now: datetime) -> list[Event]:
    """Out of treatment, never before the contact time has run; from a bath that is lifting,
    rinsing and drying in one step."""
    if piece.state is PieceState.IN_TREATMENT and piece.route is Route.STERILISE:
        raise Refused(
            f"Piece {piece.piece_id} comes out with its load, {piece.load_id or 'an older one'}: "
            "unload it and say what the indicator shows."
        )
    if piece.state is PieceState.IN_TREATMENT and piece.ready_at and now < piece.ready_at:
        left = -(-int((piece.ready_at - now).total_seconds()) // 60)
        raise Refused(
            f"Piece {piece.piece_id} must stay wet {left} minute{'s' if left != 1 else ''} more; "
            "the clock runs again from the start whenever something is added to the bath."
        )
    how = "lifted, rinsed, dried" if piece.route is Route.IMMERSE else "dried where it lay"
    return [Treated(piece.item_id, piece.piece_id, how)]


def back_to_the_sink(piece: PieceBalance, because: str = "dropped or in doubt") -> list[Event]:
    """A dropped or doubted piece starts the whole wash again."""
    return [SentBack(piece.item_id, piece.piece_id, because)]


def label_minutes(jar: JarMark | None, product: Item | None) -> int | None:
    """The wet time on the label of what is in the jar, if a jar or a product is named."""
    if jar is not None:
        return jar.contact_minutes
    return product.contact_minutes if product is not None else None


_NOT_ALONE = {
    Route.IMMERSE: "It goes under in a bath: mix and date a fresh jar, then put it in.",
    Route.STERILISE: "It goes into the steriliser with a load: say method, temperature, minutes.",
}
