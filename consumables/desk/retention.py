"""How long clients' codes are kept: as the book asks; longer if you like, never shorter."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from consumables.desk.opening import Desk, Receipt
from consumables.errors import Refused
from consumables.items.rulebook_reader import shipped
from consumables.ledger.events import ClientCodesPurged
from consumables.words import PieceState, counted

# O. Reg. 136/18 asks for 1 year on the premises and 2 more: the longest of the texts seen.
LONGEST = "strict-majority"
KIT_STAYS = (
    "A kit's code stays in the ledger, which nothing rewrites: it is what keeps the kit from "
    "serving anybody else. It is a code, and nothing else is known of whom it stands for."
)


@dataclass(frozen=True)
class Retention:
    """What is kept of clients and until when; `first_kept` is the oldest day whose codes stand."""

    days: int
    says: str  # who asks for it, in a sentence
    first_kept: date
    visits_past: int  # visits before that day that still carry a client's code
    kits: tuple[str, ...]  # tags of pieces bound to one client, retired ones too
    kits_retired: int
    kit_stays: str = KIT_STAYS


def retention(desk: Desk, keep_days: int | None = None) -> Retention:
    """How long codes are kept here, and what is past it. `keep_days` keeps them longer; Refused
    where it is shorter than the book in force asks."""
    days, says = _days(desk, keep_days)
    first_kept = desk.today() - timedelta(days=days)
    with desk.store.reading() as session:
        visits = session.codes_kept(_midnight(desk, first_kept))
        kits = [piece for piece in session.pieces() if piece.client]
    retired = sum(piece.state is PieceState.RETIRED for piece in kits)
    return Retention(
        days, says, first_kept, visits, tuple(piece.piece_id for piece in kits), retired
    )


def purge(desk: Desk, keep_days: int | None = None) -> Receipt:
    """Take the codes off visits past retention; no visit, use or count is lost by it."""
    first_kept = retention(desk, keep_days).first_kept
    until = _midnight(desk, first_kept)
    with desk.store.writing() as session:
        visits = session.purge_codes(until)
        sentence = f"No visit before {first_kept} carries a client's code."
        job_key = ""
        if visits:
            sentence = f"Codes taken off {counted(visits, 'visit')} before {first_kept}."
            job = desk.job("purge", sentence)
            session.append(job, [ClientCodesPurged(until, visits)])
            job_key = job.job_key
    tidied = desk.store.tidy()
    return Receipt(job_key, sentence, cautions=(COPIES,) if tidied else (COPIES, HELD))


HELD = (
    "Another desk holds the shop, so the file may still have the codes in its gaps: close the "
    "other one and purge again."
)
COPIES = (
    "Copies made before this still hold the codes: purge or destroy them too, and the calendar "
    "the visits came from."
)


def reminder(desk: Desk) -> str:
    """A sentence where codes are past retention, as in a copy from before a purge; else empty."""
    found = retention(desk)
    if not found.visits_past:
        return ""
    return (
        f"{counted(found.visits_past, 'visit')} before {found.first_kept} still "
        f"{'carries' if found.visits_past == 1 else 'carry'} a client's code, past the "
        f"{found.days} days they are kept: `consumables retention --purge`."
    )


def _days(desk: Desk, keep_days: int | None) -> tuple[int, str]:
    asked = desk.book.parameters.retention_days
    of_what = desk.book.parameters.retention_of
    says = f"{desk.book.title} asks for {asked} days{f' ({of_what})' if of_what else ''}."
    if asked is None:
        longest = shipped(LONGEST)
        asked = longest.parameters.retention_days
        assert asked is not None
        says = (
            f"{desk.book.title}, as seen, does not say how long; the {asked} days of "
            f"{longest.title} are kept instead, the longest known."
        )
    if keep_days is None:
        return asked, says
    if keep_days < asked:
        raise Refused(f"{keep_days} days is shorter than may be kept: {says}")
    return keep_days, f"{says} This shop keeps {keep_days} days."


def _midnight(desk: Desk, day: date) -> datetime:
    return datetime.combine(day, time(), desk.zone)
