"""Looking a piece over before it serves: rust, pitting, a bent tip, a torn pouch, or nothing."""

from collections.abc import Sequence

from consumables.closeout.inspection import FINDINGS as FINDINGS
from consumables.closeout.inspection import look_over as what_follows
from consumables.desk.opening import Desk, Receipt
from consumables.desk.washing import named
from consumables.items.wear import after_inspection
from consumables.ledger.events import Event
from consumables.store.shop_store import Session
from consumables.words import counted


def look_over(desk: Desk, piece_ids: Sequence[str], found: str = "") -> Receipt:
    """Write down that pieces were looked over; `found` empty means there was nothing to see.

    A defect that the rules name retires them, a spoilt pouch sends them back to the wash.
    """
    after = after_inspection(found)

    def decide(session: Session) -> list[Event]:
        return [e for piece in named(session, piece_ids) for e in what_follows(piece, found)]

    looked = counted(len(piece_ids), "piece") if len(piece_ids) > 1 else "".join(piece_ids)
    if not found.strip():
        return desk.do("look-over", f"{looked} looked over: nothing found.", decide)
    receipt = desk.do("look-over", f"{looked} looked over: {found}. {after.sentence}", decide)
    if after.retire or after.reprocess:
        return receipt
    doubt = "When in doubt retire it, or send it back to the wash."
    return Receipt(receipt.job_key, receipt.sentence, cautions=(doubt,))
