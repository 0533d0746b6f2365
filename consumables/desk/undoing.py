"""Putting a mistake right: an earlier job is undone by a further entry, never rubbed out."""

from collections.abc import Sequence

from consumables.desk.opening import Desk, Receipt
from consumables.errors import NotFound, Refused
from consumables.ledger.events import EntryCorrected, Event
from consumables.ledger.marks import FlagMark
from consumables.store.ledger_store import Job
from consumables.store.shop_store import Session
from consumables.words import counted

# Files that came in are put right by bringing in a better file, not by undoing.
_NOT_UNDONE = frozenset({"open-shelf", "history", "book"})


def recent_jobs(desk: Desk, newest: int = 20) -> list[Job]:
    """The latest jobs, newest first."""
    with desk.store.reading() as session:
        return session.jobs(newest)


def last_job(desk: Desk) -> Job | None:
    """The latest job that is not undone yet and is not an undoing itself."""
    with desk.store.reading() as session:
        return _last_standing(session)


def undo(desk: Desk, job_key: str | None = None, because: str = "made by mistake") -> Receipt:
    """Undo one job (the last when not named); refused when something later rests on it."""
    with desk.store.writing() as session:
        done = session.find_job(job_key) if job_key else _last_standing(session)
        if done is None:
            raise NotFound("There is nothing to undo." if not job_key else f"No job {job_key}.")
        _may_be_undone(session, done)
        job = desk.job("undo", f"Undone: {done.sentence}", undoes=done.job_key)
        session.undo(job, because)
    return Receipt(job.job_key, job.sentence)


def flagged(desk: Desk) -> list[FlagMark]:
    """Uses outside the rules or the counted stock that nobody has settled yet."""
    with desk.store.reading() as session:
        flags: list[FlagMark] = session.marks("flag")
    return flags


def settle(desk: Desk, entry_ids: Sequence[int], because: str) -> Receipt:
    """Somebody looked into these flagged uses and says what was found."""
    if not because.strip():
        raise Refused("Say what was found, so that an inspector can read it.")

    def decide(session: Session) -> list[Event]:
        known = {flag.entry_id for flag in session.marks("flag")}
        unknown = [number for number in entry_ids if number not in known]
        if unknown or not entry_ids:
            raise NotFound(f"No open flagged use has the number {unknown or '(none named)'}.")
        return [EntryCorrected(number, "settled", because) for number in entry_ids]

    return desk.do(
        "settle", f"{counted(len(entry_ids), 'flagged use')} settled: {because}.", decide
    )


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
