"""What people changed, newest first, and undone or done again one by one."""

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, select

from evenfall.errors import ChangedSince
from evenfall.store import schema
from evenfall.store.editing import plain, typed
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Edit
from evenfall.store.rows import key_of, made, one

__all__ = ["clip_of", "films_of", "get", "last_of", "newest", "recent", "redo", "said", "undo"]

_TABLE = schema.edits

WORDS = {
    "arrived_on": "day it came", "band_pct": "goal band", "birth_year": "year of birth", "capture_fps": "true rate",
    "checked": "pre-ride check", "deleted_at": "place in or out of the bin", "facing": "way it goes",
    "height_m": "height", "horse_id": "horse", "limb": "foot", "on_date": "day", "precheck": "pre-ride check",
    "reader": "who reads the films", "stands_for": "mark it speaks of", "theme": "light", "time_s": "time",
    "units": "measures", "cleared_by": "who cleared it", "cleared_on": "day it was cleared", "from_date": "day it began",
    "head_deg": "head angle", "mass_kg": "mass", "payload": "what it holds", "rider_tack_kg": "mass of rider and tack",
    "amount_cents": "amount",
}  # fmt: skip
"""Columns that are called otherwise in the pages."""


def said(column: str) -> str:
    """Return what people call a column.

    Examples
    --------
    >>> said("birth_year"), said("head_carriage")
    ('year of birth', 'head carriage')
    """
    return WORDS.get(column, column.replace("_", " "))


def recent(barn: Barn, n: int = 50, *, before: int | None = None) -> tuple[Edit, ...]:
    """Return the last ``n`` edits, newest first; with ``before``, those that came before that one."""
    asked = select(_TABLE) if before is None else select(_TABLE).where(_TABLE.c.id < before)
    with reading(barn) as connection:
        rows = connection.execute(asked.order_by(_TABLE.c.id.desc()).limit(n)).mappings()
        return tuple(_edit(row) for row in rows)


def get(barn: Barn, edit_id: int) -> Edit:
    """Return an edit.

    Raises
    ------
    NotFound
    """
    with reading(barn) as connection:
        return _edit(one(connection, _TABLE, edit_id))


def newest(barn: Barn) -> int:
    """Return the number of the last edit; 0 if there is none."""
    with reading(barn) as connection:
        return connection.scalar(select(_TABLE.c.id).order_by(_TABLE.c.id.desc()).limit(1)) or 0


def last_of(barn: Barn, table: str, row_id: int | str, *, after: int, by: str) -> Edit | None:
    """Return the last edit of one row that somebody made after another edit; None if there is none."""
    own = (_TABLE.c.table == table, _TABLE.c.row_id == str(row_id), _TABLE.c.device == by)
    asked = select(_TABLE).where(_TABLE.c.id > after, *own).order_by(_TABLE.c.id.desc()).limit(1)
    with reading(barn) as connection:
        row = connection.execute(asked).mappings().first()
    return None if row is None else _edit(row)


def clip_of(barn: Barn, edit: Edit) -> int | None:
    """Return the clip whose marks, or of which what is said, an edit changed; None of any other edit."""
    if edit.table == "clips":
        return int(edit.row_id)
    marks, readings = schema.marks, schema.readings
    if edit.table != "marks":
        return None
    asked = select(readings.c.clip_id).select_from(marks.join(readings)).where(marks.c.id == edit.row_id)
    with reading(barn) as connection:
        return connection.scalar(asked)


def films_of(barn: Barn, found: Sequence[Edit]) -> dict[int, str]:
    """Return, by edit, the name of the film whose marks or measures it changed; of blind marks it is not told."""
    clips, marks, readings, measures = schema.clips, schema.marks, schema.readings, schema.measures
    numbers = {
        table: [edit.row_id for edit in found if edit.table == table] for table in ("marks", "measures")
    }
    marked = select(marks.c.id, clips.c.name).select_from(marks.join(readings).join(clips))
    marked = marked.where(marks.c.id.in_(numbers["marks"]), readings.c.kind != "blind")
    measured = select(measures.c.id, clips.c.name).select_from(measures.join(clips))
    measured = measured.where(measures.c.id.in_([int(number) for number in numbers["measures"]]))
    with reading(barn) as connection:
        names = {
            (table, str(row.id)): row.name
            for table, asked in (("marks", marked), ("measures", measured))
            for row in connection.execute(asked)
        }
    return {edit.id: names[place] for edit in found if (place := (edit.table, edit.row_id)) in names}


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


