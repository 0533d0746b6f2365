"""A shop file from an earlier version gets the columns it lacks; nothing in it is rewritten."""

from typing import Any

from sqlalchemy import Column, Connection
from sqlalchemy.schema import CreateColumn
from sqlmodel import SQLModel


def add_missing_columns(connection: Connection) -> list[str]:
    """Add what this version's tables have and the file's lack, in the caller's transaction.

    Returns the names added, as `table.column`. Columns are only ever added (ALTER TABLE ADD
    COLUMN touches neither rows nor triggers); a new one has a default or may be empty.
    """
    added: list[str] = []
    for table in SQLModel.metadata.sorted_tables:
        have = {row[1] for row in connection.exec_driver_sql(f"PRAGMA table_info({table.name})")}
        for column in table.columns:
            if column.name not in have:
                step = f"ALTER TABLE {table.name} ADD COLUMN {_words(connection, column)}"
                connection.exec_driver_sql(step)
                added.append(f"{table.name}.{column.name}")
    return added


def _words(connection: Connection, column: Column[Any]) -> str:
    words = str(CreateColumn(column).compile(dialect=connection.dialect))
    if column.nullable:
        return words
    default: Any = column.default
    assert default is not None, f"{column} needs a default to be added to older files"
    start = default.arg
    quoted = f"'{start}'" if isinstance(start, str) else str(int(start))
    return f"{words} DEFAULT {quoted}"
