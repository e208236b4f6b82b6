import sqlite3
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect, text

from evenfall import store
from evenfall.errors import StoreError, StoreNewer
from evenfall.store import Barn, horses, migrating, open_barn
from evenfall.store.engine import reading, writing
from evenfall.store.schema import metadata
from tests.store.keeping import a_horse


def test_the_steps_lead_to_the_tables_as_they_are_written(barn: Barn) -> None:
    with reading(barn) as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
        kept = {table for table in inspect(connection).get_table_names() if table != "alembic_version"}
    assert kept == set(metadata.tables)


def test_the_newest_step_is_the_last_file_and_the_steps_are_one_line() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(store.__file__).parent / "migrations"))
    steps = ScriptDirectory.from_config(config)
    assert steps.get_heads() == [migrating.HEAD]
    assert all(step.revision.isdigit() and len(step.revision) == 4 for step in steps.walk_revisions())


def test_a_record_of_a_newer_evenfall_is_refused_and_left_alone(barn: Barn, again: object) -> None:
    with writing(barn) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    try:
        with pytest.raises(
            StoreNewer, match=r"found step 9999: a newer Evenfall made it\. Nothing was changed"
        ):
            again()  # type: ignore[operator]
    finally:
        with writing(barn) as connection:
            connection.execute(
                text("UPDATE alembic_version SET version_num = :head"), {"head": migrating.HEAD}
            )
    assert horses.every(barn) == ()


def test_an_sqlite_file_says_whose_it_is(sqlite: Barn) -> None:
    with reading(sqlite) as connection:
        assert connection.exec_driver_sql("PRAGMA application_id").scalar() == migrating.APPLICATION_ID
        assert connection.exec_driver_sql("PRAGMA user_version").scalar() == int(migrating.HEAD)
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


@pytest.mark.parametrize("said", ["CREATE TABLE recipes (id INTEGER)", "PRAGMA application_id = 77"])
def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path, said: str) -> None:
    file = tmp_path / "barn.sqlite3"
    other = sqlite3.connect(file)
    other.execute(said)
    other.close()
    with pytest.raises(StoreError, match="Nothing was changed"):
        open_barn(tmp_path)
    other = sqlite3.connect(file)
    assert [row[0] for row in other.execute("SELECT name FROM sqlite_master")] in ([], ["recipes"])
    other.close()


def test_a_barn_opened_by_many_at_once_is_made_once(tmp_path: Path) -> None:
    def opened(_: int) -> None:
        with open_barn(tmp_path, wait_s=30) as barn:
            a_horse(barn)

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(opened, range(4)))
    with open_barn(tmp_path) as barn:
        assert len(horses.every(barn)) == 4


def test_a_step_that_breaks_off_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object) -> None:
        raise RuntimeError("power")

    with monkeypatch.context() as patch:
        patch.setattr(migrating, "_sign", broken)
        with pytest.raises(RuntimeError, match="power"):
            open_barn(tmp_path)
    with open_barn(tmp_path) as barn:
        a_horse(barn)
