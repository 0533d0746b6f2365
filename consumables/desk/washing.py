"""The wash-up: what is soiled, what is in the bath and for how long, what is ready again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from consumables.closeout import treatment
from consumables.desk.jars import freshest
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import (
    Event,
    PieceRetired,
)
from consumables.ledger.pieces import PieceBalance
from consumables.store.shop_store import Session
from consumables.words import PieceState, Route, counted

CAUTIONS = (
    "Clean first: soil stops disinfectant working.",
    "Everything stays wet for the full label time; the clock restarts when a piece is added.",
    "Look at each piece before use: rust, pitting or a bent tip means retire it.",
)


@dataclass(frozen=True)
class WashPiece:
    """One piece on its way round the sink."""

    piece_id: str
    item_id: str
    name: str
    state: PieceState
    route: Route  # where it goes after cleaning
    uses: int
    blood_level: bool
    ready_at: datetime | None  # shop's zone
    next_step: str  # clean | treat | wait | take out | -


def wash_list(desk: Desk, everything: bool = False) -> list[WashPiece]:
    """Pieces that are not ready, nearest to ready last; with `everything` also the ready ones."""
    with desk.store.reading() as session:
        pieces = session.pieces()
    resting = () if everything else (PieceState.READY, PieceState.RETIRED)
    rows = [_piece(desk, piece) for piece in pieces if piece.state not in resting]
    return sorted(rows, key=lambda row: (list(PieceState).index(row.state), row.name, row.piece_id))


def clean(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """Washed, rinsed and dried; not yet disinfected."""

    def decide(session: Session) -> list[Event]:
        pieces = _named(session, piece_ids)
        return [event for piece in pieces for event in treatment.clean(piece)]

    return desk.do(
        "clean", f"{counted(len(piece_ids), 'piece')} cleaned; treatment comes next.", decide
    )


def treat(desk: Desk, piece_ids: Sequence[str], blood_level: bool = False) -> Receipt:
    """Each piece into its own route: bath, wipe, spray, laundry, steriliser or closed store.

    Raises Refused where the bath has no fresh jar or a piece needs the blood-level cycle.
    """
    told: list[str] = []

    def decide(session: Session) -> list[Event]:
        events: list[Event] = []
        for route, pieces in _by_route(desk, _named(session, piece_ids)).items():
            jar = freshest(session) if route is Route.IMMERSE else None
            label = treatment.label_minutes(jar, None)
            minutes = treatment.contact_minutes(route, label, desk.book.parameters)
            told.append(f"{len(pieces)} to {route} for {minutes} min")
            events += treatment.treat(pieces, route, minutes, desk.now(), jar, blood_level)
        return events

    receipt = desk.do("treat", "In treatment.", decide)
    return Receipt(receipt.job_key, "In treatment: " + "; ".join(told) + ".", cautions=CAUTIONS[:2])


def wipe_down(desk: Desk, piece_ids: Sequence[str] = ()) -> Receipt:
    """Clean and wipe in one go what never goes into a bath: lamps, handpieces, towels to wash.

    Without names, everything soiled of that sort. It may serve again once its wet time has run.
    """
    found: list[PieceBalance] = []

    def decide(session: Session) -> list[Event]:
        pieces = _named(session, piece_ids) if piece_ids else session.pieces()
        found.extend(piece for piece in pieces if _dries_alone(desk, piece))
        if not found:
            raise Refused("Nothing soiled is waiting that is wiped, sprayed or laundered.")
        events = [event for piece in found for event in treatment.clean(piece)]
        for route, some in _by_route(desk, found).items():
            minutes = treatment.contact_minutes(route, None, desk.book.parameters)
            events += treatment.treat(some, route, minutes, desk.now())
        return events

    receipt = desk.do("wipe-down", "Wiped down.", decide)
    minutes = desk.book.parameters.contact_minutes
    sentence = f"{counted(len(found), 'piece')} wiped down; wet for {minutes} min or as labelled."
    return Receipt(receipt.job_key, sentence, cautions=CAUTIONS[:2])


def take_out(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """Out of treatment and ready; refused before the contact time has run."""

    def decide(session: Session) -> list[Event]:
        pieces = _named(session, piece_ids)
        return [event for piece in pieces for event in treatment.finish(piece, desk.now())]

    return desk.do("take-out", f"{counted(len(piece_ids), 'piece')} ready.", decide)


def wash_again(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """A dropped or doubted piece starts the whole wash again."""

    def decide(session: Session) -> list[Event]:
        pieces = _named(session, piece_ids)
        return [event for piece in pieces for event in treatment.back_to_the_sink(piece)]

    return desk.do("wash-again", f"{counted(len(piece_ids), 'piece')} back to the sink.", decide)


def retire(desk: Desk, piece_id: str, because: str) -> Receipt:
    """A worn, pitted, bent or broken piece never comes back."""
    if not because.strip():
        raise Refused("Say why the piece is retired: rust, pitting, blunt, broken, lost ...")

    def decide(session: Session) -> list[Event]:
        (piece,) = _named(session, [piece_id])
        return [PieceRetired(piece.item_id, piece_id, because)]

    return desk.do("retire", f"{piece_id} retired: {because}.", decide)


def _named(session: Session, piece_ids: Sequence[str]) -> list[PieceBalance]:
    held = {piece.piece_id: piece for piece in session.pieces()}
    unknown = [name for name in piece_ids if name not in held]
    if unknown or not piece_ids:
        raise NotFound(
            f"No piece is tagged {', '.join(unknown) or '(none named)'}; `consumables wash --all`."
        )
    return [held[name] for name in piece_ids]


def _by_route(desk: Desk, pieces: Sequence[PieceBalance]) -> dict[Route, list[PieceBalance]]:
    routes: dict[Route, list[PieceBalance]] = {}
    for piece in pieces:
        routes.setdefault(_route(desk, piece), []).append(piece)
    return routes


def _dries_alone(desk: Desk, piece: PieceBalance) -> bool:
    soiled = piece.state is PieceState.SOILED and not piece.blood_level
    return soiled and _route(desk, piece) in treatment.DRIES_ALONE


def _route(desk: Desk, piece: PieceBalance) -> Route:
    route = treatment.own_route(desk.verdicts[piece.item_id])
    # A client's own kit of single-use things is cleaned and stored closed, never bathed.
    return Route.STORE_CLEAN if route in (Route.BIN, Route.SHARPS) else route


def _piece(desk: Desk, piece: PieceBalance) -> WashPiece:
    ready_at = piece.ready_at.astimezone(desk.zone) if piece.ready_at else None
    return WashPiece(
        piece.piece_id,
        piece.item_id,
        desk.name_of(piece.item_id),
        piece.state,
        _route(desk, piece),
        piece.uses,
        piece.blood_level,
        ready_at,
        _next_step(piece.state, ready_at, desk.now()),
    )


def _next_step(state: PieceState, ready_at: datetime | None, now: datetime) -> str:
    match state:
        case PieceState.SOILED:
            return "clean"
        case PieceState.CLEANED:
            return "treat"
        case PieceState.IN_TREATMENT:
            return "wait" if ready_at and now < ready_at else "take out"
        case _:
            return "-"
