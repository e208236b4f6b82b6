"""What people changed, newest first, and undone or done again one by one."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Table, select

from evenfall.errors import ChangedSince
from evenfall.store import schema
from evenfall.store.editing import plain, typed
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Edit
from evenfall.store.rows import key_of, made, made_all, one

__all__ = ["recent", "redo", "undo"]

_TABLE = schema.edits


def recent(barn: Barn, n: int = 50) -> tuple[Edit, ...]:
    """Return the last ``n`` edits, newest first."""
    with reading(barn) as connection:
        rows = connection.execute(select(_TABLE).order_by(_TABLE.c.id.desc()).limit(n)).mappings()
        return made_all(Edit, rows, _TABLE)


def undo(barn: Barn, edit_id: int) -> Edit:
    """Put everything an edit changed back as it was; one that is undone already stays so.

    Raises
    ------
    NotFound
        If there is no such edit, or what it changed was emptied from the bin.
    ChangedSince
        If the same was changed again later; undo that first.
    """
    return _turned(barn, edit_id, back=True)


def redo(barn: Barn, edit_id: int) -> Edit:
    """Do an undone edit again.

    Raises
    ------
    NotFound, ChangedSince
        As `undo` does.
    """
    return _turned(barn, edit_id, back=False)


def _turned(barn: Barn, edit_id: int, *, back: bool) -> Edit:
    with writing(barn) as connection:
        row = one(connection, _TABLE, edit_id, held=True)
        if (row["undone_at"] is not None) is not back:
            changed = schema.metadata.tables[row["table"]]
            here, there = (row["after"], row["before"]) if back else (row["before"], row["after"])
            for row_id, values in there.items():
                _put(connection, changed, row_id, (here[row_id], values))
            if changed is schema.marks:
                _turn_pages(connection, there)
            undone = _TABLE.update().where(_TABLE.c.id == edit_id).values(undone_at=now() if back else None)
            connection.execute(undone)
        return made(Edit, one(connection, _TABLE, edit_id), _TABLE)


def _put(
    connection: Connection, table: Table, row_id: str, change: tuple[dict[str, Any], dict[str, Any]]
) -> None:
    """Change a row's columns from what they should be to what they were, if they still are."""
    here, there = change
    key: int | str = int(row_id) if key_of(table).type.python_type is int else row_id
    row = one(connection, table, key, binned=True, held=True)
    for name, value in here.items():
        if not _alike(name, plain(row[name]), value):
            raise ChangedSince(
                f"expected {name.replace('_', ' ')} as this edit left it, found it changed again since. "
                "Undo the later edit first."
            )
    values = {name: typed(table.c[name], value) for name, value in there.items()}
    connection.execute(table.update().where(key_of(table) == key).values(values))


def _alike(name: str, found: Any, left: Any) -> bool:  # noqa: ANN401
    """Whether a column is as it was left; when a thing came into the bin does not matter, only whether."""
    return (found is None) == (left is None) if name == "deleted_at" else found == left


def _turn_pages(connection: Connection, mark_ids: Iterable[str]) -> None:
    """Marks that changed make a new revision of their reading."""
    marks, readings = schema.marks, schema.readings
    named = marks.c.id.in_(list(mark_ids))
    connection.execute(marks.update().where(named).values(changed_at=now()))
    touched = readings.c.id.in_(select(marks.c.reading_id).where(named))
    connection.execute(readings.update().where(touched).values(revision=readings.c.revision + 1))
