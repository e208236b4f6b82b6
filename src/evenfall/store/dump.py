"""The tables as lines of JSON, and back: how a PostgreSQL record goes into a backup, and any record into PostgreSQL."""

import json
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, Integer, Table, func, select, text

from evenfall.errors import StoreError
from evenfall.store import figures
from evenfall.store.editing import plain, typed
from evenfall.store.rows import key_of
from evenfall.store.schema import metadata

__all__ = ["TABLES", "fill", "lines", "require_empty"]

TABLES = tuple(table.name for table in metadata.sorted_tables)
"""Names of all tables, those first that others speak of."""
BATCH = 500


def lines(connection: Connection, table: str) -> Iterator[bytes]:
    """Write each row of a table as one line."""
    rows = connection.execute(select(metadata.tables[table])).mappings()
    for row in rows:
        yield json.dumps({name: plain(value) for name, value in row.items()}).encode() + b"\n"


def fill(connection: Connection, read: Callable[[str], Iterable[bytes]]) -> None:
    """Put rows into empty tables, and have new rows counted on from there.

    Lines of an older step may lack tables and columns; what is made from other rows is made then.

    Parameters
    ----------
    connection : sqlalchemy.Connection
    read : callable
        From a table's name to its lines.
    """
    for table in metadata.sorted_tables:
        batch: list[dict[str, Any]] = []
        for line in read(table.name):
            batch.append({name: typed(table.c[name], value) for name, value in json.loads(line).items()})
            if len(batch) == BATCH:
                connection.execute(table.insert(), batch)
                batch = []
        if batch:
            connection.execute(table.insert(), batch)
        _count_on(connection, table)
    figures.complete(connection)


def require_empty(connection: Connection) -> None:
    """Refuse a record that holds anything.

    Raises
    ------
    StoreError
    """
    for table in metadata.sorted_tables:
        if connection.execute(select(key_of(table)).limit(1)).first() is not None:
            raise StoreError(
                f"expected an empty database to restore into, found rows in {table.name}. "
                "Nothing was changed. Give a new database."
            )


def _count_on(connection: Connection, table: Table) -> None:
    key = key_of(table)
    if connection.dialect.name != "postgresql" or key.name != "id" or not isinstance(key.type, Integer):
        return
    last = connection.scalar(select(func.max(key)))
    if last is not None:
        sequence = connection.scalar(text("SELECT pg_get_serial_sequence(:name, 'id')"), {"name": table.name})
        if sequence:
            connection.execute(text("SELECT setval(:sequence, :last)"), {"sequence": sequence, "last": last})
