"""An older copy of the shop is put back: what was used since must not look unused."""

import shutil
from pathlib import Path

from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import Event, LotDoubted, ShopRestored, Soiled
from consumables.store.shop_store import ShopStore
from consumables.words import PieceState, counted


def put_copy_in_place(copy: Path, shop: Path) -> None:
    """Copy a backup to the shop's place; refuses to lay it over a file that is there."""
    if not copy.exists():
        raise NotFound(f"There is no copy {copy}; `consumables backup` makes one.")
    if shop.exists():
        raise Refused(f"{shop} is still there: move it away first, so that nothing is lost.")
    ShopStore(str(copy)).close()  # a file that is no shop is refused before anything is touched
    shop.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy2(copy, shop)


def take_over_copy(desk: Desk, because: str) -> Receipt:
    """Work on with an older copy: every lot must be counted before it is drawn from, and every
    kept piece is washed again, at the blood level since nobody knows what it met meanwhile.

    What may be kept today serves one client under another book, so no lot is left out.
    """
    if not because.strip():
        raise Refused("Say why an older copy was put back.")
    missing = desk.store.missing_from
    with desk.store.writing(older_copy=True) as session:
        lots = [lot for lot in session.lots() if lot.on_hand]
        pieces = [piece for piece in session.pieces() if piece.state is not PieceState.RETIRED]
        events: list[Event] = [
            ShopRestored(missing or 0, because),
            *(LotDoubted(lot.item_id, lot.lot_id) for lot in lots),
            *(Soiled(p.item_id, p.piece_id, blood_level=True) for p in pieces),
        ]
        uncounted = counted(len({lot.item_id for lot in lots}), "item")
        unwashed = counted(len(pieces), "piece")
        sentence = f"An older copy was put back: count {uncounted} before use, wash {unwashed}."
        job = desk.job("restore", sentence)
        session.append(job, events)
    return Receipt(job.job_key, sentence)
