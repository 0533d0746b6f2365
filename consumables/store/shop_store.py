"""One open shop: everything the desk may read from it or write to it, one transaction a job."""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import IntegrityError, OperationalError

from consumables.errors import Refused, ShopUnavailable
from consumables.items.catalogue import Catalogue, ShopSettings
from consumables.ledger.appointments import Appointment
from consumables.ledger.events import Entry, Event
from consumables.ledger.fold import Balance, Key
from consumables.ledger.pieces import PieceBalance
from consumables.ledger.stock import LotBalance
from consumables.store import (
    appointment_store,
    balances,
    catalogue_store,
    client_codes,
    digest,
    frames,
    ledger_store,
)
from consumables.store.appointment_store import BookChange
from consumables.store.digest import Digest
from consumables.store.engine import open_engine
from consumables.store.ledger_store import Job
from consumables.store.newest import NewestEntry


class Session:
    """One transaction on one shop."""

    def __init__(self, connection: Connection, shop: str) -> None:
        self._connection = connection
        self._shop = shop

    # the ledger

    def find_job(self, job_key: str) -> Job | None:
        """The job with this key, if it was done already."""
        return ledger_store.find_job(self._connection, self._shop, job_key)

    def jobs(self, newest: int = 50) -> list[Job]:
        """The latest jobs, newest first."""
        return ledger_store.jobs(self._connection, self._shop, newest)

    def append(self, job: Job, events: Sequence[Event]) -> list[Entry]:
        """Write a job's entries and the balances they leave."""
        return ledger_store.append(self._connection, self._shop, job, events)

    def append_many(self, work: Sequence[tuple[Job, Sequence[Event]]]) -> list[Entry]:
        """Write many jobs at once, oldest first."""
        return ledger_store.append_many(self._connection, self._shop, work)

    def undo(self, job: Job, because: str, also: Sequence[Event] = ()) -> list[Entry]:
        """Reverse every entry of the job that `job.undoes` names, and write what follows."""
        return ledger_store.undo(self._connection, self._shop, job, because, also)

    def read(self, **filters: Any) -> list[Entry]:
        """Entries, oldest first; filters as in `ledger_store.read`."""
        return ledger_store.read(self._connection, self._shop, **filters)

    def reversed_ids(self) -> set[int]:
        """Entries that a later one has undone."""
        return ledger_store.reversed_ids(self._connection, self._shop)

    def differences(self) -> list[str]:
        """Where balances and ledger differ: nothing, in a sound shop."""
        return ledger_store.differences(self._connection, self._shop)

    def digests(self, up_to: int | None = None) -> Iterator[Digest]:
        """The seal after each entry, oldest first, after that of the empty ledger."""
        return digest.digests(self._connection, self._shop, up_to)

    # what the shelf holds

    def lots(self, item_ids: Iterable[str] | None = None) -> list[LotBalance]:
        """Lots with something left in them."""
        return balances.lots_of(self._connection, self._shop, item_ids)

    def last_lot(self, item_id: str) -> list[LotBalance]:
        """The lot of an item that came last, even when it is used up; empty if there was none."""
        return balances.last_lot(self._connection, self._shop, item_id)

    def pieces(self, item_ids: Iterable[str] | None = None) -> list[PieceBalance]:
        """Tagged pieces, retired ones too."""
        return balances.pieces_of(self._connection, self._shop, item_ids)

    def marks(self, sort: str, only_open: bool = True) -> list[Any]:
        """Orders, jars, flags (order | jar | flag | tight)."""
        return balances.marks_of(self._connection, self._shop, sort, only_open)

    def balances(self, keys: Iterable[Key]) -> dict[Key, Balance]:
        """Stored balances by key."""
        return balances.load(self._connection, self._shop, keys)

    # the catalogue and the appointment book

    def settings(self) -> ShopSettings | None:
        """The shop's own decisions; None before the shop is made."""
        return catalogue_store.read_settings(self._connection, self._shop)

    def write_settings(self, settings: ShopSettings) -> None:
        """Make the shop or change its decisions."""
        catalogue_store.write_settings(self._connection, self._shop, settings)

    def catalogue(self) -> Catalogue:
        """Everything the shop owns, buys and offers."""
        return catalogue_store.read_catalogue(self._connection, self._shop)

    def known_by(self) -> str:
        """A mark that is another as soon as settings, catalogue or an own verdict changed."""
        return catalogue_store.known_by(self._connection, self._shop)

    def write_catalogue(self, catalogue: Catalogue) -> dict[str, int]:
        """Replace the catalogue; counts of what changed by sort."""
        return catalogue_store.write_catalogue(self._connection, self._shop, catalogue)

    def appointments(self, first: datetime, last: datetime) -> list[Appointment]:
        """Appointments that start in [first, last)."""
        return appointment_store.between(self._connection, self._shop, first, last)

    def appointment(self, visit_id: str) -> Appointment | None:
        """One appointment."""
        return appointment_store.find(self._connection, self._shop, visit_id)

    def write_appointments(
        self,
        appointments: Iterable[Appointment],
        source: str,
        window: tuple[datetime, datetime] | None = None,
    ) -> BookChange:
        """Take over a reading of the calendar."""
        return appointment_store.write(self._connection, self._shop, appointments, source, window)

    def codes_kept(self, before: datetime) -> int:
        """Visits that started before this moment and still carry a client's code."""
        return client_codes.kept_before(self._connection, self._shop, before)

    def purge_codes(self, before: datetime) -> int:
        """Take client codes off visits that started before this moment; how many had one."""
        return client_codes.purge(self._connection, self._shop, before)

    def frames(self, zone: str, until: datetime) -> frames.PlanFrames:
        """Past and promised visits, use and stock as tables for the planner."""
        return frames.read_frames(self._connection, self._shop, zone, until)


