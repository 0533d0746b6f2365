"""An older copy of the shop is put back: what was used since must not look unused."""

import shutil
from pathlib import Path

from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import Event, LotDoubted, ShopRestored, Soiled
from consumables.store.shop_store import ShopStore
from consumables.words import Category, PieceState, counted


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
    """Work on with an older copy: every lot that serves one client must be counted before it is
    drawn from, and every kept piece is washed again."""
    if not because.strip():
        raise Refused("Say why an older copy was put back.")
    missing = desk.store.missing_from
    with desk.store.writing(older_copy=True) as session:
        lots = [lot for lot in session.lots() if lot.on_hand and _serves_once(desk, lot.item_id)]
        pieces = [piece for piece in session.pieces() if piece.state is not PieceState.RETIRED]
        events: list[Event] = [
            ShopRestored(missing or 0, because),
            *(LotDoubted(lot.item_id, lot.lot_id) for lot in lots),
            *(Soiled(piece.item_id, piece.piece_id) for piece in pieces),
        ]
        uncounted = counted(len({lot.item_id for lot in lots}), "item")
        unwashed = counted(len(pieces), "piece")
        sentence = f"An older copy was put back: count {uncounted} before use, wash {unwashed}."
        job = desk.job("restore", sentence)
        session.append(job, events)
    return Receipt(job.job_key, sentence)


def _serves_once(desk: Desk, item_id: str) -> bool:
    verdict = desk.verdicts.get(item_id)
    return verdict is None or verdict.category is Category.SINGLE_USE
