"""A barn made from a backup: looked through first, made beside its place, and only then given it."""

import json
import re
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from struct import error as struct_error
from typing import Any

from evenfall.errors import StoreError, StoreNewer
from evenfall.store import dump
from evenfall.store.engine import DATABASE, Barn, on_disk, open_barn, reading, writing
from evenfall.store.migrating import HEAD
from evenfall.store.packing import LIST, part_hashes

__all__ = ["restore"]

ALLOWED = re.compile(
    rf"{re.escape(DATABASE)}|tables/[a-z]+\.jsonl|originals/[0-9a-f]{{2}}/[0-9a-f]{{64}}(\.[a-z0-9]{{1,8}})?"
)
"""Names a part may have; nothing else of a backup is ever written."""


def restore(from_: Path, home: Path, url: str | None = None) -> None:
    """Make a barn from a backup.

    Parameters
    ----------
    from_ : Path
    home : Path
        An empty folder, or one that is not there yet.
    url : str, optional
        An empty PostgreSQL database for the record; by default it lies in the folder.

    Raises
    ------
    StoreNewer
        If a newer Evenfall made the backup.
    StoreError
        If it is damaged or none, or the folder holds anything; nothing is changed.
    DiskFull
    """
    with on_disk(home):
        if home.exists() and (not home.is_dir() or any(home.iterdir())):
            raise StoreError(
                f"expected an empty or a new folder to restore into, found {home} in use. Choose another."
            )
        home.absolute().parent.mkdir(parents=True, exist_ok=True)
    with on_disk(home), _opened(from_) as file, _staging(home) as staging:
        _unpack(file, staging)
        _make_record(staging, url)
        if home.exists():
            home.rmdir()
        staging.rename(home)


@contextmanager
def _as_damaged(path: Path) -> Iterator[None]:
    """A zip can be broken in many ways, each with an error of its own."""
    try:
        yield
    except (
        zipfile.BadZipFile,
        EOFError,
        RuntimeError,
        ValueError,
        OverflowError,
        struct_error,
        zlib.error,
    ) as broken:
        raise StoreError(
            f"{path}: expected a backup of Evenfall's, found a damaged file or another: {broken}."
        ) from broken


@contextmanager
def _opened(path: Path) -> Iterator[zipfile.ZipFile]:
    """The backup, looked through."""
    with ExitStack() as stack:
        with on_disk(path), _as_damaged(path):
            file = stack.enter_context(zipfile.ZipFile(path))
            _look_through(file, path)
        yield file


def _look_through(file: zipfile.ZipFile, path: Path) -> None:
    """Refuse a backup that does not hold what its list says, byte for byte."""
    _require_plain(file, path)
    told = _list_of(file, path)
    if str(told["step"]) > HEAD:
        raise StoreNewer(
            f"{path}: expected a backup of step {HEAD} or older, found step {told['step']}: a newer Evenfall made it. "
            "Restore it with that one."
        )
    listed = {name: part["sha256"] for name, part in told["parts"].items()}
    found = dict(part_hashes(file))
    wrong = [name for name in sorted({*listed, *found}) if listed.get(name) != found.get(name)]
    wrong += [name for name in listed if not ALLOWED.fullmatch(name)]
    if wrong:
        raise StoreError(
            f"{path}: damaged, {wrong[0]} is not as it was written. Nothing was restored. Use another backup."
        )


def _require_plain(file: zipfile.ZipFile, path: Path) -> None:
    """Our parts are stored as they are, so what comes out is never larger than the file."""
    for part in file.infolist():
        if part.compress_type != zipfile.ZIP_STORED or part.file_size != part.compress_size:
            raise StoreError(
                f"{path}: expected a backup of Evenfall's, found {part.filename} packed in another way. "
                "Nothing was restored."
            )


def _list_of(file: zipfile.ZipFile, path: Path) -> Mapping[str, Any]:
    try:
        told: Mapping[str, Any] = json.loads(file.read(LIST))
        if not isinstance(told["parts"], dict) or "step" not in told:
            raise KeyError("parts")
    except (KeyError, ValueError) as error:
        raise StoreError(f"{path}: expected a backup of Evenfall's, found no list of parts in it.") from error
    return told


@contextmanager
def _staging(home: Path) -> Iterator[Path]:
    """A folder beside the barn's place, gone afterwards unless it became the barn."""
    folder = Path(tempfile.mkdtemp(prefix=f".{home.name}.", dir=home.absolute().parent))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _unpack(file: zipfile.ZipFile, staging: Path) -> None:
    for name in file.namelist():
        if name != LIST:
            to = staging / name
            to.parent.mkdir(parents=True, exist_ok=True)
            with file.open(name) as part, to.open("xb") as out:
                shutil.copyfileobj(part, out, 1 << 20)


def _make_record(staging: Path, url: str | None) -> None:
    """Bring the record to where it belongs: left as a file, filled from lines, or carried into another database."""
    packed, tables = staging / DATABASE, staging / "tables"
    if packed.exists():
        _require_whole(packed)
        if url is None:
            open_barn(staging).close()
            return
        with open_barn(staging) as source:
            tables.mkdir()
            _write_lines(source, tables)
        for each in staging.glob(f"{DATABASE}*"):
            each.unlink()
    with open_barn(staging, url) as barn, writing(barn) as connection:
        dump.require_empty(connection)
        dump.fill(connection, lambda name: _lines_of(tables / f"{name}.jsonl"))
    shutil.rmtree(tables)


def _write_lines(source: Barn, tables: Path) -> None:
    with reading(source) as connection:
        for name in dump.TABLES:
            with (tables / f"{name}.jsonl").open("wb") as out:
                out.writelines(dump.lines(connection, name))


def _lines_of(path: Path) -> Iterator[bytes]:
    if path.exists():
        with path.open("rb") as file:
            yield from file


def _require_whole(packed: Path) -> None:
    with closing(sqlite3.connect(packed)) as connection:
        try:
            (told,) = connection.execute("PRAGMA integrity_check").fetchone()
        except sqlite3.Error as error:
            told = str(error)
    if told != "ok":
        raise StoreError(
            f"the record in the backup is damaged: {told}. Nothing was restored. Use another backup."
        )
