"""The wash-up: what is soiled, what is in the bath and for how long, what is ready again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from consumables.closeout import bath, treatment
from consumables.closeout.bath import ULTRASONIC_MINUTES
from consumables.closeout.inspection import with_place
from consumables.closeout.steriliser import pouch_past
from consumables.desk.jars import freshest, named_jar
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.items.cautions import cautions_at
from consumables.items.wear import after_inspection
from consumables.ledger.events import Event, PieceRetired
from consumables.ledger.pieces import PieceBalance
from consumables.store.shop_store import Session
from consumables.words import PieceState, Route, counted


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
    next_step: str  # clean | treat | load | wait | take out | unload | again | -
    jar_id: str = ""  # the bath it lies in
    load_id: str = ""  # the load of the steriliser it is or was in
    keep_until: date | None = None  # last good day of a dated pouch

    @property
    def load_in(self) -> str:
        """The load it is in now; nothing where that load has come out."""
        return self.load_id if self.state is PieceState.IN_TREATMENT else ""


def cautions() -> tuple[str, ...]:
    """What to mind at the sink, step by step."""
    return tuple(dict.fromkeys((*cautions_at("washing"), *cautions_at("keeping"))))


def wash_list(desk: Desk, everything: bool = False) -> list[WashPiece]:
    """Pieces that are not ready, nearest to ready last; with `everything` also the ready ones."""
    with desk.store.reading() as session:
        pieces = session.pieces()
    resting = () if everything else ("-",)
    rows = [row for piece in pieces if (row := _piece(desk, piece)).next_step not in resting]
    return sorted(rows, key=lambda row: (list(PieceState).index(row.state), row.name, row.piece_id))


def clean(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """Washed, rinsed and dried; not yet disinfected."""

    def decide(session: Session) -> list[Event]:
        pieces = named(session, piece_ids)
        return [event for piece in pieces for event in treatment.clean(piece)]

    return desk.do(
        "clean", f"{counted(len(piece_ids), 'piece')} cleaned; treatment comes next.", decide
    )


def ultrasonic(desk: Desk, piece_ids: Sequence[str], minutes: int = ULTRASONIC_MINUTES) -> Receipt:
    """Cleaned pieces ran in the ultrasonic bath; they still need disinfecting or sterilising."""

    def decide(session: Session) -> list[Event]:
        found = freshest(session, "ultrasonic")
        return bath.ultrasonic(named(session, piece_ids), found, minutes, desk.now())

    ran = f"{counted(len(piece_ids), 'piece')} ran {minutes} min in the ultrasonic bath"
    return desk.do("ultrasonic", f"{ran}; treatment comes next.", decide)


def treat(
    desk: Desk, piece_ids: Sequence[str], blood_level: bool = False, jar_id: str = ""
) -> Receipt:
    """Each piece into its own route: bath, wipe, spray, laundry or closed store.

    A bath is the jar named, else the freshest; what lies in it already starts its time anew.
    Raises Refused where the bath has no fresh jar or a piece needs the blood-level cycle.
    """
    told: list[str] = []

    def decide(session: Session) -> list[Event]:
        events: list[Event] = []
        for route, pieces in by_route(desk, named(session, piece_ids)).items():
            found, words = _into(desk, session, route, pieces, blood_level, jar_id)
            events += found
            told.append(words)
        return events

    receipt = desk.do("treat", "In treatment.", decide)
    return Receipt(
        receipt.job_key, "In treatment: " + "; ".join(told) + ".", cautions=cautions_at("washing")
    )


def wipe_down(desk: Desk, piece_ids: Sequence[str] = ()) -> Receipt:
    """Clean and wipe in one go what never goes into a bath: lamps, handpieces, towels to wash.

    Without names, everything soiled of that sort. It may serve again once its wet time has run.
    """
    found: list[PieceBalance] = []

    def decide(session: Session) -> list[Event]:
        pieces = named(session, piece_ids) if piece_ids else session.pieces()
        found.extend(piece for piece in pieces if _dries_alone(desk, piece))
        if not found:
            raise Refused("Nothing soiled is waiting that is wiped, sprayed or laundered.")
        events = [event for piece in found for event in treatment.clean(piece)]
        for route, some in by_route(desk, found).items():
            minutes = treatment.contact_minutes(route, None, desk.book.parameters)
            events += treatment.treat(some, route, minutes, desk.now())
        return events

    receipt = desk.do("wipe-down", "Wiped down.", decide)
    minutes = desk.book.parameters.contact_minutes
    sentence = f"{counted(len(found), 'piece')} wiped down; wet for {minutes} min or as labelled."
    return Receipt(receipt.job_key, sentence, cautions=cautions_at("washing"))


def take_out(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """Out of treatment and ready, from a bath lifted, rinsed and dried; refused before the
    contact time has run. What is in the steriliser comes out with its load (`sterilising`)."""

    def decide(session: Session) -> list[Event]:
        pieces = named(session, piece_ids)
        return [event for piece in pieces for event in treatment.finish(piece, desk.now())]

    receipt = desk.do("take-out", f"{counted(len(piece_ids), 'piece')} ready.", decide)
    return Receipt(receipt.job_key, receipt.sentence, cautions=cautions_at("keeping"))


def wash_again(desk: Desk, piece_ids: Sequence[str], because: str = "") -> Receipt:
    """A dropped or doubted piece, or one whose pouch is spoilt, starts the whole wash again."""

    def decide(session: Session) -> list[Event]:
        pieces = named(session, piece_ids)
        told = because.strip()
        return [e for p in pieces for e in treatment.back_to_the_sink(p, told or _why(desk, p))]

    return desk.do("wash-again", f"{counted(len(piece_ids), 'piece')} back to the sink.", decide)


def retire(desk: Desk, piece_id: str, because: str) -> Receipt:
    """A worn, pitted, bent or broken piece never comes back."""
    if not because.strip():
        raise Refused("Say why the piece is retired: rust, pitting, blunt, broken, lost ...")
    why = with_place(because.strip(), after_inspection(because))

    def decide(session: Session) -> list[Event]:
        (piece,) = named(session, [piece_id])
        return [PieceRetired(piece.item_id, piece_id, why)]

    return desk.do("retire", f"{piece_id} retired: {why}.", decide)


def named(session: Session, piece_ids: Sequence[str]) -> list[PieceBalance]:
    """The pieces with these tags; NotFound names what nobody tagged."""
    held = {piece.piece_id: piece for piece in session.pieces()}
    unknown = [name for name in piece_ids if name not in held]
    if unknown or not piece_ids:
        raise NotFound(
            f"No piece is tagged {', '.join(unknown) or '(none named)'}; `consumables wash --all`."
        )
    return [held[name] for name in piece_ids]


def by_route(desk: Desk, pieces: Sequence[PieceBalance]) -> dict[Route, list[PieceBalance]]:
    """The pieces by the way each goes after cleaning."""
    routes: dict[Route, list[PieceBalance]] = {}
    for piece in pieces:
        routes.setdefault(_route(desk, piece), []).append(piece)
    return routes


def _why(desk: Desk, piece: PieceBalance) -> str:
    return "pouch past its day" if pouch_past(piece, desk.today()) else "dropped or in doubt"


def _into(
    desk: Desk,
    session: Session,
    route: Route,
    pieces: Sequence[PieceBalance],
    blood_level: bool,
    jar_id: str,
) -> tuple[list[Event], str]:
    bathed = route is Route.IMMERSE
    jar = (named_jar(session, jar_id) if jar_id else freshest(session)) if bathed else None
    label = treatment.label_minutes(jar, None)
    minutes = treatment.contact_minutes(route, label, desk.book.parameters)
    words = f"{len(pieces)} to {route} for {minutes} min"
    if not bathed:
        return treatment.treat(pieces, route, minutes, desk.now(), blood_level), words
    lying = bath.in_jar(jar.jar_id, session.pieces()) if jar else []
    events = bath.put_in(pieces, jar, lying, minutes, desk.now(), blood_level)
    restarted = f", clock anew for {', '.join(p.piece_id for p in lying)}" if lying else ""
    return events, words + restarted


def _dries_alone(desk: Desk, piece: PieceBalance) -> bool:
    soiled = piece.state is PieceState.SOILED and not piece.blood_level
    return soiled and _route(desk, piece) in treatment.NO_BATH


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
        _next_step(desk, piece),
        piece.jar_id,
        piece.load_id,
        piece.keep_until,
    )


def _next_step(desk: Desk, piece: PieceBalance) -> str:
    match piece.state:
        case PieceState.SOILED:
            return "clean"
        case PieceState.CLEANED:
            return "load" if _route(desk, piece) is Route.STERILISE else "treat"
        case PieceState.IN_TREATMENT:
            if piece.ready_at and desk.now() < piece.ready_at:
                return "wait"
            return "unload" if piece.load_id else "take out"
        case _:
            return "again" if pouch_past(piece, desk.today()) else "-"