def _edit(row: RowMapping) -> Edit:
    columns = {name for values in row["after"].values() for name in values}
    return made(Edit, row, _TABLE, columns=tuple(sorted(columns)))


def _turned(barn: Barn, edit_id: int, *, back: bool) -> Edit:
    with writing(barn) as connection:
        row = one(connection, _TABLE, edit_id, held=True)
        if (row["undone_at"] is not None) is not back:
            changed = schema.metadata.tables[row["table"]]
            here, there = (row["after"], row["before"]) if back else (row["before"], row["after"])
            for row_id, values in there.items():
                if (other := _changed_again(connection, changed, row_id, here[row_id])) is not None:
                    raise _refused(connection, row, (row_id, other), back=back)
                _put(connection, changed, row_id, values)
            if changed is schema.marks:
                _turn_pages(connection, there)
            undone = _TABLE.update().where(_TABLE.c.id == edit_id).values(undone_at=now() if back else None)
            connection.execute(undone)
        return _edit(one(connection, _TABLE, edit_id))


def _changed_again(connection: Connection, table: Table, row_id: str, here: dict[str, Any]) -> str | None:
    """The first column of a row that is not as it should be, if there is one."""
    row = one(connection, table, _key(table, row_id), binned=True, held=True)
    return next((name for name, value in here.items() if not _alike(name, plain(row[name]), value)), None)


def _put(connection: Connection, table: Table, row_id: str, there: dict[str, Any]) -> None:
    values = {name: typed(table.c[name], value) for name, value in there.items()}
    connection.execute(table.update().where(key_of(table) == _key(table, row_id)).values(values))


def _key(table: Table, row_id: str) -> int | str:
    return int(row_id) if key_of(table).type.python_type is int else row_id


def _alike(name: str, found: Any, left: Any) -> bool:  # noqa: ANN401
    """Whether a column is as it was left; when a thing came into the bin does not matter, only whether."""
    return (found is None) == (left is None) if name == "deleted_at" else found == left


def _refused(connection: Connection, row: RowMapping, place: tuple[str, str], *, back: bool) -> ChangedSince:
    """Why an edit cannot be turned, and which to turn first: a later one in force, or an earlier one undone."""
    row_id, column = place
    same = select(_TABLE).where(_TABLE.c.table == row["table"], _TABLE.c.id != row["id"])
    later = same.where(_TABLE.c.id > row["id"], _TABLE.c.undone_at.is_(None)).order_by(_TABLE.c.id.desc())
    earlier = same.where(_TABLE.c.id < row["id"], _TABLE.c.undone_at.is_not(None)).order_by(_TABLE.c.id)
    expected = f"expected the {said(column)} as it was {'left by' if back else 'before'} this change"
    ways = [("it changed again since", "Undo", later), ("an earlier change undone too", "Redo", earlier)]
    for found, act, asked in ways[:1] if back else ways:
        for other in connection.execute(asked).mappings():
            if column in other["after"].get(row_id, {}):
                first = f"{act} “{other['what']}” first."
                return ChangedSince(f"{expected}, found {found}. {first}", first=other["id"])
    return ChangedSince(f"{expected}, found it otherwise. Change it by hand.")


def _turn_pages(connection: Connection, mark_ids: Iterable[str]) -> None:
    """Marks that changed make a new revision of their reading."""
    marks, readings = schema.marks, schema.readings
    named = marks.c.id.in_(list(mark_ids))
    connection.execute(marks.update().where(named).values(changed_at=now()))
    touched = readings.c.id.in_(select(marks.c.reading_id).where(named))
    connection.execute(readings.update().where(touched).values(revision=readings.c.revision + 1))
