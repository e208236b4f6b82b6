"""How Alembic runs our steps: on the connection it is given, inside the transaction that stands open there."""

from alembic import context

from evenfall.store.schema import metadata


def _run() -> None:
    given = context.config.attributes["connection"]
    context.configure(connection=given, target_metadata=metadata, transactional_ddl=True)
    with context.begin_transaction():
        context.run_migrations()


if hasattr(context, "config"):  # only while Alembic runs: importing alone does nothing
    _run()
