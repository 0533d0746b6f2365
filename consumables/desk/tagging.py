"""New tools get a tag each, and are washed before their first client."""

from consumables.desk.opening import Desk, Receipt
from consumables.errors import Refused
from consumables.ledger.events import Event, PieceTagged
from consumables.ledger.stock import first_to_expire
from consumables.store.shop_store import Session
from consumables.words import Category


def tag(desk: Desk, item_id: str, count: int = 1, client: str = "") -> Receipt:
    """Take new units of a kept item off the shelf and give each a tag; they start in the wash.

    With `client` the piece is that client's own kit: refused unless the book in force allows it.
    """
    item, verdict = desk.item(item_id), desk.verdicts[item_id]
    if verdict.category is Category.SINGLE_USE and not (client and verdict.kit_allowed):
        raise Refused(f"{item.name} is single-use under {desk.book.title}: it is never kept.")
    names: list[str] = []

    def decide(session: Session) -> list[Event]:
        taken = len(session.pieces([item_id]))
        lots = first_to_expire(tuple(session.lots([item_id])))
        units = [lot.lot_id for lot in lots for _ in range(lot.on_hand)][:count]
        if len(units) < count:
            raise Refused(f"{item.name}: {count} to tag, {len(units)} new on the shelf.")
        names.extend(f"{item_id}-{number:02d}" for number in range(taken + 1, taken + count + 1))
        return [
            PieceTagged(item_id, lot, name, ready=bool(client), client=client)
            for lot, name in zip(units, names, strict=True)
        ]

    receipt = desk.do("tag", f"{count} x {item.name} tagged.", decide)
    return Receipt(
        receipt.job_key, f"Tagged {', '.join(names)}; wash them before the first client."
    )
