"""The wash-up: what is soiled, what is in the bath and for how long, what is ready again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from consumables.closeout import solutions, treatment
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import (
    Event,
    PieceRetired,
    PieceTagged,
    SolutionDiscarded,
    SolutionMixed,
    UsedLoose,
)
from consumables.ledger.marks import JarMark
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import first_to_expire
from consumables.store.shop_store import Session
from consumables.words import Category, PieceState, Route

CAUTIONS = (
    "Clean first: soil stops disinfectant working.",
    "Everything stays wet for the full label time; the clock restarts when a piece is added.",
    "Gloves and eye protection when pouring; never mix bleach with ammonia, acids or cleaners.",
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


@dataclass(frozen=True)
class Jar:
    """A jar of disinfectant in use."""

    jar_id: str
    name: str
    mixed_at: datetime
    change_by: datetime
    parts_water: int
    contact_minutes: int
    stale: bool


def wash_list(desk: Desk, everything: bool = False) -> list[WashPiece]:
    """Pieces that are not ready, nearest to ready last; with `everything` also the ready ones."""
    with desk.store.reading() as session:
        pieces = session.pieces()
    resting = () if everything else (PieceState.READY, PieceState.RETIRED)
    rows = [_piece(desk, piece) for piece in pieces if piece.state not in resting]
    return sorted(rows, key=lambda row: (list(PieceState).index(row.state), row.name, row.piece_id))


def jars(desk: Desk) -> list[Jar]:
    """Jars in use, the freshest first."""
    with desk.store.reading() as session:
        marks: list[JarMark] = session.marks("jar")
    found = [_jar(desk, mark) for mark in marks]
    return sorted(found, key=lambda jar: jar.mixed_at, reverse=True)


def clean(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """Washed, rinsed and dried; not yet disinfected."""

    def decide(session: Session) -> list[Event]:
        pieces = _named(session, piece_ids)
        return [event for piece in pieces for event in treatment.clean(piece)]

    return desk.do("clean", f"{len(piece_ids)} pieces cleaned; they still need treatment.", decide)


def treat(desk: Desk, piece_ids: Sequence[str], blood_level: bool = False) -> Receipt:
    """Each piece into its own route: bath, wipe, spray, laundry, steriliser or closed store.

    Raises Refused where the bath has no fresh jar or a piece needs the blood-level cycle.
    """
    told: list[str] = []

    def decide(session: Session) -> list[Event]:
        events: list[Event] = []
        for route, pieces in _by_route(desk, _named(session, piece_ids)).items():
            jar = _freshest(session) if route is Route.IMMERSE else None
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
    sentence = f"{len(found)} pieces wiped down; wiped ones stay wet {minutes} min or as labelled."
    return Receipt(receipt.job_key, sentence, cautions=CAUTIONS[:2])


def take_out(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """Out of treatment and ready; refused before the contact time has run."""

    def decide(session: Session) -> list[Event]:
        pieces = _named(session, piece_ids)
        return [event for piece in pieces for event in treatment.finish(piece, desk.now())]

    return desk.do("take-out", f"{len(piece_ids)} pieces ready.", decide)


def wash_again(desk: Desk, piece_ids: Sequence[str]) -> Receipt:
    """A dropped or doubted piece starts the whole wash again."""

    def decide(session: Session) -> list[Event]:
        pieces = _named(session, piece_ids)
        return [event for piece in pieces for event in treatment.back_to_the_sink(piece)]

    return desk.do("wash-again", f"{len(piece_ids)} pieces back to the sink.", decide)


def retire(desk: Desk, piece_id: str, because: str) -> Receipt:
    """A worn, pitted, bent or broken piece never comes back."""
    if not because.strip():
        raise Refused("Say why the piece is retired: rust, pitting, blunt, broken, lost ...")

    def decide(session: Session) -> list[Event]:
        (piece,) = _named(session, [piece_id])
        return [PieceRetired(piece.item_id, piece_id, because)]

    return desk.do("retire", f"{piece_id} retired: {because}.", decide)


def tag(desk: Desk, item_id: str, count: int = 1, client: str = "") -> Receipt:
    """Take new units of a kept item off the shelf and give each a tag; they start in the wash.

    With `client` the piece is that client's own kit: refused unless the book in force allows it.
    """
    item, verdict = desk.item(item_id), desk.verdicts[item_id]
    if verdict.category is Category.SINGLE_USE and not (client and verdict.kit_allowed):
        raise Refused(f"{item.name} is single-use under {desk.book.title}: it is never kept.")
    names: list[str] = []

    def decide(session: Session) -> list[Event]:
        taken = len(session.pieces([item_id]))
        lots = first_to_expire(tuple(session.lots([item_id])))
        units = [lot.lot_id for lot in lots for _ in range(lot.on_hand)][:count]
        if len(units) < count:
            raise Refused(f"{item.name}: {count} to tag, {len(units)} new on the shelf.")
        names.extend(f"{item_id}-{number:02d}" for number in range(taken + 1, taken + count + 1))
        return [
            PieceTagged(item_id, lot, name, ready=bool(client), client=client)
            for lot, name in zip(units, names, strict=True)
        ]

    receipt = desk.do("tag", f"{count} x {item.name} tagged.", decide)
    return Receipt(
        receipt.job_key, f"Tagged {', '.join(names)}; wash them before the first client."
    )


def mix_jar(desk: Desk, item_id: str, total_ml: int, parts_water: int) -> Receipt:
    """Mix and date a fresh jar; the concentrate it takes leaves the shelf."""
    item = desk.item(item_id)
    minutes = item.contact_minutes or desk.book.parameters.contact_minutes
    until = solutions.change_by(desk.now(), desk.book.parameters.solution_change)
    name = f"jar-{desk.now():%m%d-%H%M}-{uuid4().hex[:2]}"
    needed = solutions.product_ml(total_ml, parts_water)

    def decide(session: Session) -> list[Event]:
        events: list[Event] = [SolutionMixed(item_id, name, parts_water, minutes, until)]
        left = needed
        for lot in first_to_expire(tuple(session.lots([item_id]))):
            units = min(left, lot.on_hand) if lot.in_date(desk.today()) else 0
            if units:
                events.append(UsedLoose(item_id, lot.lot_id, units, f"mixed {name}"))
                left -= units
        if left:
            raise Refused(f"{item.name}: {needed} ml needed, {needed - left} in date on the shelf.")
        return events

    sentence = (
        f"Mixed {name}: {needed} ml of {item.name} and {total_ml - needed} ml of water "
        f"(1:{parts_water}), {minutes} min, change by {until:%a %d %b %H:%M}."
    )
    receipt = desk.do("mix", sentence, decide)
    return Receipt(receipt.job_key, sentence, cautions=CAUTIONS[2:3])


def empty_jar(desk: Desk, jar_id: str, because: str = "changed") -> Receipt:
    """Empty a jar: its time is up, or it went cloudy."""

    def decide(session: Session) -> list[Event]:
        marks = {mark.jar_id: mark for mark in session.marks("jar")}
        if jar_id not in marks:
            raise NotFound(f"No jar {jar_id} is in use; `consumables wash` lists them.")
        return [SolutionDiscarded(marks[jar_id].item_id, jar_id, because)]

    return desk.do("empty-jar", f"{jar_id} emptied: {because}.", decide)


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


def _freshest(session: Session) -> JarMark | None:
    marks: list[JarMark] = session.marks("jar")
    return max(marks, key=lambda mark: mark.change_by, default=None)


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


def _jar(desk: Desk, mark: JarMark) -> Jar:
    return Jar(
        mark.jar_id,
        desk.name_of(mark.item_id),
        mark.mixed_at.astimezone(desk.zone),
        mark.change_by.astimezone(desk.zone),
        mark.parts_water,
        mark.contact_minutes,
        desk.now() > mark.change_by,
    )
