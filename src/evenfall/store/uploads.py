"""Films on their way in, part by part, so that a lost connection costs only the part it broke.

How much is here is told by the length of the ``.part`` file alone; a part is on the disk itself before it is said to be.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import BinaryIO
from uuid import uuid4

from sqlalchemy import Connection, RowMapping, select

from evenfall.errors import DiskFull, NotFound, StoreError, WrongOffset, WrongSetting
from evenfall.store import clips, outings, schema
from evenfall.store.engine import Barn, now, on_disk, reading, writing
from evenfall.store.records import ClipRecord, OutingFields, Upload
from evenfall.store.rows import insert_unless_there, made, one

__all__ = ["append", "begin", "cancel", "finish", "get", "on_their_way"]

_TABLE = schema.uploads
_LOCKS = tuple(Lock() for _ in range(64))
"""One part of a film is written at a time; films share locks, for there are more films than locks."""
SPARE = 500_000_000
"""Bytes that stay free beside a film, for what is made of it and for the record (our choice)."""


def begin(  # noqa: PLR0913 - what a phone says of a film at once
    barn: Barn, *, key: str, name: str, size: int, horse_id: int | None = None, outing_id: int | None = None
) -> Upload:
    """Begin to take a film in, or go on with the same one.

    Parameters
    ----------
    barn : Barn
    key : str
        By which the sender knows the film again.
    name : str
    size : int
        Bytes.
    horse_id, outing_id : int or None
        Where it belongs; with a horse alone, today's outing.

    Raises
    ------
    NotFound, WrongSetting
    DiskFull
        If what is still to come of it would not fit on the disk; nothing is begun.
    """
    if size < 1:
        raise WrongSetting(f"expected a film of at least one byte, found {size}. Choose the file again.")
    if horse_id is None and outing_id is None:
        raise WrongSetting(
            "expected the horse or the outing of this film, found neither. Choose the horse first."
        )
    values = {"key": key, "name": name, "size": size, "horse_id": horse_id, "outing_id": outing_id}
    more = {"id": uuid4().hex, "state": "open", "duplicate": False, "changed_at": now()}
    with writing(barn) as connection:
        for table, row_id in ((schema.horses, horse_id), (schema.outings, outing_id)):
            if row_id is not None:
                one(connection, table, row_id)
        insert_unless_there(connection, _TABLE, {**values, **more})
        same = (_TABLE.c.key == key, _TABLE.c.size == size, _TABLE.c.state == "open")
        upload = _made(barn, connection.execute(select(_TABLE).where(*same)).mappings().one())
        _require_room(barn, upload.size - upload.offset)
    return upload


def get(barn: Barn, upload_id: str) -> Upload:
    """Return an upload, and how much of it is here.

    Raises
    ------
    NotFound
    """
    with reading(barn) as connection:
        return _made(barn, one(connection, _TABLE, upload_id))


def on_their_way(barn: Barn) -> tuple[Upload, ...]:
    """Return the films that are begun and not all here yet, the last begun first."""
    asked = select(_TABLE).where(_TABLE.c.state == "open").order_by(_TABLE.c.changed_at.desc(), _TABLE.c.id)
    with reading(barn) as connection:
        return tuple(_made(barn, row) for row in connection.execute(asked).mappings())


def append(barn: Barn, upload_id: str, offset: int, chunk: bytes) -> Upload:
    """Take the next part in; it is on the disk itself when this returns.

    Parameters
    ----------
    barn : Barn
    upload_id : str
    offset : int
        Where the part begins, bytes.
    chunk : bytes

    Raises
    ------
    WrongOffset
        If it does not begin where the last part ended; nothing is written.
    NotFound, WrongSetting, DiskFull, StoreError
        Nothing is written either.
    """
    with _held(upload_id):
        upload = get(barn, upload_id)
        if upload.state != "open":
            raise StoreError(f"expected a film on its way in, found one that is {upload.state}. Begin again.")
        if offset != upload.offset:
            raise WrongOffset(upload.offset, offset)
        if offset + len(chunk) > upload.size:
            raise WrongSetting(f"expected {upload.size} bytes in all, found more. Choose the file again.")
        _write(_part(barn, upload_id), offset, chunk)
        return get(barn, upload_id)


def finish(barn: Barn, upload_id: str, *, by: str = "") -> tuple[ClipRecord, bool]:
    """Make a clip of a film that is all here, and tell whether it was here already; asked again, answer the same.

    Raises
    ------
    WrongOffset
        If some is missing.
    NotFound, DiskFull, StoreError
    """
    with _held(upload_id):
        with reading(barn) as connection:
            row = one(connection, _TABLE, upload_id)
        if row["state"] == "done" and row["clip_id"] is not None:
            return clips.get(barn, row["clip_id"]), row["duplicate"]
        upload = _made(barn, row)
        if upload.state != "open":
            raise StoreError(f"expected a film on its way in, found one that is {upload.state}. Begin again.")
        if upload.offset != upload.size:
            raise WrongOffset(upload.offset, upload.size)
        outing_id = _outing_of(barn, upload, by)

        def done(connection: Connection, clip_id: int, duplicate: bool) -> None:
            _set(connection, upload_id, state="done", clip_id=clip_id, duplicate=duplicate)

        part = _part(barn, upload_id)
        return clips.keep(barn, part, name=upload.name, outing_id=outing_id, by=by, also=done)


def cancel(barn: Barn, upload_id: str) -> None:
    """Take no more of a film, and remove what is here of it; one that is finished stays.

    Raises
    ------
    NotFound
    """
    with _held(upload_id):
        upload = get(barn, upload_id)
        if upload.state == "open":
            with writing(barn) as connection:
                _set(connection, upload_id, state="cancelled")
            with on_disk(barn.home):
                _part(barn, upload_id).unlink(missing_ok=True)


def _made(barn: Barn, row: RowMapping) -> Upload:
    part = _part(barn, row["id"])
    here = row["size"] if row["state"] == "done" else part.stat().st_size if part.is_file() else 0
    return made(Upload, row, _TABLE, offset=here)


def _require_room(barn: Barn, coming: int) -> None:
    """See beforehand that a film will have room."""
    where = barn.home / "incoming"
    with on_disk(where):
        free = shutil.disk_usage(where).free
    if free < coming + SPARE:
        raise DiskFull(where, needed=coming + SPARE, free=free)


def _part(barn: Barn, upload_id: str) -> Path:
    return barn.home / "incoming" / f"{upload_id}.part"


@contextmanager
def _held(upload_id: str) -> Iterator[None]:
    with _LOCKS[hash(upload_id) % len(_LOCKS)]:
        yield


def _write(part: Path, offset: int, chunk: bytes) -> None:
    """Write at the end; what cannot be written whole is taken off again."""
    with on_disk(part.parent), part.open("ab", buffering=0) as file:
        try:
            _write_all(file, chunk)
            os.fsync(file.fileno())
        except OSError:
            with suppress(OSError):
                file.truncate(offset)
            raise


def _write_all(file: BinaryIO, chunk: bytes) -> None:
    left = memoryview(chunk)
    while left:
        left = left[file.write(left) :]


def _outing_of(barn: Barn, upload: Upload, by: str) -> int:
    """The film's outing; with a horse alone its last one today, made if there is none."""
    if upload.outing_id is not None:
        return upload.outing_id
    if upload.horse_id is None:
        raise NotFound(
            "expected the horse or the outing of this film, found it gone. Choose the horse again."
        )
    today = datetime.now().astimezone().date()
    for outing in outings.of_horse(barn, upload.horse_id):
        if outing.on_date == today:
            return outing.id
    return outings.add(barn, OutingFields(upload.horse_id, today), by=by).id


def _set(connection: Connection, upload_id: str, **values: object) -> None:
    connection.execute(_TABLE.update().where(_TABLE.c.id == upload_id).values(changed_at=now(), **values))
