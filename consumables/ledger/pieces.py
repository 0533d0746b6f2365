"""Where each tagged, kept thing stands: ready, soiled, cleaned, in treatment or retired."""

from dataclasses import dataclass, replace
from datetime import datetime

from consumables.errors import Refused
from consumables.ledger.events import (
    Cleaned,
    Event,
    OutsideUseRecorded,
    PieceRetired,
    PieceTagged,
    Pouched,
    Soiled,
    Treated,
    TreatmentStarted,
    UseRecorded,
)
from consumables.words import PieceState, Route


@dataclass(frozen=True)
class PieceBalance:
    """One piece and its count of uses; `client` binds it to one client's own kit."""

    piece_id: str
    item_id: str
    state: PieceState
    uses: int = 0
    client: str = ""
    blood_level: bool = False
    route: Route | None = None
    ready_at: datetime | None = None


def change_piece(before: PieceBalance | None, event: Event) -> PieceBalance:
    """The piece after one more event; refuses a step that is out of turn."""
    if isinstance(event, PieceTagged):
        return _tagged(before, event)
    if before is None:
        raise Refused(f"Piece {getattr(event, 'piece_id', '?')} was never tagged in this shop.")
    match event:
        case UseRecorded():
            _expect(before, PieceState.READY, "used on a client")
            return replace(before, uses=before.uses + event.quantity)
        case OutsideUseRecorded():
            return _used_outside(before, event)
        case Soiled():
            return _soiled(before, event)
        case Cleaned():
            _expect(before, PieceState.SOILED, "cleaned")
            return replace(before, state=PieceState.CLEANED)
        case TreatmentStarted():
            return _treatment(before, event)
        case Treated():
            _expect(before, PieceState.IN_TREATMENT, "taken out of treatment")
            return replace(before, state=PieceState.READY, ready_at=None, blood_level=False)
        case Pouched():
            _expect(before, PieceState.READY, "pouched")
            return before
        case PieceRetired():
            return replace(before, state=PieceState.RETIRED, ready_at=None)
        case _:
            return before


def _tagged(before: PieceBalance | None, event: PieceTagged) -> PieceBalance:
    if before is not None:
        raise Refused(f"The tag {event.piece_id} is taken; give the new piece another.")
    state = PieceState.READY if event.ready else PieceState.SOILED
    return PieceBalance(event.piece_id, event.item_id, state, client=event.client)


def _used_outside(piece: PieceBalance, event: OutsideUseRecorded) -> PieceBalance:
    uses = piece.uses + event.quantity
    if piece.state is PieceState.RETIRED:
        return replace(piece, uses=uses)
    return replace(piece, uses=uses, state=PieceState.SOILED, ready_at=None)


def _soiled(piece: PieceBalance, event: Soiled) -> PieceBalance:
    if piece.state is PieceState.RETIRED:
        raise Refused(f"Piece {piece.piece_id} is retired; it cannot go to the wash.")
    blood = piece.blood_level or event.blood_level
    return replace(piece, state=PieceState.SOILED, blood_level=blood, ready_at=None)


def _treatment(piece: PieceBalance, event: TreatmentStarted) -> PieceBalance:
    _expect(piece, PieceState.CLEANED, "put into treatment")
    if piece.blood_level and not event.blood_level:
        raise Refused(
            f"Piece {piece.piece_id} met blood or broken skin: it needs the blood-level cycle."
        )
    return replace(piece, state=PieceState.IN_TREATMENT, route=event.route, ready_at=event.ready_at)


def _expect(piece: PieceBalance, state: PieceState, step: str) -> None:
    if piece.state is not state:
        raise Refused(
            f"Piece {piece.piece_id} is {piece.state}; it can be {step} only when it is {state}."
        )
