"""A visit's card is taken back: unless nothing was touched, what it drew does not come back."""

from collections.abc import Iterable

from consumables.ledger.events import (
    Discarded,
    Event,
    LotOpened,
    PieceRetired,
    Soiled,
    UseRecorded,
)

STAYS_OUT = "its visit was undone and it may have been touched"


def stays_out(undone: Iterable[Event]) -> list[Event]:
    """What must follow the reversal of these entries so that nothing serves a second client.

    Units that a client's visit drew stay out of the lot, pieces go to the wash (at the blood level
    if they met blood), and what was retired stays retired. Only when somebody says that this visit
    did not use them may they go back (then nothing follows).
    """
    follows: list[Event] = []
    for event in undone:
        match event:
            case LotOpened():
                follows.append(event)
            case UseRecorded(lot_id=str(lot)) if lot:
                follows.append(Discarded(event.item_id, event.quantity, STAYS_OUT, lot_id=lot))
            case Soiled():
                follows.append(Soiled(event.item_id, event.piece_id, "", event.blood_level))
            case PieceRetired():
                follows.append(event)
    return follows
