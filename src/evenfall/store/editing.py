"""Changes made by people: each is written down as it is made, so that it can be undone.

An entry holds, for each row it touched, only the columns that changed, as they were and as they became. Adding
something is written down as taking it out of the bin, so undoing it puts it there.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeAlias

from sqlalchemy import Column, Connection, Date, RowMapping, Table

from evenfall.store import schema
from evenfall.store.engine import now
from evenfall.store.rows import key_of, one

__all__ = [
    "Change",
    "Deed",
    "add_row",
    "change_row",
    "delete_row",
    "difference",
    "plain",
    "restore_row",
    "revive_row",
    "typed",
    "write_down",
]

Values: TypeAlias = Mapping[str, Any]
Change: TypeAlias = tuple[dict[str, Any], dict[str, Any]]
"""The changed columns as they were, and as they became."""


@dataclass(frozen=True)
class Deed:
    """Who did it, and what it was in plain words."""

    by: str
    what: str


def add_row(connection: Connection, table: Table, values: Values, deed: Deed) -> RowMapping:
    """Put a row in, written down."""
    put = table.insert().values(**values).returning(*table.c)
    row = connection.execute(put).mappings().one()
    gone = ({"deleted_at": plain(now())}, {"deleted_at": None})
    write_down(connection, table, {str(row[key_of(table)]): gone}, deed)
    return row


def change_row(
    connection: Connection, table: Table, row_id: int | str, values: Values, deed: Deed
) -> RowMapping:
    """Change a row that is not in the bin, written down; nothing is written where nothing changes."""
    return _changed(connection, table, one(connection, table, row_id, held=True), values, deed)


def delete_row(connection: Connection, table: Table, row_id: int | str, deed: Deed) -> None:
    """Put a row into the bin, written down; one that is there already stays as it is."""
    row = one(connection, table, row_id, binned=True, held=True)
    if row["deleted_at"] is None:
        _changed(connection, table, row, {"deleted_at": now()}, deed)


def restore_row(connection: Connection, table: Table, row_id: int | str, deed: Deed) -> RowMapping:
    """Take a row out of the bin, written down."""
    row = one(connection, table, row_id, binned=True, held=True)
    return _changed(connection, table, row, {"deleted_at": None}, deed)


def revive_row(
    connection: Connection, table: Table, row_id: int | str, values: Values, deed: Deed
) -> RowMapping:
    """Change a row and take it out of the bin if it lies there, written down as one edit."""
    row = one(connection, table, row_id, binned=True, held=True)
    return _changed(connection, table, row, {**values, "deleted_at": None}, deed)


def write_down(connection: Connection, table: Table, changes: Mapping[str, Change], deed: Deed) -> None:
    """Write an entry of changed rows."""
    connection.execute(
        schema.edits.insert().values(
            at=now(),
            device=deed.by,
            table=table.name,
            row_id=next(iter(changes)),
            what=deed.what,
            before={row_id: before for row_id, (before, _) in changes.items()},
            after={row_id: after for row_id, (_, after) in changes.items()},
        )
    )


def difference(row: RowMapping, values: Values) -> Change:
    """Return the columns in which a row would change, as they are and as they would become."""
    names = [name for name, value in values.items() if plain(row[name]) != plain(value)]
    return {name: plain(row[name]) for name in names}, {name: plain(values[name]) for name in names}


def plain(value: Any) -> Any:  # noqa: ANN401
    """Return a column's value as JSON can hold it."""
    if isinstance(value, date):
        return value.isoformat()
    return list(value) if isinstance(value, tuple) else value


def typed(column: Column[Any], value: Any) -> Any:  # noqa: ANN401
    """Return what `plain` made of a column's value as it was."""
    if value is not None and isinstance(column.type, schema.Moment):
        return datetime.fromisoformat(value)
    if value is not None and isinstance(column.type, Date):
        return date.fromisoformat(value)
    return value


def _changed(connection: Connection, table: Table, row: RowMapping, values: Values, deed: Deed) -> RowMapping:
    before, after = difference(row, values)
    if not after:
        return row
    row_id = row[key_of(table)]
    put = table.update().where(key_of(table) == row_id).values({name: values[name] for name in after})
    write_down(connection, table, {str(row_id): (before, after)}, deed)
    return connection.execute(put.returning(*table.c)).mappings().one()
