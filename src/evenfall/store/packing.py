"""A backup written: the whole barn in one file, taken while it is served.

The file is a zip whose parts are stored as they are: the record (``barn.sqlite3``, or ``tables/*.jsonl`` from
PostgreSQL), the originals under their own names, and last ``backup.json``, the list of parts with size and SHA-256.
What can be made again from the originals is left out.
"""

import hashlib
import json
import shutil
import sqlite3
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Connection, select

from evenfall.errors import StoreError
from evenfall.store import dump, schema
from evenfall.store.engine import DATABASE, Barn, now, on_disk, reading
from evenfall.store.migrating import HEAD
from evenfall.store.originals import force, original_path
from evenfall.store.records import BackupReport

__all__ = ["LIST", "Film", "backup", "blocks_of", "copy_sqlite", "films_of", "part_hashes", "snapshot"]

LIST = "backup.json"
BLOCK = 1 << 20
Progress = Callable[[float], None]
Film = tuple[str, str, int]
"""Hash, ending and size."""


@dataclass
class _Box:
    """A zip being written, and the list of what is in it."""

    file: zipfile.ZipFile
    parts: dict[str, dict[str, int | str]] = field(default_factory=dict)

    def put(self, name: str, blocks: Iterable[bytes]) -> str:
        """Store a part and return its hash."""
        digest, size = hashlib.sha256(), 0
        with self.file.open(zipfile.ZipInfo(name), "w", force_zip64=True) as part:
            for block in blocks:
                part.write(block)
                digest.update(block)
                size += len(block)
        self.parts[name] = {"size": size, "sha256": digest.hexdigest()}
        return digest.hexdigest()


def backup(barn: Barn, to: Path, progress: Progress | None = None) -> BackupReport:
    """Write the whole barn into one file, whole or not at all, and read it back to see that it holds.

    Parameters
    ----------
    barn : Barn
        It may be served meanwhile; what comes in after the record was copied is not in the file.
    to : Path
    progress : callable, optional
        Told the share that is done, 0 to 1.

    Returns
    -------
    BackupReport
        With the originals that are not there or not as they came.

    Raises
    ------
    DiskFull, StoreError
        Nothing is left at ``to``; what was there before stays.
    """
    told = progress or (lambda _: None)
    with on_disk(to.parent), _beside(to) as folder:
        part = folder / to.name
        with zipfile.ZipFile(part, "w", zipfile.ZIP_STORED) as file:
            box = _Box(file)
            films = _put_record(box, barn, folder)
            missing, damaged = _put_originals(box, barn.home, films, told)
            told_of = {"step": HEAD, "made_at": now().isoformat(), "parts": box.parts, "missing": missing}
            file.writestr(LIST, json.dumps(told_of, indent=1))
        _require_same(part, box.parts)
        force(part)
        part.replace(to)
        force(to.parent)
    told(1.0)
    return BackupReport(
        path=to,
        films=len(films) - len(missing),
        size=to.stat().st_size,
        missing=tuple(missing),
        damaged=tuple(damaged),
    )


def part_hashes(file: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """Read every part but the list, and give its name and SHA-256."""
    for name in file.namelist():
        if name != LIST:
            with file.open(name) as part:
                yield name, hashlib.file_digest(part, "sha256").hexdigest()  # type: ignore[arg-type]


@contextmanager
def _beside(to: Path) -> Iterator[Path]:
    """A folder on the same disk, gone afterwards."""
    folder = Path(tempfile.mkdtemp(prefix=f".{to.name}.", dir=to.parent))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def snapshot(barn: Barn) -> Iterator[Connection]:
    """Read the record as it is at one moment, however long it takes."""
    if barn.engine.dialect.name == "sqlite":
        with reading(barn) as connection:
            yield connection
        return
    options = barn.engine.execution_options(isolation_level="REPEATABLE READ")
    with reading(Barn(barn.home, options)) as connection:
        yield connection


def _put_record(box: _Box, barn: Barn, folder: Path) -> list[Film]:
    """Store the record as it is at one moment, and return the films in it."""
    with snapshot(barn) as connection:
        films = films_of(connection)
        if barn.engine.dialect.name == "sqlite":
            copy_sqlite(connection, folder / DATABASE)
        else:
            for table in dump.TABLES:
                box.put(f"tables/{table}.jsonl", dump.lines(connection, table))
    if (folder / DATABASE).is_file():
        box.put(DATABASE, blocks_of(folder / DATABASE))
    return films


def copy_sqlite(connection: Connection, copy: Path) -> None:
    """Copy a record that is being written to, as it is at one moment, into one plain file."""
    live: sqlite3.Connection = connection.connection.driver_connection  # type: ignore[assignment]
    kept = sqlite3.connect(copy)
    try:
        live.backup(kept)
        kept.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as error:
        raise StoreError(f"the record could not be copied: {error}. Make room and do it again.") from error
    finally:
        kept.close()


def films_of(connection: Connection) -> list[Film]:
    """Return the films of the record, each once."""
    table = schema.clips
    asked = select(table.c.sha256, table.c.suffix, table.c.size).distinct().order_by(table.c.sha256)
    return [(row[0], row[1], row[2]) for row in connection.execute(asked)]


def _put_originals(box: _Box, home: Path, films: list[Film], told: Progress) -> tuple[list[str], list[str]]:
    missing, damaged, done = [], [], 0
    whole = sum(size for _, _, size in films) or 1
    for sha256, suffix, size in films:
        path = original_path(home, sha256, suffix)
        if not path.is_file():
            missing.append(sha256)
        elif box.put(path.relative_to(home).as_posix(), blocks_of(path)) != sha256:
            damaged.append(sha256)
        done += size
        told(0.95 * done / whole)
    return missing, damaged


def blocks_of(path: Path) -> Iterator[bytes]:
    """Read a file block by block."""
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            yield block


def _require_same(path: Path, parts: Mapping[str, Mapping[str, int | str]]) -> None:
    with zipfile.ZipFile(path) as file:
        for name, sha256 in part_hashes(file):
            if sha256 != parts[name]["sha256"]:
                raise StoreError(
                    f"{path.name}: read back differently than written: {name}. Use another disk."
                )
