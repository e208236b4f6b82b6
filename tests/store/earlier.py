"""A record as an Evenfall of step 0001 left it, and its backups."""

import hashlib
import json
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, MetaData, create_engine, make_url, select, text

from evenfall import store
from evenfall.store.editing import plain
from evenfall.store.migrating import APPLICATION_ID
from tests.store.keeping import DAY, data

AT = datetime(2026, 5, 2, 9, 30)
FILM = b"film"
SHA256 = hashlib.sha256(FILM).hexdigest()
ORIGINAL = f"originals/{SHA256[:2]}/{SHA256}.mp4"
ROWS: dict[str, list[dict[str, Any]]] = {
    "horses": [
        {"id": 3, "name": "Dusty", "height_m": 1.5, "band_pct": [20.0, 30.0], "created_at": AT},
        {"id": 4, "name": "Gone", "created_at": AT, "deleted_at": AT},
    ],
    "outings": [
        {"id": 5, "horse_id": 3, "on_date": DAY, "precheck": ["unlike itself"], "checked": True, "created_at": AT}
    ],
    "clips": [{"id": 7, "outing_id": 5, "sha256": SHA256, "name": "x.mp4", "suffix": ".mp4", "size": 4, "state": "ready", "added_at": AT}],
    "jobs": [
        {"id": 6, "clip_id": 7, "kind": "read", "state": "done", "progress": 1.0, "tries": 1, "cancel_asked": False, "created_at": AT, "changed_at": AT},
        {"id": 8, "clip_id": 7, "kind": "read", "state": "waiting", "progress": 0.0, "tries": 0, "cancel_asked": False, "created_at": AT, "changed_at": AT},
    ],
    "results": [{"clip_id": 7, "revision": 1, "phase_mean": 30.0, "strides": 9, "made_at": AT, "data": data()}],
    "setups": [{"id": 2, "horse_id": 3, "from_date": DAY, "payload": {"schema": 1}, "created_at": AT}],
    "edits": [
        {"id": 1, "at": AT, "table": "horses", "row_id": "3", "what": "changed Dusty", "before": {"3": {"note": "calm"}}, "after": {"3": {"note": ""}}}
    ],
}  # fmt: skip


def at_first_step(connection: Connection) -> dict[str, list[dict[str, Any]]]:
    """Make the tables of step 0001, fill them, and return every row."""
    config = Config()
    config.set_main_option("script_location", str(Path(store.__file__).parent / "migrations"))
    config.attributes["connection"] = connection
    command.upgrade(config, "0001")
    tables = MetaData()
    tables.reflect(connection)
    for name, rows in ROWS.items():
        for row in rows:
            connection.execute(tables.tables[name].insert().values(row))
        if connection.dialect.name == "postgresql" and "id" in rows[0]:
            counted = f"setval(pg_get_serial_sequence('{name}', 'id'), {rows[-1]['id']})"
            connection.execute(text(f"SELECT {counted}"))
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
    return {
        name: [dict(row) for row in connection.execute(select(table)).mappings()]
        for name, table in tables.tables.items()
        if name != "alembic_version"
    }


def an_old_barn(home: Path) -> dict[str, list[dict[str, Any]]]:
    """Make an SQLite record of step 0001 in a folder, with its film."""
    (home / ORIGINAL).parent.mkdir(parents=True)
    (home / ORIGINAL).write_bytes(FILM)
    engine = create_engine(f"sqlite:///{home}/barn.sqlite3")
    with engine.begin() as connection:
        kept = at_first_step(connection)
    engine.dispose()
    return kept


@contextmanager
def an_old_database(address: str) -> Iterator[str]:
    """Make a record of step 0001 in a PostgreSQL database of its own, gone afterwards."""
    given, name = make_url(address).set(drivername="postgresql+psycopg"), f"old_{uuid4().hex}"
    server = create_engine(given, isolation_level="AUTOCOMMIT")
    with server.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    inside = create_engine(given.set(database=name))
    with inside.begin() as connection:
        at_first_step(connection)
    inside.dispose()
    try:
        yield address.replace("@/postgres", f"@/{name}")
    finally:
        with server.connect() as connection:
            connection.execute(text(f"DROP DATABASE {name}"))
        server.dispose()


def an_old_backup(folder: Path, *, lines: bool) -> Path:
    """Make a backup of step 0001: of an SQLite record, or as lines from PostgreSQL."""
    rows = an_old_barn(folder / "old")
    record = {"barn.sqlite3": (folder / "old/barn.sqlite3").read_bytes()}
    tables = {f"tables/{name}.jsonl": _lines(kept) for name, kept in rows.items()}
    to = folder / "old.zip"
    _pack(to, {**(tables if lines else record), ORIGINAL: FILM})
    return to


def _lines(rows: list[dict[str, Any]]) -> bytes:
    dumped = [json.dumps({name: _told(value) for name, value in row.items()}) for row in rows]
    return "".join(f"{line}\n" for line in dumped).encode()


def _told(value: Any) -> Any:
    return (
        f"{value.isoformat()}+00:00"
        if isinstance(value, datetime)
        else plain(value)
        if isinstance(value, date)
        else value
    )


def _pack(to: Path, parts: Mapping[str, bytes]) -> None:
    listed = {
        name: {"size": len(part), "sha256": hashlib.sha256(part).hexdigest()} for name, part in parts.items()
    }
    with zipfile.ZipFile(to, "w") as file:
        for name, part in parts.items():
            file.writestr(name, part)
        file.writestr(
            "backup.json", json.dumps({"step": "0001", "made_at": "", "parts": listed, "missing": []})
        )
