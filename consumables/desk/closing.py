"""Closing a visit: the card is laid out, looked over, agreed or amended, and written once."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from consumables.closeout.close_out import (
    CloseOut,
    Known,
    LineOutcome,
    OnShelf,
    close_out,
    not_served,
)
from consumables.closeout.service_card import (
    CardLine,
    ServiceCard,
    card_lines,
    with_extra,
    with_pieces,
    with_quantity,
)
from consumables.desk.opening import Desk, Receipt
from consumables.desk.today import find_visit
from consumables.errors import Refused
from consumables.items.cautions import cautions_at, cautions_for
from consumables.items.verdict import Verdict
from consumables.ledger.appointments import Appointment
from consumables.ledger.events import Event, OutsideUseRecorded, Soiled, UseRecorded
from consumables.ledger.fold import Key
from consumables.ledger.marks import VisitMark
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance
from consumables.store.ledger_store import Job
from consumables.store.shop_store import Session
from consumables.words import Category, PieceState, Route, amount, counted

B = TypeVar("B", LotBalance, PieceBalance)


@dataclass(frozen=True)
class LineView:
    """One line of a card, as a screen or a list shows it."""

    line: CardLine
    name: str
    unit: str
    category: str
    goes_to: str  # where it goes when the service ends, in words
    takes: tuple[str, ...]  # lots or pieces it would take
    refusal: str = ""


@dataclass(frozen=True)
class CardView:
    """A card looked over against the shelf; nothing is written by looking."""

    card: ServiceCard
    lines: tuple[LineView, ...]
    refusals: tuple[str, ...]
    cautions: tuple[str, ...]


GOES_TO = {
    Route.BIN: "bin",
    Route.SHARPS: "sharps box",
    Route.DISPENSE: "used up",
    Route.STRIP: "strip, core to wash",
    Route.LAUNDER: "laundry",
}


def card_for(desk: Desk, visit_id: str) -> ServiceCard:
    """The card of a visit, pre-filled from the set-ups of its services."""
    visit = find_visit(desk, visit_id)
    lines = card_lines(visit.service_ids, desk.catalogue.set_ups, desk.items)
    return ServiceCard(visit_id, visit.service_ids, lines, visit.client, visit.technician)


def add_item(desk: Desk, card: ServiceCard, item_id: str, quantity: int = 1) -> ServiceCard:
    """The card with something more than the set-up asked for."""
    desk.item(item_id)
    return with_extra(card, item_id, quantity, desk.items)


def set_quantity(card: ServiceCard, index: int, quantity: int) -> ServiceCard:
    """The card with another quantity on a line; 0 says it was not used."""
    return with_quantity(card, index, quantity)


def name_pieces(card: ServiceCard, index: int, piece_ids: list[str]) -> ServiceCard:
    """The card with the pieces that really were in her hand."""
    return with_pieces(card, index, piece_ids)


def look_over(desk: Desk, card: ServiceCard) -> CardView:
    """What closing this card would do, and what stands against it."""
    with desk.store.reading() as session:
        found = _decide(desk, session, card, already_done=False)
    told = {refusal.item_id: refusal.sentence for refusal in found.refusals}
    by_line = {id(outcome.line): outcome for outcome in found.outcomes}
    lines = tuple(_view(desk, line, by_line.get(id(line)), told) for line in card.lines)
    used = [desk.item(line.item_id) for line in card.lines if line.quantity]
    kept = any(desk.verdicts[item.item_id].category is not Category.SINGLE_USE for item in used)
    cautions = (*_cautions(desk, card), *cautions_for(used, kept))
    return CardView(card, lines, tuple(r.sentence for r in found.refusals), cautions)


def close_visit(
    desk: Desk, card: ServiceCard, already_done: bool = False, job_key: str | None = None
) -> Receipt:
    """Record what was used, bin, strip and send to the wash, in one transaction.

    Raises Refused, with every reason and nothing written, where a line may not be used; with
    `already_done` such a line is written as a flagged use. Sent twice, it counts once.
    """
    with desk.store.writing() as session:
        done = _already(session, card.visit_id, job_key)
        if done is not None:
            return done
        desk.catch_up(session)
        found = _decide(desk, session, card, already_done)
        if found.refusals:
            raise Refused("\n".join(refusal.sentence for refusal in found.refusals))
        if card.contaminated:
            found = replace(found, events=(*found.events, *_met_blood_too(session, card, found)))
        job = desk.job("close", _sentence(desk, session, card.visit_id, found), job_key)
        session.append(job, found.events)
    return _receipt(desk, card, found, job)


def no_show(desk: Desk, visit_id: str) -> Receipt:
    """The client did not come; the visit is closed and nothing was used."""
    visit = find_visit(desk, visit_id)
    sentence = f"{_visit_words(desk, visit)} closed as a no-show; nothing was used."
    with desk.store.writing() as session:
        done = _already(session, visit_id)
        if done is not None:
            return done
        job = desk.job("no-show", sentence)
        session.append(job, not_served(visit_id))
    return Receipt(job.job_key, sentence)


def _already(session: Session, visit_id: str, job_key: str | None = None) -> Receipt | None:
    key = Key("visit", visit_id)
    mark = session.balances([key]).get(key)
    done = session.find_job(job_key) if job_key else None
    if isinstance(mark, VisitMark):
        done = session.find_job(mark.job_key)
    elif done is not None and not session.read(job_key=done.job_key, visit_id=visit_id):
        raise Refused(f"The key was used for another job; give this one its own: {done.sentence}")
    return Receipt(done.job_key, done.sentence, again=True) if done else None


def _decide(desk: Desk, session: Session, card: ServiceCard, already_done: bool) -> CloseOut:
    wanted = {line.item_id for line in card.lines}
    for item_id in wanted:
        desk.item(item_id)
    shelf = OnShelf(_grouped(session.lots(wanted)), _grouped(session.pieces(wanted)))
    known = Known(desk.items, desk.verdicts)
    return close_out(card, shelf, known, desk.now(), already_done)


def _met_blood_too(session: Session, card: ServiceCard, found: CloseOut) -> list[Event]:
    """Pieces of an earlier card of this visit that was undone: its blood was not known then."""
    kinds = [UseRecorded, OutsideUseRecorded]
    touched = {
        entry.event.piece_id
        for entry in session.read(kinds=kinds, visit_id=card.visit_id)
        if isinstance(entry.event, UseRecorded | OutsideUseRecorded)
    }
    dealt_with = {getattr(event, "piece_id", "") for event in found.events}
    return [
        Soiled(piece.item_id, piece.piece_id, blood_level=True)
        for piece in session.pieces()
        if piece.piece_id in touched - dealt_with and piece.state is not PieceState.RETIRED
    ]


def _grouped(found: Sequence[B]) -> dict[str, tuple[B, ...]]:
    groups: dict[str, list[B]] = {}
    for balance in found:
        groups.setdefault(balance.item_id, []).append(balance)
    return {item_id: tuple(balances) for item_id, balances in groups.items()}


def _visit_words(desk: Desk, visit: Appointment | None) -> str:
    if visit is None:
        return "A visit"
    return f"{visit.starts_at.astimezone(desk.zone):%H:%M} {visit.client}".strip()


def _sentence(desk: Desk, session: Session, visit_id: str, found: CloseOut) -> str:
    binned = sum(o.goes_to in (Route.BIN, Route.SHARPS) for o in found.outcomes)
    washed = sum(len(o.took) for o in found.outcomes if o.goes_to not in _SINGLE)
    flagged = sum(bool(o.flagged) for o in found.outcomes)
    sentence = (
        f"{_visit_words(desk, session.appointment(visit_id))} closed: "
        f"{counted(len(found.outcomes), 'item')} used, {binned} to the bin, "
        f"{counted(washed, 'piece')} to the wash."
    )
    if flagged:
        sentence += f" {flagged} flagged: settle by a count or a correction."
    return sentence


def _receipt(desk: Desk, card: ServiceCard, found: CloseOut, job: Job) -> Receipt:
    def told(wanted: Callable[[LineOutcome], bool]) -> tuple[str, ...]:
        return tuple(_told(desk, outcome) for outcome in found.outcomes if wanted(outcome))

    return Receipt(
        job.job_key,
        job.sentence,
        bin=told(lambda o: o.goes_to is Route.BIN),
        sharps=told(lambda o: o.goes_to is Route.SHARPS),
        wash=told(lambda o: o.goes_to not in _SINGLE),
        strip=told(lambda o: o.goes_to is Route.STRIP),
        flagged=told(lambda o: bool(o.flagged)),
        cautions=_cautions(desk, card),
    )


_SINGLE = (Route.BIN, Route.SHARPS, Route.DISPENSE)


def _told(desk: Desk, outcome: LineOutcome) -> str:
    item = desk.item(outcome.line.item_id)
    names = (
        f" ({', '.join(outcome.took)})" if outcome.took and outcome.goes_to not in _SINGLE else ""
    )
    return f"{amount(outcome.line.quantity, item.unit)} {item.name}{names}"


def _cautions(desk: Desk, card: ServiceCard) -> tuple[str, ...]:
    found = list(cautions_at("contamination")) if card.contaminated else []
    verdicts: list[Verdict] = [desk.verdicts[line.item_id] for line in card.lines if line.quantity]
    found += [verdict.banned for verdict in verdicts if verdict.banned]
    return tuple(found)


def _view(
    desk: Desk, line: CardLine, outcome: LineOutcome | None, told: dict[str, str]
) -> LineView:
    item, verdict = desk.item(line.item_id), desk.verdicts[line.item_id]
    return LineView(
        line,
        item.name,
        item.unit,
        verdict.category,
        GOES_TO.get(verdict.route, "wash") if line.quantity else "not used",
        outcome.took if outcome else (),
        told.get(line.item_id, "") if line.quantity else "",
    )
