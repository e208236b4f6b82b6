"""New barns, whose record is brought up to date once a run and copied for each test."""

import sqlite3
import tempfile
from functools import cache
from pathlib import Path

from sqlalchemy import event

from evenfall.store import Barn, open_barn
from evenfall.store.engine import DATABASE


def new_barn(home: Path, *, wait_s: float = 5.0) -> Barn:
    """Open an empty barn in a folder that has none yet."""
    return in_a_hurry(open_barn(new_home(home), wait_s=wait_s))


def new_home(home: Path) -> Path:
    """An empty barn's folder where none is yet."""
    home.mkdir(parents=True, exist_ok=True)
    with (home / DATABASE).open("xb") as record:
        record.write(_empty())
    return home


def in_a_hurry(barn: Barn) -> Barn:
    """A test's barn need not outlive the machine's power; what a killed program leaves is tried elsewhere."""
    event.listen(barn.engine, "connect", _unsynchronised)
    barn.engine.dispose()
    return barn


def _unsynchronised(connection: sqlite3.Connection, _record: object) -> None:
    connection.execute("PRAGMA synchronous = OFF")


@cache
def _empty() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        open_barn(Path(folder)).close()
        assert {path.name for path in Path(folder).iterdir() if path.is_file()} == {DATABASE}
        return (Path(folder) / DATABASE).read_bytes()
