"""A barn on each database: SQLite in a folder, and a PostgreSQL of this run's own."""

import os
import pwd
import shutil
import sqlite3
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import event, text

from evenfall.store import Barn, open_barn
from evenfall.store.schema import metadata

EMPTIED = [f'DELETE FROM "{table.name}"' for table in reversed(metadata.sorted_tables)]
COUNTED_ANEW = [
    f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), 1, false)"
    for table in metadata.tables.values()
    if table.dialect_options["sqlite"]["autoincrement"]
]
BINARIES = sorted(Path("/usr/lib/postgresql").glob("*/bin"))


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The address of a PostgreSQL that lives as long as the run."""
    if not BINARIES:
        pytest.skip(
            "no PostgreSQL here: /usr/lib/postgresql/*/bin is absent (Debian: apt install postgresql)"
        )
    folder = Path(tempfile.mkdtemp(prefix="pg"))
    user = "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name
    if os.geteuid() == 0:
        shutil.chown(folder, user)
    running = _start(folder, user)
    try:
        yield f"postgresql://{user}@/postgres?host={folder}"
    finally:
        running.terminate()
        running.wait(30)
        shutil.rmtree(folder)


def _start(folder: Path, user: str) -> subprocess.Popen[bytes]:
    as_user = {"user": user, "cwd": folder} if os.geteuid() == 0 else {"cwd": folder}
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    made = [BINARIES[-1] / "initdb", "-D", folder / "data", "-A", "trust", "-U", user, "-N", "-E", "UTF8"]
    subprocess.run(made, check=True, **as_user, **quiet)  # type: ignore[call-overload]
    unsafe = [part for name in ("fsync", "full_page_writes") for part in ("-c", f"{name}=off")]
    served = [
        BINARIES[-1] / "postgres",
        "-D",
        folder / "data",
        "-k",
        folder,
        "-c",
        "listen_addresses=",
        *unsafe,
    ]
    running = subprocess.Popen(served, **as_user, **quiet)  # type: ignore[call-overload]
    ready = [str(BINARIES[-1] / "pg_isready"), "-h", str(folder), "-q"]
    while subprocess.run(ready, check=False).returncode:
        assert running.poll() is None, "PostgreSQL did not start"
        time.sleep(0.05)
    return running  # type: ignore[no-any-return]


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty barn in a folder, copied for each test."""
    home = tmp_path_factory.mktemp("template") / "barn"
    open_barn(home).close()
    return home


@pytest.fixture
def home(template: Path, tmp_path: Path) -> Path:
    """An empty barn's folder on SQLite."""
    return Path(shutil.copytree(template, tmp_path / "barn"))


@pytest.fixture
def sqlite(home: Path) -> Iterator[Barn]:
    """An empty barn on SQLite."""
    with open_barn(home, wait_s=10) as barn:
        event.listen(barn.engine, "connect", _in_a_hurry)
        barn.engine.dispose()
        yield barn


def _in_a_hurry(connection: sqlite3.Connection, _record: object) -> None:
    """A test's barn need not outlive the machine's power; what a killed program leaves is tried elsewhere."""
    connection.execute("PRAGMA synchronous = OFF")


@pytest.fixture
def empty_postgres(postgres: str, tmp_path: Path) -> Iterator[Barn]:
    """An empty barn on PostgreSQL."""
    with open_barn(tmp_path / "elsewhere", postgres, wait_s=10) as barn:
        with barn.engine.begin() as connection:
            connection.execute(text(";".join([*EMPTIED, *COUNTED_ANEW])))
        yield barn


@pytest.fixture(params=["sqlite", "empty_postgres"])
def barn(request: pytest.FixtureRequest) -> Barn:
    """An empty barn, on each database in turn."""
    opened: Barn = request.getfixturevalue(request.param)
    return opened


@pytest.fixture
def again(barn: Barn, request: pytest.FixtureRequest) -> Callable[[], Barn]:
    """Open the same barn once more, as another program would."""

    def opened() -> Barn:
        sqlite = barn.engine.dialect.name == "sqlite"
        return open_barn(barn.home, None if sqlite else request.getfixturevalue("postgres"), wait_s=10)

    return opened
