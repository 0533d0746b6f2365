"""A service ends: what was used, what is binned now, what is stripped, what goes to the wash."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from consumables.closeout.service_card import CardLine, ServiceCard, surface_of
from consumables.closeout.treatment import has_dried
from consumables.items.classify import Aftermath, classify_contaminated
from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.ledger.events import (
    Discarded,
    Event,
    LotOpened,
    OutsideUseRecorded,
    PieceRetired,
    Soiled,
    SurfaceFitted,
    SurfaceStripped,
    Treated,
    UseRecorded,
    VisitClosed,
)
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance, first_to_expire
from consumables.words import Category, Outcome, PieceState, Route


@dataclass(frozen=True)
class Known:
    """What the desk knows of the items on a card."""

    items: Mapping[str, Item]
    verdicts: Mapping[str, Verdict]


@dataclass(frozen=True)
class OnShelf:
    """What the shelf holds of the items on a card."""

    lots: Mapping[str, tuple[LotBalance, ...]]
    pieces: Mapping[str, tuple[PieceBalance, ...]]


@dataclass(frozen=True)
class Refusal:
    """Why one line cannot be used, in a sentence."""

    item_id: str
    sentence: str


@dataclass(frozen=True)
class LineOutcome:
    """What becomes of one line: the lots and pieces it takes and where they go."""

    line: CardLine
    took: tuple[str, ...]  # lot or piece names
    goes_to: Route
    flagged: int = 0  # units written outside the rules or the counted stock


@dataclass(frozen=True)
class CloseOut:
    """All that follows from a card; with any refusal in it nothing may be written."""

    events: tuple[Event, ...]
    outcomes: tuple[LineOutcome, ...]
    refusals: tuple[Refusal, ...]


@dataclass
class _Desk:
    """The shelf as it empties while the card is gone through, line by line."""

    card: ServiceCard
    known: Known
    lots: dict[str, list[LotBalance]]
    pieces: dict[str, list[PieceBalance]]
    now: datetime
    already_done: bool
    fresh: dict[str, list[str]]  # surface item -> lots its units came from, for the cores
    events: list[Event] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)


def close_out(
    card: ServiceCard, shelf: OnShelf, known: Known, now: datetime, already_done: bool = False
) -> CloseOut:
    """What closing this card means, in one sequence of events.

    `now` is the shop's local time (its date decides what is in date). A line that the rules or
    the counted stock do not allow becomes a refusal; with `already_done` it is written as a
    flagged use instead, because what was done to a client must always be recordable.
    """
    desk = _Desk(
        card,
        known,
        {item: list(first_to_expire(lots)) for item, lots in shelf.lots.items()},
        {item: _by_turn(pieces) for item, pieces in shelf.pieces.items()},
        now,
        already_done,
        {},
    )
    outcomes = [_close_line(desk, line) for line in _surfaces_first(card, known) if line.quantity]
    closed = VisitClosed(card.visit_id, Outcome.SERVED, card.service_ids, card.contaminated)
    return CloseOut((*desk.events, closed), tuple(outcomes), tuple(desk.refusals))


def not_served(visit_id: str) -> tuple[Event, ...]:
    """The client did not come: the visit is closed and nothing was used."""
    return (VisitClosed(visit_id, Outcome.NO_SHOW),)


def _surfaces_first(card: ServiceCard, known: Known) -> list[CardLine]:
    surfaces = {surface_of(item) for item in known.items.values()} - {""}
    return sorted(card.lines, key=lambda line: line.item_id not in surfaces)


def _by_turn(pieces: Iterable[PieceBalance]) -> list[PieceBalance]:
    return sorted(pieces, key=lambda piece: (piece.uses, piece.piece_id))


def _close_line(desk: _Desk, line: CardLine) -> LineOutcome:
    verdict = desk.known.verdicts[line.item_id]
    if verdict.banned_here:
        return _outside(desk, line, line.quantity, verdict.banned, verdict.route)
    if verdict.category is Category.SINGLE_USE and not _from_kit(desk, line, verdict):
        return _draw(desk, line, verdict)
    return _use_pieces(desk, line, verdict)


# --- single-use: units leave the first lot to expire and go in the bin -----------------------


def _draw(desk: _Desk, line: CardLine, verdict: Verdict) -> LineOutcome:
    item = desk.known.items[line.item_id]
    today = desk.now.date()
    wanted, took = line.quantity, []
    shelf = desk.lots.setdefault(line.item_id, [])
    for at, lot in enumerate(shelf):
        units = min(wanted, lot.on_hand) if lot.in_date(today) else 0
        if units:
            shelf[at] = _open(desk, item, lot)
            shelf[at] = replace(shelf[at], on_hand=lot.on_hand - units)
            _drawn(desk, line, verdict, lot.lot_id, units)
            took.append(lot.lot_id)
            wanted -= units
    if wanted:
        short = _why_short(item, shelf, line.quantity, line.quantity - wanted, desk)
        return replace(_outside(desk, line, wanted, short, verdict.route), took=tuple(took))
    return LineOutcome(line, tuple(took), verdict.route)


def _open(desk: _Desk, item: Item, lot: LotBalance) -> LotBalance:
    if item.after_opening_days is None or lot.opened_on is not None:
        return lot
    today = desk.now.date()
    spoiled = today + timedelta(days=item.after_opening_days)
    use_by = min(lot.use_by, spoiled) if lot.use_by else spoiled
    desk.events.append(LotOpened(item.item_id, lot.lot_id, today, use_by))
    return replace(lot, opened_on=today, use_by=use_by)


def _drawn(desk: _Desk, line: CardLine, verdict: Verdict, lot_id: str, units: int) -> None:
    visit = desk.card.visit_id
    desk.fresh.setdefault(line.item_id, []).extend([lot_id] * units)
    desk.events.append(UseRecorded(line.item_id, visit, line.service_id, units, lot_id=lot_id))
    if verdict.route is not Route.DISPENSE:
        why = "contaminated" if desk.card.contaminated else "used on one client"
        desk.events.append(Discarded(line.item_id, units, why, verdict.route, lot_id, visit))


def _why_short(item: Item, shelf: Sequence[LotBalance], asked: int, found: int, desk: _Desk) -> str:
    today = desk.now.date()
    stale = sum(lot.on_hand for lot in shelf if not lot.in_date(today))
    sentence = f"{item.name}: {asked} {item.unit} asked for, {found} in date on the shelf"
    if stale:
        sentence += f", {stale} past use-by (discard them)"
    return sentence + ". Use less, count the shelf, or say that it is already done."


# --- kept things: a piece counts one use more and goes to the wash ----------------------------


def _from_kit(desk: _Desk, line: CardLine, verdict: Verdict) -> bool:
    pieces = desk.pieces.get(line.item_id, [])
    named = [piece for piece in pieces if piece.piece_id in line.piece_ids]
    return bool(named) and verdict.kit_allowed and all(piece.client for piece in named)


def _use_pieces(desk: _Desk, line: CardLine, verdict: Verdict) -> LineOutcome:
    item = desk.known.items[line.item_id]
    shelf = desk.pieces.setdefault(line.item_id, [])
    chosen, troubles = _choose(desk, line, item, shelf)
    for piece in chosen:
        _used(desk, line, verdict, piece)
        shelf.remove(piece)
    short = line.quantity - len(chosen)
    took = tuple(piece.piece_id for piece in chosen)
    if short:
        named = troubles or {"": _why_none_ready(item, shelf, line.quantity, len(chosen))}
        return replace(_pieces_outside(desk, line, named, short, verdict), took=took)
    return LineOutcome(line, took, verdict.route)


def _choose(
    desk: _Desk, line: CardLine, item: Item, shelf: Sequence[PieceBalance]
) -> tuple[list[PieceBalance], dict[str, str]]:
    wanted = line.piece_ids or tuple(piece.piece_id for piece in shelf)
    by_id = {piece.piece_id: piece for piece in shelf}
    chosen: list[PieceBalance] = []
    troubles: dict[str, str] = {}
    for piece_id in wanted:
        trouble = _trouble(by_id.get(piece_id), item, desk.card.client, desk.now)
        if trouble and line.piece_ids:
            troubles[piece_id] = f"{item.name} {piece_id}: {trouble}"
        elif not trouble and len(chosen) < line.quantity:
            chosen.append(by_id[piece_id])
    return chosen, troubles


def _trouble(piece: PieceBalance | None, item: Item, client: str, now: datetime) -> str:
    if piece is None:
        return "no such piece on the shelf; look at its tag."
    if piece.state is not PieceState.READY and not has_dried(piece, now):
        return f"it is {piece.state}; take a ready one, or wash it up first."
    if piece.client and piece.client != client:
        return "it is kept for another client."
    if item.max_uses is not None and piece.uses >= item.max_uses:
        return f"it has had {piece.uses} of {item.max_uses} uses; retire it."
    return ""


def _used(desk: _Desk, line: CardLine, verdict: Verdict, piece: PieceBalance) -> None:
    visit, piece_id = desk.card.visit_id, piece.piece_id
    if piece.state is PieceState.IN_TREATMENT:
        desk.events.append(Treated(line.item_id, piece_id))
    if verdict.category is Category.REPLACEABLE_SURFACE and not _fit(desk, line, piece_id):
        return
    desk.events.append(UseRecorded(line.item_id, visit, line.service_id, 1, piece_id=piece_id))
    if verdict.category is Category.REPLACEABLE_SURFACE:
        surface = surface_of(desk.known.items[line.item_id]) or line.item_id
        desk.events.append(SurfaceStripped(surface, piece_id, visit))
    _after_use(desk, line.item_id, verdict, piece_id)


def _after_use(desk: _Desk, item_id: str, verdict: Verdict, piece_id: str) -> None:
    visit, after = desk.card.visit_id, _aftermath(desk, item_id, verdict)
    if after is not None and after.discard_now:
        desk.events += [
            PieceRetired(item_id, piece_id, "contaminated"),
            Discarded(item_id, 1, "contaminated", visit_id=visit, piece_id=piece_id),
        ]
    else:
        blood = after is not None and after.blood_level_cycle
        desk.events.append(Soiled(item_id, piece_id, visit, blood))


def _fit(desk: _Desk, line: CardLine, piece_id: str) -> bool:
    surface = surface_of(desk.known.items[line.item_id])
    if not surface:
        return True
    fresh = desk.fresh.get(surface, [])
    if fresh:
        fitted = SurfaceFitted(surface, fresh.pop(0), piece_id, desk.card.visit_id)
        desk.events.append(fitted)
        return True
    name = desk.known.items[line.item_id].name
    why = f"{name} {piece_id}: no fresh surface on the card; a used surface never serves again."
    _outside(desk, line, 1, why, Route.STRIP, piece_id)
    return False


def _aftermath(desk: _Desk, item_id: str, verdict: Verdict) -> Aftermath | None:
    if not desk.card.contaminated:
        return None
    return classify_contaminated(verdict, desk.known.items[item_id])


def _why_none_ready(item: Item, shelf: Sequence[PieceBalance], asked: int, found: int) -> str:
    washing = sum(piece.state not in (PieceState.READY, PieceState.RETIRED) for piece in shelf)
    return (
        f"{item.name}: {asked} asked for, {found} ready, {washing} waiting in the wash. "
        "Wash up, tag new ones, or say that it is already done."
    )


# --- the truth is never turned away -----------------------------------------------------------


def _pieces_outside(
    desk: _Desk, line: CardLine, troubles: Mapping[str, str], short: int, verdict: Verdict
) -> LineOutcome:
    units = short if "" in troubles else 1
    for piece_id, why in troubles.items():
        known = any(p.piece_id == piece_id for p in desk.pieces[line.item_id])
        _outside(desk, line, units, why, verdict.route, piece_id if known else "")
    return LineOutcome(line, (), verdict.route, short if desk.already_done else 0)


def _outside(
    desk: _Desk, line: CardLine, units: int, why: str, route: Route, piece_id: str = ""
) -> LineOutcome:
    if desk.already_done:
        visit, item_id = desk.card.visit_id, line.item_id
        use = OutsideUseRecorded(item_id, visit, line.service_id, units, why, piece_id)
        desk.events.append(use)
        if _still_kept(desk, item_id, piece_id):
            _after_use(desk, item_id, desk.known.verdicts[item_id], piece_id)
        return LineOutcome(line, (), route, units)
    desk.refusals.append(Refusal(line.item_id, why))
    return LineOutcome(line, (), route)


def _still_kept(desk: _Desk, item_id: str, piece_id: str) -> bool:
    pieces = desk.pieces.get(item_id, [])
    return any(p.piece_id == piece_id and p.state is not PieceState.RETIRED for p in pieces)
