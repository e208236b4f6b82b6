"""The zip of one horse looked through, before anything of it is written: every name, size, hash, row and number.

A zip may come from anybody. Its parts must be stored as they are, so that what comes out is never larger than the file; a
part has one of our names or the zip is refused; nothing is ever written under a name that the zip gave.
"""

import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime
from math import isfinite
from pathlib import Path
from struct import error as struct_error
from typing import Any

from sqlalchemy import JSON, BigInteger, Boolean, Column, Float, Integer, Table, Text

from evenfall.errors import StoreError, StoreNewer
from evenfall.store import schema
from evenfall.store.editing import typed
from evenfall.store.engine import on_disk
from evenfall.store.migrating import HEAD
from evenfall.store.taking_out import FORMAT, HORSE_LIST, RECORD, SINCE, VERSION

__all__ = ["Check", "HorseZip", "Row", "opened_zip", "refused"]

Row = dict[str, Any]
Check = Callable[[str, Row], None]
"""Given a table's name and a row; raises where the row cannot be."""

MOST_PARTS, MOST_LIST, MOST_RECORD = 100_000, 32 * 2**20, 2 * 2**30
"""Parts, bytes of the list, bytes of the record (our choice): many times a horse that is filmed daily for ten years."""
MOST_LINE = 32 * 2**20
LONGEST_NAME = 200
ORIGINAL = re.compile(r"originals/([0-9a-f]{2})/(\1[0-9a-f]{62})((?:\.[a-z0-9]{1,8})?)")
RECORDS = {f"record/{name}.jsonl": name for name in RECORD}
SHA256, SUFFIX = re.compile(r"[0-9a-f]{64}"), re.compile(r"(\.[a-z0-9]{1,8})?")


@dataclass(frozen=True)
class HorseZip:
    """A zip that holds what its list says.

    Parameters
    ----------
    file : zipfile.ZipFile
        Open.
    told : mapping
        Its list.
    rows : mapping of str to list of dict
        By table, typed as the record's columns.
    originals : mapping of tuple to str
        Names of the films' parts by hash and ending.
    size : int
        Bytes of the films.
    """

    file: zipfile.ZipFile
    told: Mapping[str, Any]
    rows: Mapping[str, list[Row]]
    originals: Mapping[tuple[str, str], str]
    size: int

    @property
    def horse(self) -> Row:
        """The one horse."""
        return self.rows["horses"][0]


def refused(why: str) -> StoreError:
    """Say why a zip is not taken."""
    return StoreError(f"expected one horse as Evenfall writes it, found {why}. Nothing was taken in.")


@contextmanager
def opened_zip(path: Path, check: Check) -> Iterator[HorseZip]:
    """Open one horse's zip, looked through.

    Raises
    ------
    StoreNewer
        If a newer Evenfall wrote it.
    StoreError
        If it is damaged, hostile or another file.
    """
    with ExitStack() as stack:
        with on_disk(path), _as_damaged():
            file = stack.enter_context(zipfile.ZipFile(path))
            looked = _looked_through(file, path.stat().st_size, check)
        yield looked


@contextmanager
def _as_damaged() -> Iterator[None]:
    """A zip can be broken in many ways, each with an error of its own."""
    try:
        yield
    except (
        zipfile.BadZipFile, EOFError, RuntimeError, ValueError, OverflowError, RecursionError, NotImplementedError, struct_error,
        zlib.error,
    ) as broken:  # fmt: skip
        raise refused(f"a damaged file or another ({broken})") from broken


def _looked_through(file: zipfile.ZipFile, size: int, check: Check) -> HorseZip:
    _require_plain(file, size)
    told = _list_of(file)
    _require_version(told)
    records = {part: name for part, name in RECORDS.items() if SINCE.get(name, "") <= told["step"]}
    _require_as_listed(file, told["parts"], records)
    rows = {name: [_row(name, line) for line in _lines(file, part)] for part, name in records.items()}
    rows = {name: rows.get(name, []) for name in RECORD}
    _require_one_horse(rows)
    originals = {
        (found[2], found[3]): name for name in file.namelist() if (found := ORIGINAL.fullmatch(name))
    }
    _require_films(rows["clips"], originals, told)
    for name, each in rows.items():
        for row in each:
            check(name, row)
    weight = sum(file.getinfo(name).file_size for name in originals.values())
    return HorseZip(file, told, rows, originals, weight)


# parts -----------------------------------------------------------------------------------------------------


def _require_plain(file: zipfile.ZipFile, size: int) -> None:
    parts = file.infolist()
    names = [part.filename for part in parts]
    if len(parts) > MOST_PARTS:
        raise refused(f"{len(parts)} parts; at most {MOST_PARTS} are taken")
    for part in parts:
        if part.filename != HORSE_LIST and not (
            part.filename in RECORDS or ORIGINAL.fullmatch(part.filename)
        ):
            raise refused(f"a part named {part.filename[:LONGEST_NAME]!r}, which is none of ours")
        if part.compress_type != zipfile.ZIP_STORED or part.file_size != part.compress_size:
            raise refused(f"{part.filename} packed in another way")
    if len(set(names)) < len(names):
        raise refused("a part that is there twice")
    if sum(part.file_size for part in parts) > size:
        raise refused("parts that are together larger than the file")
    if sum(part.file_size for part in parts if part.filename in RECORDS) > MOST_RECORD:
        raise refused(f"a record longer than {MOST_RECORD} bytes")