_OLDER_COPY = (
    "This file is an older copy of the shop: what was used since is not in it. Nothing is written "
    "until it is taken over: `consumables restore`, then count the shelf."
)


class ShopStore:
    """A shop file, open until closed."""

    def __init__(self, location: str, shop: str = "shop") -> None:
        self.location = location
        self.shop = shop
        self._engine: Engine = open_engine(location)
        self._newest = NewestEntry(location)

    @contextmanager
    def writing(self, older_copy: bool = False) -> Iterator[Session]:
        """One immediate transaction: all of it is written, or none.

        Refused where an older copy lies in the shop's place, unless `older_copy` says so.
        """
        with _explained(self.location), self._engine.begin() as connection:
            if not older_copy and ledger_store.last_entry(connection) < self._newest.read():
                raise Refused(_OLDER_COPY)
            yield Session(connection, self.shop)
            last = ledger_store.last_entry(connection)
        self._newest.note(last, anew=older_copy)

    @property
    def missing_from(self) -> int | None:
        """The first entry that an older copy in the shop's place lacks, if it is one."""
        with self._engine.connect() as plain:
            connection = plain.execution_options(reading=True)
            last = ledger_store.last_entry(connection)
        return last + 1 if last < self._newest.read() else None

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """One consistent look; never holds up a writer."""
        with _explained(self.location), self._engine.connect() as plain:
            connection = plain.execution_options(reading=True)
            with connection.begin():
                yield Session(connection, self.shop)

    def backup(self, path: Path) -> None:
        """A whole, consistent copy of the shop beside the running one."""
        if path.exists():
            raise Refused(f"{path} exists already; give the copy another name.")
        with _explained(str(path)), self._engine.connect() as plain:
            driver = plain.connection.driver_connection
            assert driver is not None
            driver.execute("VACUUM INTO ?", (str(path),))

    def sound(self) -> bool:
        """Does the file itself hold together (SQLite integrity check)?"""
        with self._engine.connect() as plain:
            connection = plain.execution_options(reading=True)
            return connection.execute(text("PRAGMA integrity_check")).scalar() == "ok"

    def tidy(self) -> bool:
        """Write the file anew, so that what was taken out of it is not left in its gaps; False
        where somebody else holds the shop just now."""
        with self._engine.connect() as plain:
            driver = plain.connection.driver_connection
            assert driver is not None
            driver.execute("PRAGMA busy_timeout = 500")  # a desk that waits ten seconds is stuck
            try:
                driver.execute("VACUUM")
                busy, *_ = driver.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            except sqlite3.OperationalError:
                return False
            finally:
                plain.invalidate()  # the next one waits as long as every other again
        return not busy

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()


@contextmanager
def _explained(location: str) -> Iterator[None]:
    try:
        yield
    except IntegrityError:
        raise Refused(
            "Someone else took the last one, or closed this visit, a moment ago: "
            "look again and repeat."
        ) from None
    except OperationalError as problem:
        raise ShopUnavailable(
            f"{location} cannot be read or written just now ({problem.orig}). Try again; "
            "nothing of this job was kept."
        ) from None
