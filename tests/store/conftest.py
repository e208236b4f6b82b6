"""A barn on each database: SQLite in a folder, and the run's own PostgreSQL."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from evenfall.store import Barn, open_barn
from evenfall.store.schema import metadata
from tests.fresh import in_a_hurry, new_home

EMPTIED = [f'DELETE FROM "{table.name}"' for table in reversed(metadata.sorted_tables)]
COUNTED_ANEW = [
    f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), 1, false)"
    for table in metadata.tables.values()
    if table.dialect_options["sqlite"]["autoincrement"]
]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """An empty barn's folder on SQLite."""
    return new_home(tmp_path / "barn")


@pytest.fixture
def sqlite(home: Path) -> Iterator[Barn]:
    """An empty barn on SQLite."""
    with in_a_hurry(open_barn(home, wait_s=10)) as barn:
        yield barn


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
