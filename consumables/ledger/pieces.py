"""Where each tagged, kept thing stands: ready, soiled, cleaned, in treatment or retired."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

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
from consumables.ledger.wash_events import ClockRestarted, SentBack, UltrasonicCleaned
from consumables.words import PieceState, Route

# A piece that is soiled or retired lies in no bath, was in no load and has no pouch.
_NOWHERE: Any = {"ready_at": None, "jar_id": "", "load_id": "", "keep_until": None}


@dataclass(frozen=True)
class PieceBalance:
    """One piece and its count of uses; `client` binds it to one client's own kit.

    `jar_id` is the bath it lies in, `load_id` the load that made it sterile (or is about to);
    `keep_until` is the last good day of a dated pouch.
    """

    piece_id: str
    item_id: str
    state: PieceState
    uses: int = 0
    client: str = ""
    blood_level: bool = False
    route: Route | None = None
    ready_at: datetime | None = None
    jar_id: str = ""
    load_id: str = ""
    keep_until: date | None = None


def change_piece(before: PieceBalance | None, event: Event, at: datetime) -> PieceBalance:
    """The piece after one more event, written `at` (aware); refuses a step that is out of turn."""
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
        case Soiled() | SentBack():
            return _soiled(before, event)
        case Cleaned():
            _expect(before, PieceState.SOILED, "cleaned")
            return replace(before, state=PieceState.CLEANED)
        case UltrasonicCleaned():
            _expect(before, PieceState.CLEANED, "put in the ultrasonic bath")
            return before
        case TreatmentStarted():
            return _treatment(before, event)
        case ClockRestarted():
            return _restarted(before, event)
        case Treated():
            return _treated(before, at)
        case Pouched():
            _expect(before, PieceState.READY, "pouched")
            return replace(before, keep_until=event.keep_until)
        case PieceRetired():
            return replace(before, state=PieceState.RETIRED, **_NOWHERE)
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
    return replace(piece, uses=uses, state=PieceState.SOILED, **_NOWHERE)


def _soiled(piece: PieceBalance, event: Soiled | SentBack) -> PieceBalance:
    if piece.state is PieceState.RETIRED:
        raise Refused(f"Piece {piece.piece_id} is retired; it cannot go to the wash.")
    blood = piece.blood_level or event.blood_level
    return replace(piece, state=PieceState.SOILED, blood_level=blood, **_NOWHERE)


def _treatment(piece: PieceBalance, event: TreatmentStarted) -> PieceBalance:
    _expect(piece, PieceState.CLEANED, "put into treatment")
    if piece.blood_level and not event.blood_level:
        raise Refused(
            f"Piece {piece.piece_id} met blood or broken skin: it needs the blood-level cycle "
            "(`--blood`, or b at the sink), apart from the others."
        )
    return replace(
        piece,
        state=PieceState.IN_TREATMENT,
        route=event.route,
        ready_at=event.ready_at,
        jar_id=event.jar_id,
        load_id=event.load_id,
        keep_until=None,
    )


def _restarted(piece: PieceBalance, event: ClockRestarted) -> PieceBalance:
    _expect(piece, PieceState.IN_TREATMENT, "kept wet longer")
    # Adding to a bath never shortens anyone's clock.
    return replace(piece, ready_at=max(piece.ready_at or event.ready_at, event.ready_at))


def _treated(piece: PieceBalance, at: datetime) -> PieceBalance:
    _expect(piece, PieceState.IN_TREATMENT, "taken out of treatment")
    if piece.ready_at is not None and at < piece.ready_at:
        raise Refused(f"Piece {piece.piece_id} may not come out before its time has run.")
    return replace(piece, state=PieceState.READY, blood_level=False, ready_at=None, jar_id="")


def _expect(piece: PieceBalance, state: PieceState, step: str) -> None:
    if piece.state is not state:
        raise Refused(
            f"Piece {piece.piece_id} is {piece.state}; it can be {step} only when it is {state}."
        )
