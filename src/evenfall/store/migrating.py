"""The record brought up to date: forward only, all steps in one transaction.

Which step a record stands at is kept by Alembic in ``alembic_version`` as a four-figure number; a record at a higher
number than this program knows was made by a newer one and is refused.
"""

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from evenfall.errors import StoreError, StoreNewer
from evenfall.store import figures

__all__ = ["APPLICATION_ID", "HEAD", "migrate", "standing"]

HEAD = "0003"
"""The newest step, the last file in ``migrations/versions``."""

APPLICATION_ID = 0x45764661
"""What an SQLite file of ours says it is: ``EvFa``."""


def migrate(connection: Connection) -> None:
    """Bring the record up to date, inside the transaction given.

    Raises
    ------
    StoreNewer
        If it was made by a newer Evenfall.
    StoreError
        If it is another program's.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(hashtext('evenfall migrate'))"))
    if standing(connection) != HEAD:
        _upgrade(connection)
        figures.complete(connection)
        _sign(connection)


def standing(connection: Connection) -> str:
    """Return the step the record stands at, empty for a record not made yet."""
    tables = inspect(connection).get_table_names()
    _ours(connection, tables)
    if "alembic_version" not in tables:
        return ""
    at = str(connection.scalar(text("SELECT version_num FROM alembic_version")) or "")
    if at > HEAD:
        raise StoreNewer(
            f"expected a record of step {HEAD} or older, found step {at}: a newer Evenfall made it. "
            "Nothing was changed. Open it with that one, or bring this one up to date."
        )
    return at


def _ours(connection: Connection, tables: list[str]) -> None:
    if connection.dialect.name == "sqlite":
        signed = connection.exec_driver_sql("PRAGMA application_id").scalar()
        if signed not in (0, APPLICATION_ID):
            raise StoreError(
                "expected a record of Evenfall's, found another program's database. Nothing was changed."
            )
    if tables and "alembic_version" not in tables:
        raise StoreError(
            f"expected an empty database or a record of Evenfall's, found tables {', '.join(sorted(tables)[:3])}. "
            "Nothing was changed."
        )


def _upgrade(connection: Connection) -> None:
    from alembic import command  # noqa: PLC0415 - a barn that is up to date does not pay for it
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _sign(connection: Connection) -> None:
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version = {int(HEAD)}")
