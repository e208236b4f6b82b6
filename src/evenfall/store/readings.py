"""Readings: sets of marks of one clip. A person's, one the machine made, or one marked blind.

Every reading of the machine is a new one; none touches the person's.
"""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, RowMapping, Select, select

from evenfall.contacts import Contact, Contacts
from evenfall.store import schema
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import ReadingRecord
from evenfall.store.rows import insert_unless_there, made, made_all, one

__all__ = ["begin_blind", "machine", "of_clip", "person", "save_machine"]

_TABLE = schema.readings


def person(barn: Barn, clip_id: int) -> ReadingRecord:
    """Return the reading that the barn's people share, made on first use.

    Raises
    ------
    NotFound
        If there is no such clip.
    """
    asked = _of(clip_id, "person")
    with reading(barn) as connection:
        row = connection.execute(asked).mappings().first()
    if row is None:
        with writing(barn) as connection:
            one(connection, schema.clips, clip_id)
            insert_unless_there(connection, _TABLE, _values(clip_id, "person"))
            row = connection.execute(asked).mappings().one()
    return made(ReadingRecord, row, _TABLE)


def machine(barn: Barn, clip_id: int) -> ReadingRecord | None:
    """Return the machine's newest reading, or None."""
    with reading(barn) as connection:
        row = connection.execute(_of(clip_id, "machine").limit(1)).mappings().first()
    return None if row is None else made(ReadingRecord, row, _TABLE)


def save_machine(  # noqa: PLR0913 - a reading and all that made it
    barn: Barn, clip_id: int, contacts: Contacts, *, method: str, version: str, settings: Mapping[str, Any]
) -> ReadingRecord:  # fmt: skip
    """Keep a reading of the machine beside all others.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    contacts : Contacts
        Seconds on the clip's clock.
    method, version : str
    settings : mapping
        What made it, as JSON can hold it.

    Raises
    ------
    NotFound
        If there is no such clip.
    """
    values = {"method": method, "version": version, "settings": dict(settings)}
    with writing(barn) as connection:
        row = _begun(connection, clip_id, {**_values(clip_id, "machine"), **values})
        marks = [_mark(row["id"], contact) for contact in contacts]
        if marks:
            connection.execute(schema.marks.insert(), marks)
    return made(ReadingRecord, row, _TABLE)


def begin_blind(barn: Barn, clip_id: int, reader: str) -> ReadingRecord:
    """Begin a reading of one person who sees no other marks.

    Raises
    ------
    NotFound
        If there is no such clip.
    """
    with writing(barn) as connection:
        row = _begun(connection, clip_id, {**_values(clip_id, "blind"), "reader": reader})
    return made(ReadingRecord, row, _TABLE)


def of_clip(barn: Barn, clip_id: int) -> tuple[ReadingRecord, ...]:
    """Return every reading of a clip, oldest first."""
    asked = select(_TABLE).where(_TABLE.c.clip_id == clip_id).order_by(_TABLE.c.id)
    with reading(barn) as connection:
        return made_all(ReadingRecord, connection.execute(asked).mappings(), _TABLE)


def _of(clip_id: int, kind: str) -> Select[tuple[object, ...]]:
    return (
        select(_TABLE).where(_TABLE.c.clip_id == clip_id, _TABLE.c.kind == kind).order_by(_TABLE.c.id.desc())
    )


def _begun(connection: Connection, clip_id: int, values: Mapping[str, Any]) -> RowMapping:
    one(connection, schema.clips, clip_id)
    return connection.execute(_TABLE.insert().values(**values).returning(*_TABLE.c)).mappings().one()


def _values(clip_id: int, kind: str) -> dict[str, Any]:
    return {"clip_id": clip_id, "kind": kind, "settings": {}, "revision": 0, "created_at": now()}


def _mark(reading_id: int, contact: Contact) -> dict[str, Any]:
    return {
        "id": uuid4().hex,
        "reading_id": reading_id,
        "limb": contact.limb.value,
        "event": contact.event.value,
        "time_s": float(contact.time_s),
        "sd_s": float(contact.sd_s),
        "source": contact.source,
        "confidence": float(contact.confidence),
        "rejected": False,
        "changed_at": now(),
    }
