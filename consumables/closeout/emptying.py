"""The shelf as it empties while a card is gone through; what the rules forbid is told apart."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from consumables.closeout.service_card import CardLine, ServiceCard
from consumables.items.aftermath import Aftermath, classify_contaminated
from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.ledger.events import Discarded, Event, OutsideUseRecorded, PieceRetired, Soiled
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance
from consumables.words import PieceState, Route


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


@dataclass
class Emptying:
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


def outside(
    desk: Emptying, line: CardLine, units: int, why: str, route: Route, piece_id: str = ""
) -> LineOutcome:
    """What may not be used: refused before the client, written as a flagged use after her."""
    if desk.already_done:
        visit, item_id = desk.card.visit_id, line.item_id
        use = OutsideUseRecorded(item_id, visit, line.service_id, units, why, piece_id)
        desk.events.append(use)
        if _still_kept(desk, item_id, piece_id):
            after_use(desk, item_id, desk.known.verdicts[item_id], piece_id)
        return LineOutcome(line, (), route, units)
    desk.refusals.append(Refusal(line.item_id, why))
    return LineOutcome(line, (), route)


def outside_kept(desk: Emptying, line: CardLine, units: int, why: str, route: Route) -> LineOutcome:
    """The same where kept pieces may have been what was used: those named, else the ready ones
    nobody owns, go to the wash with it; whatever is left of the units names no piece."""
    shelf = desk.pieces.get(line.item_id, []) if desk.already_done else []
    ready = [p.piece_id for p in shelf if p.state is PieceState.READY and not p.client]
    held = {p.piece_id for p in shelf}
    used = [name for name in line.piece_ids or ready if name in held][:units]
    outcomes = [outside(desk, line, 1, why, route, piece_id) for piece_id in used]
    if units > len(used):
        outcomes.append(outside(desk, line, units - len(used), why, route))
    return replace(outcomes[-1], flagged=units if desk.already_done else 0)


def after_use(desk: Emptying, item_id: str, verdict: Verdict, piece_id: str) -> None:
    """A used piece goes to the wash; after blood what is porous goes in the bin instead."""
    visit, after = desk.card.visit_id, _aftermath(desk, item_id, verdict)
    if after is not None and after.discard_now:
        desk.events += [
            PieceRetired(item_id, piece_id, "contaminated"),
            Discarded(item_id, 1, "contaminated", visit_id=visit, piece_id=piece_id),
        ]
    else:
        blood = after is not None and after.blood_level_cycle
        desk.events.append(Soiled(item_id, piece_id, visit, blood))


def where_to(desk: Emptying, item_id: str, verdict: Verdict) -> Route:
    """Where a used piece goes: its verdict's way, or the bin where blood forbids keeping it."""
    after = _aftermath(desk, item_id, verdict)
    return Route.BIN if after is not None and after.discard_now else verdict.route


def _aftermath(desk: Emptying, item_id: str, verdict: Verdict) -> Aftermath | None:
    if not desk.card.contaminated:
        return None
    return classify_contaminated(verdict, desk.known.items[item_id])


def _still_kept(desk: Emptying, item_id: str, piece_id: str) -> bool:
    pieces = desk.pieces.get(item_id, [])
    return any(p.piece_id == piece_id and p.state is not PieceState.RETIRED for p in pieces)
