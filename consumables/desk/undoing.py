"""Putting a mistake right: an earlier job is undone by a further entry, never rubbed out."""

from collections.abc import Sequence

from consumables.closeout.taken_back import stays_out
from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import Discarded, EntryCorrected, Event, LotReceived
from consumables.ledger.marks import FlagMark
from consumables.store.ledger_store import Job
from consumables.store.shop_store import Session
from consumables.words import counted

# Files that came in are put right by bringing in a better file, not by undoing.
_NOT_UNDONE = frozenset({"spore-result", "restore", "open-shelf", "history", "book", "purge"})
# Jobs after which the desk must read its verdicts anew.
_VERDICTS = frozenset({"tighten", "loosen", "to-book"})


def recent_jobs(desk: Desk, newest: int = 20) -> list[Job]:
    """The latest jobs, newest first."""
    with desk.store.reading() as session:
        return session.jobs(newest)


def last_job(desk: Desk) -> Job | None:
    """The latest job that is not undone yet and is not an undoing itself."""
    with desk.store.reading() as session:
        return _last_standing(session)


def undo(
    desk: Desk,
    job_key: str | None = None,
    because: str = "made by mistake",
    not_used: bool = False,
) -> Receipt:
    """Undo one job (the last when not named); refused when something later rests on it.

    What a closed visit drew stays out and its pieces go to the wash, so that nothing can serve a
    second client by way of a correction; `not_used` says that this visit did not touch them.
    """
    with desk.store.writing() as session:
        done = session.find_job(job_key) if job_key else _last_standing(session)
        if done is None:
            raise NotFound("There is nothing to undo." if not job_key else f"No job {job_key}.")
        _may_be_undone(session, done)
        job = desk.job("undo", f"Undone: {done.sentence}", undoes=done.job_key)
        events = [entry.event for entry in session.read(job_key=done.job_key)]
        follows = stays_out(events) if done.verb == "close" and not not_used else []
        session.undo(job, because, follows)
    if done.verb in _VERDICTS:
        desk.forget()
    stayed = tuple(_stayed(desk, event) for event in follows if isinstance(event, Discarded))
    return Receipt(job.job_key, job.sentence, bin=stayed)


def _stayed(desk: Desk, event: Discarded) -> str:
    return f"{event.quantity} {desk.name_of(event.item_id)} stay out"


def flagged(desk: Desk) -> list[FlagMark]:
    """Uses outside the rules or the counted stock that nobody has settled yet."""
    with desk.store.reading() as session:
        flags: list[FlagMark] = session.marks("flag")
    return flags


def settle(desk: Desk, entry_ids: Sequence[int], because: str, as_new: bool = False) -> Receipt:
    """Somebody looked into these flagged uses and says what was found.

    A surplus that a count found is held back; `as_new` says that it is new and unused (a delivery
    nobody wrote down) and puts it on the shelf. Otherwise it is taken to be in the bin.
    """
    if not because.strip():
        raise Refused("Say what was found, so that an inspector can read it.")

    def decide(session: Session) -> list[Event]:
        known = {flag.entry_id: flag for flag in session.marks("flag")}
        unknown = [number for number in entry_ids if number not in known]
        if unknown or not entry_ids:
            numbers = ", ".join(str(number) for number in unknown) or "(none named)"
            raise NotFound(
                f"No open flagged use has the number {numbers}; `consumables flags` lists them."
            )
        new = [_as_new(session, known[number]) for number in entry_ids] if as_new else []
        return [*(EntryCorrected(number, "settled", because) for number in entry_ids), *new]

    return desk.do(
        "settle", f"{counted(len(entry_ids), 'flagged use')} settled: {because}.", decide
    )


def _as_new(session: Session, flag: FlagMark) -> LotReceived:
    if flag.visit_id:
        raise Refused("Only a surplus that a count found can be new; a use was a use.")
    # Nobody saw its date: it lasts no longer than the first of its kind on the shelf.
    dates = [lot.use_by for lot in session.lots([flag.item_id]) if lot.use_by]
    name = f"{flag.item_id}-found-{flag.entry_id}"
    return LotReceived(flag.item_id, name, flag.quantity, min(dates, default=None))


def _last_standing(session: Session) -> Job | None:
    jobs = session.jobs(200)
    undone = {job.undoes for job in jobs if job.undoes}
    standing = (job for job in jobs if _undoable(job) and job.job_key not in undone)
    return next(standing, None)


def _undoable(job: Job) -> bool:
    return (
        job.undoes is None
        and job.verb not in _NOT_UNDONE
        and not job.job_key.startswith("history:")
    )


def _may_be_undone(session: Session, done: Job) -> None:
    if not _undoable(done):
        raise Refused(f"This is not undone; do it anew instead: {done.sentence}")
    if any(job.undoes == done.job_key for job in session.jobs(1_000_000)):
        raise Refused(f"This is undone already: {done.sentence}")
    if done.verb == "mix":
        _refuse_a_full_jar(session, done)


def _refuse_a_full_jar(session: Session, done: Job) -> None:
    mixed = {getattr(entry.event, "jar_id", "") for entry in session.read(job_key=done.job_key)}
    held = [piece.piece_id for piece in session.pieces() if piece.jar_id in mixed - {""}]
    if held:
        raise Refused(f"{', '.join(held)} lie in that jar: take them out first.")
