"""A barn opened: its folder, its database, and transactions whose errors are said in plain words.

SQLite by default (``barn.sqlite3`` in the barn's folder), PostgreSQL by URL, with the same code. A transaction that
writes takes SQLite's write lock as it begins, so it never fails half way for another's sake.
"""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from evenfall.errors import DiskFull, StoreBusy, StoreError
from evenfall.store.migrating import HEAD, migrate, standing

__all__ = ["DATABASE", "Barn", "alone", "now", "on_disk", "open_barn", "reading", "writing"]

DATABASE = "barn.sqlite3"
FULL = (errno.ENOSPC, errno.EDQUOT)
BUSY_STATES = ("55P03", "40P01", "40001", "57014")
"""PostgreSQL's: lock not had in time, deadlock, serialisation, cancelled for taking too long."""


@dataclass(frozen=True)
class Barn:
    """An open barn.

    Parameters
    ----------
    home : Path
        Its folder: the database, the originals, what is made from them, and films on their way in.
    engine : sqlalchemy.Engine
    """

    home: Path
    engine: Engine

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_barn(home: Path, url: str | None = None, *, wait_s: float = 5.0) -> Barn:
    """Open the barn in a folder, made and brought up to date as needed.

    Parameters
    ----------
    home : Path
        The barn's folder; made if it is not there.
    url : str, optional
        A database elsewhere, as ``postgresql://user@host/name``. By default SQLite in the folder.
    wait_s : float
        How long to wait for another program that holds the record, seconds.

    Raises
    ------
    StoreNewer
        If the record was made by a newer Evenfall.
    StoreError
        If it cannot be opened, or is another program's.
    """
    with on_disk(home):
        for folder in ("originals", "derived", "incoming"):
            (home / folder).mkdir(parents=True, exist_ok=True)
    barn = Barn(home, _engine(_address(home, url), wait_s))
    try:
        with reading(barn) as connection:
            at = standing(connection)
        if at != HEAD:
            with writing(barn) as connection:
                migrate(connection)
    except BaseException:
        barn.close()
        raise
    return barn


def now() -> datetime:
    """The moment it is, UTC."""
    return datetime.now(UTC)


@contextmanager
def reading(barn: Barn) -> Iterator[Connection]:
    """Run one transaction that only reads."""
    with _plainly(barn), barn.engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(barn: Barn) -> Iterator[Connection]:
    """Run one transaction that writes: all of it or nothing."""
    with _plainly(barn), barn.engine.connect() as plain:
        connection = plain.execution_options(writes=True)
        with connection.begin():
            yield connection


def alone(connection: Connection, what: str) -> None:
    """Wait until no other transaction does ``what``; SQLite's write lock sees to that already."""
    if connection.dialect.name == "postgresql":
        connection.execute(
            text("SELECT pg_advisory_xact_lock(hashtext(:what))"), {"what": f"evenfall {what}"}
        )


@contextmanager
def on_disk(where: object) -> Iterator[None]:
    """Say a full or unwilling disk in plain words."""
    try:
        yield
    except OSError as error:
        if error.errno in FULL:
            raise DiskFull(where) from error
        raise StoreError(
            f"{where}: could not be used: {error.strerror or error}. See to that and do it again."
        ) from error


def _address(home: Path, url: str | None) -> URL:
    if url is None:
        return URL.create("sqlite", database=str(home / DATABASE))
    try:
        address = make_url(url)
    except (SQLAlchemyError, ValueError):
        raise StoreError(
            f"expected a database's address as postgresql://user@host/name, found {_without_secrets(url)}. "
            "Look for a slip in the host, the port or the signs between them."
        ) from None  # the cause may hold the password
    if address.drivername in ("postgresql", "postgres"):
        return address.set(drivername="postgresql+psycopg")
    return address


def _without_secrets(url: str) -> str:
    """As much of an address that cannot be read as surely holds no password: how it begins, and its host."""
    beginning, colon, rest = url.partition("?")[0].partition(":")
    _, at, host = rest.rpartition("@")
    return repr(f"{beginning}:…{at}{host if at else ''}" if colon else beginning)


def _engine(address: URL, wait_s: float) -> Engine:
    if address.get_backend_name() == "postgresql":
        options = f"-c lock_timeout={round(wait_s * 1000)} -c timezone=UTC"
        given = address.query.get("options")
        return _created(address, {"options": f"{given} {options}" if isinstance(given, str) else options})
    engine = _created(address, {"timeout": wait_s, "isolation_level": None, "check_same_thread": False})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _created(address: URL, arguments: dict[str, Any]) -> Engine:
    try:
        return create_engine(address, connect_args=arguments, pool_size=8, max_overflow=40)
    except (SQLAlchemyError, ImportError) as error:
        raise StoreError(
            f"the database at {address.set(query={}).render_as_string()} cannot be spoken with: {error}. "
            "PostgreSQL needs the package psycopg: pip install 'evenfall[postgresql]'."
        ) from error


def _prepare(connection: sqlite3.Connection, _record: object) -> None:
    """What every connection to SQLite is told."""
    connection.execute("PRAGMA foreign_keys = ON")
    if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        with suppress(
            sqlite3.OperationalError
        ):  # held by another that opens it at this moment, and sets it too
            connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")


def _begin(connection: Connection) -> None:
    how = "BEGIN IMMEDIATE" if connection.get_execution_options().get("writes") else "BEGIN"
    connection.exec_driver_sql(how)


@contextmanager
def _plainly(barn: Barn) -> Iterator[None]:
    """Turn the database's errors into the store's."""
    try:
        yield
    except (UnicodeError, OverflowError) as error:
        raise StoreError(
            f"expected text and numbers that can be written down, found others: {error}"
        ) from error
    except (DBAPIError, PoolTimeout) as error:
        raise _said(error, barn.home) from error


def _said(error: DBAPIError | PoolTimeout, home: Path) -> StoreError:
    cause = error.orig if isinstance(error, DBAPIError) else error
    state, words = getattr(cause, "sqlstate", None), str(cause).strip()
    if state == "53100" or "disk is full" in words:
        return DiskFull(home)
    if state in BUSY_STATES or "is locked" in words or "QueuePool limit" in words:
        return StoreBusy()
    if state == "25006" or "readonly" in words:
        return StoreError(
            f"the record of {home} may only be read, so this was not saved. Give this user the right to write there."
        )
    if "not a database" in words or "malformed" in words:
        return StoreError(
            f"the record of {home} is damaged: {words}. Restore the newest backup into a new folder."
        )
    return StoreError(
        f"the record of {home} could not be used: {words.splitlines()[0] if words else 'unknown'}"
    )
