"""A kept thing counts one use more, loses its surface if it has one, and goes to the wash."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from consumables.closeout.emptying import (
    Emptying,
    LineOutcome,
    after_use,
    outside,
    where_to,
)
from consumables.closeout.service_card import CardLine, surfaces_of
from consumables.closeout.steriliser import pouch_past
from consumables.closeout.treatment import has_dried
from consumables.items.item import Item
from consumables.items.verdict import Verdict
from consumables.ledger.events import SurfaceFitted, SurfaceStripped, Treated, UseRecorded
from consumables.ledger.pieces import PieceBalance
from consumables.words import Category, PieceState, Route


def from_kit(desk: Emptying, line: CardLine, verdict: Verdict) -> bool:
    """Are the pieces named on this line the client's own kit, where the book allows kits?"""
    pieces = desk.pieces.get(line.item_id, [])
    named = [piece for piece in pieces if piece.piece_id in line.piece_ids]
    return bool(named) and verdict.kit_allowed and all(piece.client for piece in named)


def use_pieces(desk: Emptying, line: CardLine, verdict: Verdict) -> LineOutcome:
    """Take the named pieces, or the ready ones whose turn it is: the least used first."""
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
    return LineOutcome(line, took, where_to(desk, line.item_id, verdict))


def _choose(
    desk: Emptying, line: CardLine, item: Item, shelf: Sequence[PieceBalance]
) -> tuple[list[PieceBalance], dict[str, str]]:
    wanted = dict.fromkeys(line.piece_ids or (piece.piece_id for piece in shelf))
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
    if pouch_past(piece, now.date()):
        return "its pouch is past its day; wash and pouch it again."
    if piece.client and piece.client != client:
        return "it is kept for another client."
    if item.max_uses is not None and piece.uses >= item.max_uses:
        return f"it has had {piece.uses} of {item.max_uses} uses; retire it."
    return ""


def _used(desk: Emptying, line: CardLine, verdict: Verdict, piece: PieceBalance) -> None:
    visit, piece_id = desk.card.visit_id, piece.piece_id
    if piece.state is PieceState.IN_TREATMENT:
        desk.events.append(Treated(line.item_id, piece_id))
    if verdict.category is Category.REPLACEABLE_SURFACE and not _fit(desk, line, piece_id):
        return
    desk.events.append(UseRecorded(line.item_id, visit, line.service_id, 1, piece_id=piece_id))
    if verdict.category is Category.REPLACEABLE_SURFACE:
        surfaces = surfaces_of(desk.known.items[line.item_id]) or (line.item_id,)
        desk.events += [SurfaceStripped(surface, piece_id, visit) for surface in surfaces]
    after_use(desk, line.item_id, verdict, piece_id)


def _fit(desk: Emptying, line: CardLine, piece_id: str) -> bool:
    surfaces = surfaces_of(desk.known.items[line.item_id])
    if all(len(desk.fresh.get(s, ())) >= surfaces.count(s) for s in surfaces):
        desk.events += [
            SurfaceFitted(s, desk.fresh[s].pop(0), piece_id, desk.card.visit_id) for s in surfaces
        ]
        return True
    name = desk.known.items[line.item_id].name
    why = f"{name} {piece_id}: no fresh surface on the card; a used surface never serves again."
    outside(desk, line, 1, why, Route.STRIP, piece_id)
    return False


def _why_none_ready(item: Item, shelf: Sequence[PieceBalance], asked: int, found: int) -> str:
    washing = sum(piece.state not in (PieceState.READY, PieceState.RETIRED) for piece in shelf)
    return (
        f"{item.name}: {asked} asked for, {found} ready, {washing} waiting in the wash. "
        "Wash up, tag new ones, or say that it is already done."
    )


def _pieces_outside(
    desk: Emptying, line: CardLine, troubles: Mapping[str, str], short: int, verdict: Verdict
) -> LineOutcome:
    left = short
    for piece_id, why in troubles.items():
        known = any(p.piece_id == piece_id for p in desk.pieces[line.item_id])
        units = 1 if piece_id else left
        outside(desk, line, units, why, verdict.route, piece_id if known else "")
        left -= units
    if left > 0:  # more were used than were named
        why = next(iter(troubles.values()))
        outside(desk, line, left, why, verdict.route)
    return LineOutcome(line, (), verdict.route, short if desk.already_done else 0)