def _list_of(file: zipfile.ZipFile) -> Mapping[str, Any]:
    if HORSE_LIST not in file.namelist():
        raise refused(f"no {HORSE_LIST} in it; a study copy, tables or a backup is another thing")
    if file.getinfo(HORSE_LIST).file_size > MOST_LIST:
        raise refused(f"a {HORSE_LIST} longer than {MOST_LIST} bytes")
    told = _object(file.read(HORSE_LIST), HORSE_LIST)
    if told.get("format") != FORMAT or not isinstance(told.get("parts"), dict):
        raise refused(f"another kind of {HORSE_LIST}")
    missing = told.get("missing")
    if not isinstance(missing, list) or not all(isinstance(each, str) for each in missing):
        raise refused(f"a {HORSE_LIST} that does not say which films are missing")
    if not isinstance(told.get("goal"), str):
        raise refused(f"a {HORSE_LIST} that does not say the barn's goal")
    return told


def _require_version(told: Mapping[str, Any]) -> None:
    version, step = told.get("version"), told.get("step")
    if (
        type(version) is not int
        or version < 1
        or not isinstance(step, str)
        or not re.fullmatch(r"\d{4}", step)
    ):
        raise refused(f"version {version!r} of step {step!r}")
    if version > VERSION or step > HEAD:
        raise StoreNewer(
            f"expected one horse of version {VERSION} and step {HEAD} or older, found version {version} and step {step}: a "
            "newer Evenfall wrote it. Nothing was taken in. Update this one, or write the file with an older."
        )


def _require_as_listed(file: zipfile.ZipFile, parts: Mapping[str, Any], records: Mapping[str, str]) -> None:
    found = {name for name in file.namelist() if name != HORSE_LIST}
    if lost := sorted({*parts, *records} - found):
        raise refused(f"{str(lost[0])[:LONGEST_NAME]} missing")
    if more := sorted(found - set(parts)):
        raise refused(f"{more[0]}, which its list does not name")
    for name in sorted(found):
        if parts[name] != {"size": file.getinfo(name).file_size, "sha256": _hash(file, name)}:
            raise refused(f"{name} not as it was written: the file is damaged. Have it sent again")


def _hash(file: zipfile.ZipFile, name: str) -> str:
    with file.open(name) as part:
        return hashlib.file_digest(part, "sha256").hexdigest()  # type: ignore[arg-type]


# rows ------------------------------------------------------------------------------------------------------


def _lines(file: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    with file.open(name) as part:
        while line := part.readline(MOST_LINE):
            if len(line) == MOST_LINE:
                raise refused(f"a line in {name} longer than {MOST_LINE} bytes")
            yield line


def _object(raw: bytes, where: str) -> Row:
    data = json.loads(raw, parse_constant=_no_number)
    if not isinstance(data, dict):
        raise refused(f"no object in {where}")
    return data


def _no_number(word: str) -> float:
    raise refused(f"{word} for a number")


def _row(name: str, line: bytes) -> Row:
    table = schema.metadata.tables[name]
    told = _object(line, name)
    if strange := sorted(set(told) - set(table.c.keys())):
        raise refused(f"a column {strange[0][:LONGEST_NAME]!r} in {name}")
    return {column.name: _cell(table, column, told.get(column.name, _default(column))) for column in table.c}


def _default(column: Column[Any]) -> str | None:
    """What a column holds that an older Evenfall had not."""
    return None if column.server_default is None else ""


def _cell(table: Table, column: Column[Any], value: Any) -> Any:  # noqa: ANN401 - a cell
    where = f"{table.name}.{column.name}"
    if value is None:
        if column.nullable:
            return None
        raise refused(f"nothing in {where}")
    wanted = _wanted(column)
    if type(value) not in wanted or (isinstance(value, float) and not isfinite(value)) or _has_nul(value):
        raise refused(f"{str(value)[:LONGEST_NAME]!r} in {where}")
    try:
        cell = typed(column, value)
    except ValueError as error:
        raise refused(f"{str(value)[:LONGEST_NAME]!r} in {where}") from error
    if isinstance(cell, datetime) and cell.tzinfo is None:
        raise refused(f"a moment without its zone in {where}")
    return float(cell) if isinstance(column.type, Float) else cell


def _has_nul(value: object) -> bool:
    """A sign that no database keeps alike."""
    return isinstance(value, str) and "\0" in value


def _wanted(column: Column[Any]) -> tuple[type, ...]:
    """What JSON may hold for a column."""
    kinds: tuple[tuple[type, tuple[type, ...]], ...] = (
        (Boolean, (bool,)), (BigInteger, (int,)), (Integer, (int,)), (Float, (int, float)), (Text, (str,)),
        (schema.Listed, (list,)), (JSON, (dict,)),
    )  # fmt: skip
    for kind, wanted in kinds:
        if isinstance(column.type, kind):
            return wanted
    return (str,)


def _require_one_horse(rows: Mapping[str, list[Row]]) -> None:
    if len(rows["horses"]) != 1:
        raise refused(f"{len(rows['horses'])} horses")
    if any(each.get("deleted_at") for name in rows if name != "marks" for each in rows[name]):
        raise refused("something that lies in a bin")


def _require_films(
    clips: list[Row], originals: Mapping[tuple[str, str], str], told: Mapping[str, Any]
) -> None:
    """Every film is there or said to be missing, and no other is."""
    wanted = set()
    for clip in clips:
        if not SHA256.fullmatch(clip["sha256"]) or not SUFFIX.fullmatch(clip.get("suffix", "")):
            raise refused("a film whose hash or ending is none")
        wanted.add((clip["sha256"], clip.get("suffix", "")))
    if lost := [sha256 for sha256, suffix in wanted - set(originals) if sha256 not in told["missing"]]:
        raise refused(f"the film {min(lost)} missing")
    if set(originals) - wanted:
        raise refused("a film that no outing has")
    for (sha256, _), name in originals.items():
        if told["parts"][name]["sha256"] != sha256:
            raise refused(
                f"{name}, which was damaged before it was written. Take the horse out again once it is whole"
            )
