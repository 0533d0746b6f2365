"""Opening the shop's memory: durable, one writer at a time, and a ledger that nothing rewrites."""

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, event, text
from sqlalchemy import create_engine as _create_engine
from sqlalchemy.exc import DatabaseError, OperationalError
from sqlmodel import SQLModel

from consumables.errors import ShopUnavailable
from consumables.store import tables
from consumables.store.stepping import add_missing_columns

_APPEND_ONLY = (
    ("entry_never_changes", "BEFORE UPDATE ON entry", "the ledger is never changed"),
    ("entry_never_goes", "BEFORE DELETE ON entry", "the ledger is never shortened"),
    # INSERT OR REPLACE walks round a delete trigger, and a number that was left out would put an
    # entry among the older ones, so a new entry comes after all others or not at all.
    (
        "entry_only_follows",
        "BEFORE INSERT ON entry WHEN NEW.entry_id <= (SELECT max(entry_id) FROM entry)",
        "the ledger is never written but at its end",
    ),
)


def open_engine(location: str) -> Engine:
    """An engine for a shop file (path or sqlite URL), its tables made where they are missing.

    Raises ShopUnavailable where the file cannot be opened, is no shop, or is too new.
    """
    engine = _create_engine(_url(location), connect_args={"timeout": 10}, hide_parameters=True)
    event.listen(engine, "connect", _set_up_connection)
    event.listen(engine, "begin", _begin_immediate)
    try:
        with engine.begin() as connection:
            _make_tables(connection)
    except (OperationalError, DatabaseError) as problem:
        engine.dispose()
        raise ShopUnavailable(
            f"{location} cannot be opened as a shop ({_plain(problem)}). "
            "Check the path, or that no other program holds it."
        ) from None
    return engine


def _url(location: str) -> str:
    if location.startswith("sqlite:"):
        return location
    if "://" in location:
        raise ShopUnavailable(
            f"{location.split('://')[0]} shops cannot be opened yet; give the path of a shop file."
        )
    path = Path(location).expanduser()
    if path.is_dir():
        raise ShopUnavailable(f"{path} is a folder; give the path of a shop file in it.")
    path.parent.mkdir(parents=True, exist_ok=True)
    return f"sqlite:///{path}"


def _set_up_connection(connection: Any, _record: Any) -> None:
    # The driver must not open transactions of its own: ours begin as writers (see below).
    connection.isolation_level = None
    for pragma in (
        "journal_mode = WAL",
        "foreign_keys = ON",
        "synchronous = FULL",
        "busy_timeout = 10000",
        "recursive_triggers = ON",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin_immediate(connection: Connection) -> None:
    # Read-then-write under a deferred transaction loses updates: 120 of 180 in a measured race.
    reading = connection.get_execution_options().get("reading", False)
    connection.exec_driver_sql("BEGIN" if reading else "BEGIN IMMEDIATE")


def _make_tables(connection: Connection) -> None:
    SQLModel.metadata.create_all(connection)
    newest = connection.execute(text("SELECT max(schema_version) FROM shop")).scalar()
    if newest is not None and newest > tables.SCHEMA_VERSION:
        raise ShopUnavailable("This shop was written by a newer version; update this one first.")
    add_missing_columns(connection)
    for name, moment, sentence in _APPEND_ONLY:
        connection.execute(
            text(
                f"CREATE TRIGGER IF NOT EXISTS {name} {moment} "
                f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
            )
        )


def _plain(problem: DatabaseError) -> str:
    return str(problem.orig) if problem.orig is not None else "database problem"
