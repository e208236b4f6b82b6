"""One horse taken in from the zip that another barn wrote: looked through first, then all of it in one transaction.

Every row gets a number of this barn's own. A horse is known again by the moment at which it was first written down, so that
one that is here already, in the bin too, is told and nothing is doubled.
"""

import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from sqlalchemy import Connection, select

from evenfall.errors import DiskFull, NotFound, WrongSetting
from evenfall.store import schema, settings, uploads
from evenfall.store.clips import ORIGINALS
from evenfall.store.engine import Barn, alone, now, on_disk, reading, writing
from evenfall.store.looking_in import Check, HorseZip, opened_zip
from evenfall.store.originals import lay_in, original_path
from evenfall.store.records import Horse, Upload
from evenfall.store.renumbering import put_rows
from evenfall.store.rows import insert_unless_there, made
from evenfall.store.streaming import COPIES
from evenfall.store.uploads import SPARE

__all__ = ["Inside", "begin", "coming", "look_into", "part_of", "take_in"]

Progress = Callable[[float], None]
LARGEST = 64 * 2**30
"""The most bytes of one horse (our choice)."""
KEY = "one horse: "


@dataclass(frozen=True)
class Inside:
    """What a zip holds.

    Parameters
    ----------
    name, breed : str
        The horse's.
    counts : mapping of str to int
        Rows by table.
    films, missing : int
        Originals that are in it, and that are not.
    size : int
        Bytes of the films.
    made_at : str
        When it was written, as it says.
    here : Horse or None
        The same horse, where it is in this barn already.
    """

    name: str
    breed: str
    counts: Mapping[str, int]
    films: int
    missing: int
    size: int
    made_at: str
    here: Horse | None


def look_into(barn: Barn, path: Path, check: Check) -> Inside:
    """Look a zip through and say what is in it; nothing is written.

    Parameters
    ----------
    barn : Barn
    path : Path
    check : callable
        Given a table's name and a row, it raises `EvenfallError` where the row cannot be.

    Raises
    ------
    StoreNewer, StoreError
        If it is damaged, hostile, another file, or a newer Evenfall's.
    """
    with opened_zip(path, check) as found, reading(barn) as connection:
        return Inside(
            name=found.horse["name"],
            breed=found.horse.get("breed", ""),
            counts={name: len(rows) for name, rows in found.rows.items()},
            films=len(found.originals),
            missing=len(found.told["missing"]),
            size=found.size,
            made_at=str(found.told.get("made_at", ""))[:40],
            here=_here(connection, found.horse["created_at"]),
        )


def take_in(
    barn: Barn, path: Path, check: Check, *, by: str = "", progress: Progress | None = None
) -> tuple[Horse, bool]:
    """Take one horse in, all of it or nothing.

    Parameters
    ----------
    barn : Barn
    path : Path
    check : callable
        As for `look_into`.
    by : str
        Device or person, for the list of changes.
    progress : callable, optional
        Told the share that is done, 0 to 1.

    Returns
    -------
    Horse
        As it is in this barn; one that lies in the bin has its ``deleted_at``.
    bool
        Whether it was here already, and nothing was done.

    Raises
    ------
    StoreNewer, StoreError, DiskFull
        Nothing was taken in.
    """
    told = progress or (lambda _: None)
    with opened_zip(path, check) as found:
        with reading(barn) as connection:
            here = _here(connection, found.horse["created_at"])
        if here is not None:
            return here, True
        _require_room(barn, found.size)
        with _unpacked(barn, found, told) as films:
            horse, twice = _all_in(barn, found, films, by)
    told(1.0)
    return horse, twice


def begin(barn: Barn, *, key: str, name: str, size: int) -> Upload:
    """Begin to take a horse's zip in piece by piece, or go on with the same one.

    Raises
    ------
    WrongSetting, DiskFull
    """
    if not 0 < size <= LARGEST:
        raise WrongSetting(
            f"expected one horse of 1 byte to {LARGEST // 2**30} GB, found {size} bytes. Choose the file again."
        )
    _require_room(barn, size)
    values = {
        "id": uuid4().hex, "key": f"{KEY}{key}", "name": name, "size": size, "horse_id": None, "outing_id": None,
        "state": "open", "duplicate": False, "changed_at": now(),
    }  # fmt: skip
    table = schema.uploads
    with writing(barn) as connection:
        insert_unless_there(connection, table, values)
        same = (table.c.key == values["key"], table.c.size == size, table.c.state == "open")
        found = connection.execute(select(table.c.id).where(*same)).scalar_one()
    return uploads.get(barn, found)


def coming(barn: Barn, upload_id: str) -> Upload:
    """Return a horse's zip on its way in.

    Raises
    ------
    NotFound
        If there is none by that name, or it was taken in or given up.
    """
    upload = uploads.get(barn, upload_id)
    if not upload.key.startswith(KEY) or upload.state != "open":
        raise NotFound("expected a horse on its way in, found none by that name. Choose the file again.")
    return upload


def part_of(barn: Barn, upload_id: str) -> Path:
    """Return where a horse's zip lies that is all here.

    Raises
    ------
    NotFound, WrongSetting
    """
    upload = coming(barn, upload_id)
    if upload.offset != upload.size:
        raise WrongSetting(
            f"expected all {upload.size} bytes of it, found {upload.offset}. Choose the file again: it goes on where it stopped."
        )
    return barn.home / "incoming" / f"{upload.id}.part"


def _require_room(barn: Barn, size: int) -> None:
    with on_disk(barn.home):
        free = shutil.disk_usage(barn.home).free
    if free < size + SPARE:
        raise DiskFull(barn.home, needed=size + SPARE, free=free)


def _here(connection: Connection, created_at: datetime) -> Horse | None:
    table = schema.horses
    row = connection.execute(select(table).where(table.c.created_at == created_at)).mappings().first()
    return None if row is None else made(Horse, row, table)


# films -----------------------------------------------------------------------------------------------------


@contextmanager
def _unpacked(barn: Barn, found: HorseZip, told: Progress) -> Iterator[dict[Path, Path]]:
    """The films that are not here yet, beside their place: where each lies, by where it is to lie."""
    with (
        on_disk(barn.home),
        tempfile.TemporaryDirectory(dir=barn.home, prefix=COPIES) as folder,
    ):
        films, done = {}, 0
        for number, ((sha256, suffix), name) in enumerate(found.originals.items()):
            to, size = original_path(barn.home, sha256, suffix), found.file.getinfo(name).file_size
            if not (to.is_file() and to.stat().st_size == size):
                films[to] = Path(folder) / str(number)
                with found.file.open(name) as part, films[to].open("xb") as out:
                    shutil.copyfileobj(part, out, 1 << 20)
            done += size
            told(0.9 * done / (found.size or 1))
        yield films


def _all_in(barn: Barn, found: HorseZip, films: Mapping[Path, Path], by: str) -> tuple[Horse, bool]:
    """Films and rows together; where it breaks off, the films that were laid in go again, while no other can come in."""
    goal = settings.get(barn).goal
    with writing(barn) as connection:
        alone(connection, ORIGINALS)
        here = _here(connection, found.horse["created_at"])
        if here is not None:
            return here, True
        with _laid_in(films):
            return put_rows(connection, found, by, goal), False


@contextmanager
def _laid_in(films: Mapping[Path, Path]) -> Iterator[None]:
    laid = [to for to in films if not to.exists()]
    try:
        for to, part in films.items():
            lay_in(part, to)
        yield
    except BaseException:
        for each in laid:
            each.unlink(missing_ok=True)
        raise
