"""A backup sent while it is made: its length is known before its first byte, and it needs no room of its own.

It is the same zip as `evenfall.store.packing` writes. Only a copy of the record is laid down, for as long as it takes.
The length comes from writing the zip once without the films' bytes, into a sink that only counts.
"""

import hashlib
import json
import tempfile
import zipfile
from collections.abc import Generator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select

from evenfall.errors import StoreError
from evenfall.store import dump, schema
from evenfall.store.engine import DATABASE, Barn, now, on_disk, reading
from evenfall.store.migrating import HEAD
from evenfall.store.originals import original_path
from evenfall.store.packing import LIST, Film, blocks_of, copy_sqlite, films_of, snapshot

__all__ = ["COPIES", "Part", "Stream", "Weight", "begun", "stream", "weight"]

COPIES = ".backup-"
"""How the folder of the record's copy begins; what is left of one that was broken off is tidied away."""


@dataclass(frozen=True)
class Weight:
    """What a backup would hold: films that differ, and bytes in all, near enough."""

    films: int
    size: int


@dataclass(frozen=True)
class Stream:
    """A backup to be sent: exactly ``size`` bytes. Closing ``blocks`` ends it at any time."""

    size: int
    blocks: Generator[bytes, None, None]


@dataclass(frozen=True)
class Part:
    """A file to be sent: its name in the zip, where it lies, and how long it is."""

    name: str
    path: Path
    size: int


class _Sink:
    """What a zip is written into: holds what came, until it is taken; counts all of it."""

    def __init__(self) -> None:
        self._held: list[bytes] = []
        self._at = 0

    def write(self, data: bytes) -> int:
        """Hold some bytes."""
        self._held.append(bytes(data))
        self._at += len(data)
        return len(data)

    def tell(self) -> int:
        """How many bytes came; a sink that cannot go back makes the zip put each part's length behind it."""
        return self._at

    def flush(self) -> None:
        """Nothing waits."""

    def close(self) -> None:
        """Nothing is open."""

    def skip(self, size: int) -> None:
        """Count bytes that are not written."""
        self._at += size

    def taken(self) -> bytes:
        """What came since the last time."""
        held, self._held = b"".join(self._held), []
        return held


def weight(barn: Barn) -> Weight:
    """Return what a backup would hold now."""
    table = schema.clips
    asked = select(table.c.sha256, table.c.size).distinct()
    with reading(barn) as connection:
        sizes = {row.sha256: row.size for row in connection.execute(asked)}
    record = barn.home / DATABASE
    return Weight(len(sizes), sum(sizes.values()) + (record.stat().st_size if record.is_file() else 0))


def stream(barn: Barn) -> Stream:
    """Begin a backup of the whole barn as it is at this moment.

    Returns
    -------
    Stream
        An original that is not there is left out and listed as missing; one that changes its length while it is sent
        breaks the stream off.

    Raises
    ------
    DiskFull, StoreError
    """
    with on_disk(barn.home), ExitStack() as undone:
        folder = undone.enter_context(tempfile.TemporaryDirectory(dir=barn.home, prefix=COPIES))
        record, films = _record(barn, Path(folder))
        paths = {sha256: original_path(barn.home, sha256, suffix) for sha256, suffix, _ in films}
        there = {sha256: path for sha256, path in paths.items() if path.is_file()}
        parts = [
            *record,
            *(
                Part(path.relative_to(barn.home).as_posix(), path, path.stat().st_size)
                for path in there.values()
            ),
        ]
        told = {
            "step": HEAD,
            "made_at": now().isoformat(),
            "missing": [each for each in paths if each not in there],
        }
        return begun(parts, told, undone.pop_all())


def begun(parts: list[Part], told: Mapping[str, object], undone: ExitStack, *, listed: str = LIST) -> Stream:
    """Begin to send files as a zip whose last part lists the others with size and hash.

    Parameters
    ----------
    parts : list of Part
    told : mapping
        What the list says besides.
    undone : ExitStack
        Closed when the last byte was sent, or the stream is.
    listed : str
        The list's name.

    Returns
    -------
    Stream
    """
    size, blocks = _length(parts, told, listed), _blocks(parts, told, undone, listed)
    next(blocks)  # begun, so that closing it takes the copy away however early it is
    return Stream(size, blocks)


def _record(barn: Barn, folder: Path) -> tuple[list[Part], list[Film]]:
    """The record at one moment, as files in a folder, and the films in it."""
    with snapshot(barn) as connection:
        films = films_of(connection)
        if barn.engine.dialect.name == "sqlite":
            names = [DATABASE]
            copy_sqlite(connection, folder / DATABASE)
        else:
            names = [f"tables/{table}.jsonl" for table in dump.TABLES]
            (folder / "tables").mkdir()
            for table in dump.TABLES:
                with (folder / "tables" / f"{table}.jsonl").open("wb") as file:
                    file.writelines(dump.lines(connection, table))
    return [Part(name, folder / name, (folder / name).stat().st_size) for name in names], films


def _length(parts: list[Part], told: Mapping[str, object], listed: str) -> int:
    sink = _Sink()
    with zipfile.ZipFile(sink, "w", zipfile.ZIP_STORED) as file:
        for part in parts:
            info = zipfile.ZipInfo(part.name)
            with file.open(info, "w", force_zip64=True):
                sink.skip(part.size)
            info.file_size = info.compress_size = part.size
        file.writestr(listed, _list(told, {part.name: (part.size, "0" * 64) for part in parts}))
    return sink.tell()


def _blocks(
    parts: list[Part], told: Mapping[str, object], undone: ExitStack, listed: str
) -> Generator[bytes, None, None]:
    sink, hashes = _Sink(), dict[str, tuple[int, str]]()
    with undone:
        yield b""
        with zipfile.ZipFile(sink, "w", zipfile.ZIP_STORED) as file:
            for part in parts:
                digest, size = hashlib.sha256(), 0
                with file.open(zipfile.ZipInfo(part.name), "w", force_zip64=True) as into:
                    for block in blocks_of(part.path):
                        into.write(block)
                        digest.update(block)
                        size += len(block)
                        yield sink.taken()
                if size != part.size:
                    raise StoreError(f"{part.name}: expected {part.size} bytes, found {size}. Do it again.")
                hashes[part.name] = (size, digest.hexdigest())
            file.writestr(listed, _list(told, hashes))
        yield sink.taken()


def _list(told: Mapping[str, object], parts: dict[str, tuple[int, str]]) -> str:
    listed = {name: {"size": size, "sha256": sha256} for name, (size, sha256) in parts.items()}
    return json.dumps({**told, "parts": listed}, indent=1)
