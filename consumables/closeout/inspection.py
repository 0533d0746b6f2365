"""A piece is looked over before use: what is found retires it or sends it back, with the reason."""

from consumables.errors import Refused
from consumables.items.wear import Inspection, after_inspection
from consumables.ledger.events import Event, PieceRetired
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.wash_events import Inspected, SentBack
from consumables.words import PieceState

# What to look for, in words that `after_inspection` knows; N.J.A.C. 13:28-3.2 for pits and rust,
# Toronto for varnish; the others are common practice, no source.
FINDINGS = (
    "rust",
    "pitting",
    "varnish peeling",
    "bent tip",
    "cracked",
    "dull or blunt",
    "damaged by disinfectant",
    "pouch torn",
    "pouch wet",
    "pouch opened",
)


def look_over(piece: PieceBalance, found: str) -> list[Event]:
    """That somebody looked, and what follows; `found` is empty when there was nothing to see.

    A defect that the rules name retires the piece with its citation, a spoilt pouch sends it back
    to the wash. Raises Refused for a piece that is retired already.
    """
    if piece.state is PieceState.RETIRED:
        raise Refused(f"Piece {piece.piece_id} is retired already.")
    seen = found.strip()
    events: list[Event] = [Inspected(piece.item_id, piece.piece_id, seen)]
    after = after_inspection(seen)
    if after.retire:
        events.append(PieceRetired(piece.item_id, piece.piece_id, with_place(seen, after)))
    elif after.reprocess:
        events.append(SentBack(piece.item_id, piece.piece_id, with_place(seen, after)))
    return events


def with_place(seen: str, after: Inspection) -> str:
    """What was seen, with the place that says what follows: "rust (N.J.A.C. 13:28-3.2)"."""
    places = "; ".join(dict.fromkeys(cite.section for cite in after.cites))
    return f"{seen} ({places})" if places else seen
