"""Rows of the tables as records, and one row looked up by its number."""

from collections.abc import Iterable
from dataclasses import fields
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

from sqlalchemy import Column, Connection, RowMapping, Table, select
from sqlalchemy.dialects import postgresql, sqlite

from evenfall.errors import NotFound

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Record = TypeVar("Record", bound="DataclassInstance")

__all__ = ["insert_unless_there", "key_of", "made", "made_all", "one"]

NOUNS = {
    "horses": "horse", "outings": "outing", "clips": "film", "readings": "set of marks", "marks": "mark", "jobs": "job",
    "uploads": "upload", "devices": "device", "edits": "edit", "measures": "measure", "results": "result",
    "setups": "setup", "weighings": "weighing", "flags": "flag", "checklists": "checklist", "ladders": "ladder",
    "plans": "plan settings", "showings": "film to show", "shares": "link", "costs": "cost",
}  # fmt: skip
LARGEST = 2**31 - 1
"""The largest number a row can have."""


def made(kind: type[Record], row: RowMapping, table: Table, **more: Any) -> Record:  # noqa: ANN401
    """Make the record of a row; columns that were not asked for keep the record's default."""
    return kind(**{name: row[column] for name, column in _shared(kind, table) if column in row}, **more)


def made_all(kind: type[Record], rows: Iterable[RowMapping], table: Table) -> tuple[Record, ...]:
    """Make the records of rows that were asked for together."""
    every = list(rows)
    asked = [pair for pair in _shared(kind, table) if every and pair[1] in every[0]]
    return tuple(kind(**{name: row[column] for name, column in asked}) for row in every)


@lru_cache
def _shared(kind: type[Any], table: Table) -> list[tuple[str, Column[Any]]]:
    """What a record and a table both have."""
    return [(each.name, table.c[each.name]) for each in fields(kind) if each.name in table.c]


def one(
    connection: Connection, table: Table, row_id: int | str, *, binned: bool = False, held: bool = False
) -> RowMapping:
    """Return one row.

    Parameters
    ----------
    connection : sqlalchemy.Connection
    table : sqlalchemy.Table
    row_id : int or str
    binned : bool
        Whether a row in the bin will do.
    held : bool
        Keep others from changing it until this transaction ends.

    Raises
    ------
    NotFound
        If it is not there, or lies in the bin.
    """
    noun, row = NOUNS.get(table.name, table.name), None
    if not isinstance(row_id, int) or 0 < row_id <= LARGEST:
        asked = select(table).where(key_of(table) == row_id)
        row = connection.execute(asked.with_for_update() if held else asked).mappings().one_or_none()
    if row is None:
        raise NotFound(
            f"expected {_a(noun)}, found none with the number {row_id}. It may have been removed for good."
        )
    if not binned and row.get("deleted_at") is not None:
        raise NotFound(f"the {noun} {row_id} lies in the bin. Take it out of the bin first.")
    return row


def key_of(table: Table) -> Any:  # noqa: ANN401 - a column of whatever type
    """Return the column a row is known by."""
    return next(iter(table.primary_key.columns))


def insert_unless_there(connection: Connection, table: Table, values: dict[str, Any]) -> bool:
    """Put a row in unless one like it is there, and tell whether it was put in; rows put in at once are put in once."""
    kind = postgresql if connection.dialect.name == "postgresql" else sqlite
    put = kind.insert(table).values(values).on_conflict_do_nothing().returning(key_of(table))
    return connection.execute(put).first() is not None


def _a(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"
