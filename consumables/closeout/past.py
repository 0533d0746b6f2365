"""What happened before the shop began to count, told to the ledger without inventing anything."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from consumables.ledger.events import (
    Discarded,
    Event,
    LotReceived,
    PieceTagged,
    UsedLoose,
    UseRecorded,
    VisitClosed,
)
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance, change_lot, first_to_expire
from consumables.words import Category, Outcome, PieceState, Route


@dataclass(frozen=True)
class PastCard:
    """One visit that is over; uses are (item_id, service_id, quantity)."""

    on: date
    visit_id: str
    service_ids: tuple[str, ...]
    outcome: Outcome
    uses: tuple[tuple[str, str, int], ...]


class PastShelf:
    """The shelf as it was, emptying and filling as the past is gone through in sequence.

    With `draws` false nothing leaves a lot: the past is only learnt from, because the opening
    stock was counted after it. Kept things get their uses counted; how they were washed was not
    written down then, so nothing is said of it now.
    """

    def __init__(
        self,
        lots: Iterable[LotBalance],
        pieces: Iterable[PieceBalance],
        kept: Mapping[str, tuple[Category, Route]],
        draws: bool,
    ) -> None:
        self._lots: dict[str, dict[str, LotBalance]] = {}
        for lot in lots:
            self._lots.setdefault(lot.item_id, {})[lot.lot_id] = lot
        self._uses: dict[str, dict[str, int]] = {}
        for piece in pieces:
            if piece.state is PieceState.READY:
                self._uses.setdefault(piece.item_id, {})[piece.piece_id] = piece.uses
        self._kept = kept
        self._draws = draws

    def delivery(self, received: LotReceived) -> list[Event]:
        """A lot came in; kept things are tagged at once and were in rotation from then on."""
        events: list[Event] = [received]
        lot = change_lot(None, received)
        if self._is_kept(received.item_id):
            names = self._tag(received.item_id, received.quantity)
            events += [PieceTagged(lot.item_id, lot.lot_id, name, ready=True) for name in names]
            lot = replace(lot, on_hand=0)
        self._lots.setdefault(lot.item_id, {})[lot.lot_id] = lot
        return events

    def visit(self, card: PastCard) -> list[Event]:
        """A visit's uses, and that it is closed."""
        events = [event for use in card.uses for event in self._use(card, *use)]
        return [*events, VisitClosed(card.visit_id, card.outcome, card.service_ids)]

    def loose(self, on: date, item_id: str, quantity: int, because: str) -> list[Event]:
        """Use outside any visit, from the lots there were."""
        taken, _ = self._take(item_id, quantity, on)
        return [UsedLoose(item_id, lot, units, because) for lot, units in taken]

    def _use(self, card: PastCard, item_id: str, service: str, quantity: int) -> list[Event]:
        if self._is_kept(item_id):
            return self._use_piece(card, item_id, service, quantity)
        taken, rest = self._take(item_id, quantity, card.on)
        _, route = self._kept.get(item_id, (Category.SINGLE_USE, Route.BIN))
        events: list[Event] = []
        for lot, units in [*taken, ("", rest)]:
            if units:
                events.append(UseRecorded(item_id, card.visit_id, service, units, lot_id=lot))
            if units and route is not Route.DISPENSE:
                why = "used on one client"
                events.append(Discarded(item_id, units, why, route, lot, card.visit_id))
        return events

    def _use_piece(self, card: PastCard, item_id: str, service: str, quantity: int) -> list[Event]:
        uses = self._uses.get(item_id, {})
        turn = sorted(uses, key=lambda name: (uses[name], name))[:quantity]
        for name in turn:
            uses[name] += 1
        names = [*turn, *[""] * (quantity - len(turn))]
        return [UseRecorded(item_id, card.visit_id, service, 1, piece_id=name) for name in names]

    def _take(self, item_id: str, quantity: int, on: date) -> tuple[list[tuple[str, int]], int]:
        lots = self._lots.get(item_id, {})
        taken: list[tuple[str, int]] = []
        for lot in first_to_expire(tuple(lots.values())) if self._draws else ():
            units = min(quantity, lot.on_hand) if lot.in_date(on) else 0
            if units:
                lots[lot.lot_id] = replace(lot, on_hand=lot.on_hand - units)
                taken.append((lot.lot_id, units))
                quantity -= units
        return taken, quantity

    def _tag(self, item_id: str, count: int) -> list[str]:
        uses = self._uses.setdefault(item_id, {})
        names = [
            f"{item_id}-{number:02d}" for number in range(len(uses) + 1, len(uses) + count + 1)
        ]
        uses.update(dict.fromkeys(names, 0))
        return names

    def _is_kept(self, item_id: str) -> bool:
        category, _ = self._kept.get(item_id, (Category.SINGLE_USE, Route.BIN))
        return category is not Category.SINGLE_USE
