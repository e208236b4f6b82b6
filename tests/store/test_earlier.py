"""Records and backups of an earlier step: brought up to date with everything they held."""

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from evenfall.store import (
    Barn,
    clips,
    edits,
    flags,
    horses,
    jobs,
    open_barn,
    outings,
    passes,
    results,
    setups,
)
from evenfall.store.backup import restore
from evenfall.store.engine import reading
from evenfall.store.migrating import HEAD, standing
from evenfall.store.schema import metadata
from tests.store.earlier import AT, FILM, ROWS, an_old_backup, an_old_barn, an_old_database
from tests.store.keeping import DAY, a_horse, data
from tests.store.wearing import a_flag


@pytest.fixture(params=["sqlite", "postgres"])
def migrated(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Barn]:
    """A barn that a 0001 Evenfall left, opened."""
    if request.param == "sqlite":
        an_old_barn(tmp_path / "barn")
        with open_barn(tmp_path / "barn") as barn:
            yield barn
        return
    with an_old_database(request.getfixturevalue("postgres")) as url, open_barn(tmp_path / "b", url) as barn:
        yield barn


def all_is_there(barn: Barn) -> None:
    """Every row of the record as it was left, in the columns it had."""
    with reading(barn) as connection:
        for name, kept in ROWS.items():
            table = metadata.tables[name]
            rows = connection.execute(select(table).order_by(*table.primary_key)).mappings().all()
            assert len(rows) == len(kept)
            for row, was in zip(rows, kept, strict=True):
                assert {column: row[column] for column in was} == {column: as_read(value) for column, value in was.items()}  # fmt: skip


def as_read(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.replace(tzinfo=UTC)
    return tuple(value) if isinstance(value, list) else value


def test_a_record_of_the_first_step_keeps_everything(migrated: Barn) -> None:
    all_is_there(migrated)
    with reading(migrated) as connection:
        assert standing(connection) == HEAD


def test_a_record_of_the_first_step_is_used_like_any_other(migrated: Barn) -> None:
    horse, outing = horses.get(migrated, 3), outings.get(migrated, 5)
    assert (horse.mass_kg, outing.head_deg, outing.rider_tack_kg) == (None, None, None)
    setup = setups.worn_on(migrated, 3, DAY)
    assert setup is not None
    assert setup.payload == {"schema": 1}
    edits.undo(migrated, 1)
    assert horses.get(migrated, 3).note == "calm"
    flag = a_flag(migrated, 3, outing_id=5)
    assert flags.standing(migrated) == {3: (flag,)}
    assert a_horse(migrated).id == 5


def test_the_works_of_the_first_step_go_on_and_others_come_beside_them(migrated: Barn) -> None:
    assert [job.id for job in jobs.live(migrated)] == [8]
    assert jobs.add(migrated, 7, "read").id == 8
    assert jobs.add(migrated, 7, "show", {"showing": 1}).id > 8
    assert jobs.get(migrated, 6).payload is None
    with reading(migrated) as connection, pytest.raises(IntegrityError, match="kind"):
        connection.execute(metadata.tables["jobs"].update().values(kind="bake"))


def test_a_works_number_that_was_used_is_not_given_out_again(tmp_path: Path) -> None:
    an_old_barn(tmp_path)
    old = sqlite3.connect(tmp_path / "barn.sqlite3")
    old.execute("DELETE FROM jobs")
    old.commit()
    old.close()
    with open_barn(tmp_path) as barn:
        assert jobs.add(barn, 7, "read").id == 9


def test_the_films_of_the_first_step_have_their_figures(migrated: Barn) -> None:
    (film,) = passes.films_of(migrated)
    assert film.timing is not None
    assert film.timing["lateral phase"] == 30.0
    assert set(film.timing) == {"lateral phase", "lateral phase se", "evenness", "evenness se"}
    assert results.of_clip(migrated, 7).data == data()  # type: ignore[union-attr]


@pytest.mark.parametrize("lines", [False, True])
@pytest.mark.parametrize("into", ["sqlite", "postgres"])
def test_a_backup_of_the_first_step_is_restored_whole(
    request: pytest.FixtureRequest, tmp_path: Path, lines: bool, into: str
) -> None:
    packed = an_old_backup(tmp_path, lines=lines)
    url = None if into == "sqlite" else request.getfixturevalue("postgres")
    if url is not None:
        request.getfixturevalue("empty_postgres")
    restore(packed, tmp_path / "new", url)
    with open_barn(tmp_path / "new", url) as barn:
        all_is_there(barn)
        assert clips.original(barn, clips.get(barn, 7)).read_bytes() == FILM
        assert [film.clip_id for film in passes.films_of(barn) if film.timing] == [7]
        assert a_horse(barn).created_at > AT.replace(tzinfo=UTC)
