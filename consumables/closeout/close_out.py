"""A service ends: what was used, what is binned now, what is stripped, what goes to the wash."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from consumables.closeout.emptying import (
    Emptying,
    Known,
    LineOutcome,
    OnShelf,
    Refusal,
    outside,
    outside_kept,
)
from consumables.closeout.pieces_used import from_kit, use_pieces
from consumables.closeout.service_card import CardLine, ServiceCard, surfaces_of
from consumables.closeout.units_drawn import draw
from consumables.ledger.events import Event, VisitClosed
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import first_to_expire
from consumables.words import Category, Outcome

__all__ = ["CloseOut", "Known", "LineOutcome", "OnShelf", "Refusal", "close_out", "not_served"]


@dataclass(frozen=True)
class CloseOut:
    """All that follows from a card; with any refusal in it nothing may be written."""

    events: tuple[Event, ...]
    outcomes: tuple[LineOutcome, ...]
    refusals: tuple[Refusal, ...]


def close_out(
    card: ServiceCard, shelf: OnShelf, known: Known, now: datetime, already_done: bool = False
) -> CloseOut:
    """What closing this card means, in one sequence of events.

    `now` is the shop's local time (its date decides what is in date). A line that the rules or
    the counted stock do not allow becomes a refusal; with `already_done` it is written as a
    flagged use instead, because what was done to a client must always be recordable.
    """
    desk = Emptying(
        card,
        known,
        {item: list(first_to_expire(lots)) for item, lots in shelf.lots.items()},
        {item: _by_turn(pieces) for item, pieces in shelf.pieces.items()},
        now,
        already_done,
        {},
    )
    outcomes = [
        _close_line(desk, line) for line in _surfaces_first(card, known) if line.quantity > 0
    ]
    closed = VisitClosed(card.visit_id, Outcome.SERVED, card.service_ids, card.contaminated)
    return CloseOut((*desk.events, closed), tuple(outcomes), tuple(desk.refusals))


def not_served(visit_id: str) -> tuple[Event, ...]:
    """The client did not come: the visit is closed and nothing was used."""
    return (VisitClosed(visit_id, Outcome.NO_SHOW),)


def _surfaces_first(card: ServiceCard, known: Known) -> list[CardLine]:
    surfaces = {surface for item in known.items.values() for surface in surfaces_of(item)}
    return sorted(card.lines, key=lambda line: line.item_id not in surfaces)


def _by_turn(pieces: Iterable[PieceBalance]) -> list[PieceBalance]:
    return sorted(pieces, key=lambda piece: (piece.uses, piece.piece_id))


def _close_line(desk: Emptying, line: CardLine) -> LineOutcome:
    verdict = desk.known.verdicts[line.item_id]
    if verdict.banned_here:
        return outside_kept(desk, line, line.quantity, verdict.banned, verdict.route)
    if verdict.category is Category.SINGLE_USE and not from_kit(desk, line, verdict):
        return _kept_against_the_rules(desk, line) or draw(desk, line, verdict)
    return use_pieces(desk, line, verdict)


def _kept_against_the_rules(desk: Emptying, line: CardLine) -> LineOutcome | None:
    """A named piece of a single-use item is a kept one: it may not serve again."""
    verdict, name = desk.known.verdicts[line.item_id], desk.known.items[line.item_id].name
    if not line.piece_ids:
        return None
    why = f"{name} {', '.join(line.piece_ids)}: single-use; a kept one may not serve again."
    for piece_id in line.piece_ids:
        known = any(p.piece_id == piece_id for p in desk.pieces.get(line.item_id, []))
        outcome = outside(desk, line, 1, why, verdict.route, piece_id if known else "")
    fresh = line.quantity - len(line.piece_ids)
    if fresh <= 0:
        return outcome
    drawn = draw(desk, replace(line, quantity=fresh, piece_ids=()), verdict)
    return replace(drawn, line=line, flagged=drawn.flagged + outcome.flagged * len(line.piece_ids))
