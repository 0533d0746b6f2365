"""Being stricter or looser than the book: said by somebody, on a day, for a reason that is kept."""

from consumables.desk.opening import Desk, Receipt
from consumables.errors import Refused
from consumables.items.cautions import cautions_at
from consumables.items.own_verdict import refuse_loosening
from consumables.ledger.events import Event, VerdictLoosened, VerdictRestored
from consumables.store.shop_store import Session
from consumables.words import Category, PieceState, Route


def loosen(desk: Desk, item_id: str, route: Route, because: str, citation: str) -> Receipt:
    """Keep and treat an item that the book bins, on a citation signed with the desk's initials.

    Refused for do-not-re-use marks, blades, what is dispensed or banned, what nobody has
    described, and while a piece of it waits for the blood-level cycle.
    """
    item, verdict = desk.item(item_id), desk.verdicts[item_id]
    refuse_loosening(item, verdict, route, citation, desk.who)
    if not because.strip():
        raise Refused("Say why this shop may be looser than its book.")
    signed = VerdictLoosened(
        item_id, Category.DISINFECTABLE, route, because, citation, desk.who, desk.today()
    )

    def decide(session: Session) -> list[Event]:
        _refuse_contaminated(session, item_id, item.name)
        return [signed]

    sentence = f"{item.name} is kept and treated ({route}) in this shop: {citation}."
    receipt = desk.do("loosen", sentence, decide)
    desk.forget()
    return Receipt(receipt.job_key, sentence, cautions=cautions())


def cautions() -> tuple[str, ...]:
    """What to read before signing."""
    return cautions_at("loosening")


def back_to_the_book(desk: Desk, item_id: str, because: str) -> Receipt:
    """The shop's own stricter or looser verdict ends; the book in force speaks again."""
    item = desk.item(item_id)
    if not because.strip():
        raise Refused("Say why the book speaks again.")

    def decide(session: Session) -> list[Event]:
        own = [*session.marks("tight"), *session.marks("loose")]
        if all(mark.item_id != item_id for mark in own):
            raise Refused(f"{item.name} follows its book already.")
        return [VerdictRestored(item_id, because)]

    receipt = desk.do("to-book", f"{item.name} follows its book again: {because}.", decide)
    desk.forget()
    return receipt


def _refuse_contaminated(session: Session, item_id: str, name: str) -> None:
    waiting = [
        piece.piece_id
        for piece in session.pieces([item_id])
        if piece.blood_level and piece.state is not PieceState.RETIRED
    ]
    if waiting:
        raise Refused(f"{name}: {', '.join(waiting)} met blood; nothing of it is loosened now.")
