"""Writing what happened, once, together with what it leaves; and proving the two agree."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, func, insert, or_, select

from consumables.errors import NotFound, Refused
from consumables.ledger.events import Entry, EntryCorrected, Event
from consumables.ledger.fold import Balance, Key, change, fold, fold_key, keys_of, reversal_of
from consumables.store import balances
from consumables.store.codec import KINDS, from_text, to_text
from consumables.store.tables import EntryRow, JobRow, table_of

ENTRY, JOB = table_of(EntryRow), table_of(JobRow)
_LAST_ENTRY = select(func.max(ENTRY.c.entry_id))
_FINDABLE = ("item_id", "lot_id", "piece_id", "visit_id", "service_id", "order_id", "quantity")
_KINDS_OF = {
    "jar": ("SolutionMixed", "SolutionDiscarded"),
    "flag": ("OutsideUseRecorded", "StockCounted"),
    "tight": ("VerdictTightened", "VerdictRestored"),
    "loose": ("VerdictLoosened", "VerdictRestored"),
}
_COLUMN_OF = {"lot": "lot_id", "piece": "piece_id", "order": "order_id", "visit": "visit_id"}


@dataclass(frozen=True)
class Job:
    """One finished job, as it was acknowledged."""

    job_key: str
    at: datetime
    who: str
    verb: str
    sentence: str
    undoes: str | None = None


def last_entry(connection: Connection) -> int:
    """The number of the newest entry, 0 in an empty ledger."""
    return connection.execute(_LAST_ENTRY).scalar() or 0


def find_job(connection: Connection, shop: str, job_key: str) -> Job | None:
    """The job with this key, if it was done already."""
    query = select(JOB).where(JOB.c.shop_id == shop, JOB.c.job_key == job_key)
    row = connection.execute(query).mappings().first()
    return _job(row) if row else None


def jobs(connection: Connection, shop: str, newest: int = 50) -> list[Job]:
    """The latest jobs, newest first."""
    query = (
        select(JOB).where(JOB.c.shop_id == shop).order_by(JOB.c.first_entry.desc(), JOB.c.at.desc())
    )
    return [_job(row) for row in connection.execute(query.limit(newest)).mappings()]


def append(connection: Connection, shop: str, job: Job, events: Sequence[Event]) -> list[Entry]:
    """Write a job's entries and the balances they leave, in the caller's one transaction.

    Raises Refused where a step cannot have happened; the caller's transaction then rolls back.
    """
    return append_many(connection, shop, [(job, events)])


def append_many(
    connection: Connection, shop: str, work: Sequence[tuple[Job, Sequence[Event]]]
) -> list[Entry]:
    """Write many jobs at once, oldest first: a past that is brought in as a whole."""
    entries = _write(connection, shop, work)
    steps = [(key, entry) for entry in entries for key in keys_of(entry)]
    keys = {key for key, _ in steps}
    held: dict[Key, Balance | None] = {**balances.load(connection, shop, keys)}
    for key, entry in steps:
        held[key] = change(key, held.get(key), entry)
    balances.save(connection, shop, {key: held[key] for key in keys})
    return entries


def undo(
    connection: Connection, shop: str, job: Job, because: str, also: Sequence[Event] = ()
) -> list[Entry]:
    """Reverse every entry of the job named by `job.undoes`, work its balances out anew, and
    write what else follows from it."""
    done = read(connection, shop, job_key=job.undoes)
    if not done:
        raise NotFound(f"No job {job.undoes} is in this shop's ledger.")
    events = [EntryCorrected(entry.entry_id, "reversed", because) for entry in done]
    entries = _write(connection, shop, [(job, [*events, *also])])
    keys = {key for entry in (*done, *entries) for key in keys_of(entry)}
    balances.save(connection, shop, {key: _refold(connection, shop, key) for key in keys})
    return entries


def read(
    connection: Connection,
    shop: str,
    *,
    job_key: str | None = None,
    kinds: Iterable[type[Any]] = (),
    since: datetime | None = None,
    until: datetime | None = None,
    visit_id: str | None = None,
) -> list[Entry]:
    """Entries, oldest first, filtered by what is given; `until` is exclusive."""
    query = select(ENTRY).where(ENTRY.c.shop_id == shop)
    if job_key is not None:
        query = query.where(ENTRY.c.job_key == job_key)
    if names := [kind.__name__ for kind in kinds]:
        query = query.where(ENTRY.c.kind.in_(names))
    if since is not None:
        query = query.where(ENTRY.c.at >= since)
    if until is not None:
        query = query.where(ENTRY.c.at < until)
    if visit_id is not None:
        query = query.where(ENTRY.c.visit_id == visit_id)
    rows = connection.execute(query.order_by(ENTRY.c.entry_id)).mappings()
    return [_entry(row) for row in rows]


def reversed_ids(connection: Connection, shop: str) -> set[int]:
    """Entries that a later one has undone."""
    query = select(ENTRY.c.corrects).where(
        ENTRY.c.shop_id == shop, ENTRY.c.kind == "EntryCorrected", ENTRY.c.corrects.is_not(None)
    )
    return set(connection.execute(query).scalars())


def differences(connection: Connection, shop: str) -> list[str]:
    """Where the stored balances differ from the fold of the ledger, a sentence each."""
    told = fold(read(connection, shop))
    kept = balances.load_all(connection, shop)
    return [
        f"{key.sort} {key.id}: the ledger says {_said(told, key)}, the balance {_said(kept, key)}."
        for key in sorted({*told, *kept})
        if told.get(key) != kept.get(key)
    ]


def _said(balances_by_key: Mapping[Key, Balance], key: Key) -> str:
    balance = balances_by_key.get(key)
    return "nothing" if balance is None else str(balance)


def _write(
    connection: Connection, shop: str, work: Sequence[tuple[Job, Sequence[Event]]]
) -> list[Entry]:
    number = last_entry(connection)
    jobs: list[dict[str, Any]] = []
    entries: list[Entry] = []
    for job, events in work:
        values = {name: getattr(job, name) for name in Job.__dataclass_fields__}
        jobs.append({"shop_id": shop, "first_entry": number + 1, **values})
        for event in events:
            number += 1
            entries.append(Entry(number, job.at, job.who, job.job_key, event))
    connection.execute(insert(JOB), jobs)
    if entries:
        connection.execute(insert(ENTRY), [_row(shop, entry) for entry in entries])
    return entries


def _row(shop: str, entry: Entry) -> dict[str, Any]:
    event = entry.event
    return {
        "shop_id": shop,
        "entry_id": entry.entry_id,
        "at": entry.at,
        "who": entry.who,
        "job_key": entry.job_key,
        "kind": type(event).__name__,
        "corrects": reversal_of(entry),
        "body": to_text(event),
        **{name: getattr(event, name, None) for name in _FINDABLE},
    }


def _entry(row: RowMapping) -> Entry:
    event = from_text(KINDS[row["kind"]], row["body"])
    return Entry(row["entry_id"], row["at"], row["who"], row["job_key"], event)


def _job(row: RowMapping) -> Job:
    return Job(**{name: row[name] for name in Job.__dataclass_fields__})


def _refold(connection: Connection, shop: str, key: Key) -> Balance | None:
    """Work one balance out from its own entries and all reversals."""
    if column := _COLUMN_OF.get(key.sort):
        touching = ENTRY.c[column] == key.id
    else:
        touching = ENTRY.c.kind.in_(_KINDS_OF[key.sort])
    corrections = ENTRY.c.kind == "EntryCorrected"
    query = select(ENTRY).where(ENTRY.c.shop_id == shop, or_(touching, corrections))
    rows = connection.execute(query.order_by(ENTRY.c.entry_id)).mappings()
    try:
        return fold_key(key, (_entry(row) for row in rows))
    except Refused as trouble:
        raise Refused(
            f"This cannot be undone any more, because something later rests on it: {trouble}"
        ) from None
