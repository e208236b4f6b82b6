"""Films to show, links that were given out, costs; and works that are told what to do."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0003"
down_revision = "0002"

MOMENT = sa.DateTime(timezone=True)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")
KINDS = "kind IN ('proxy', 'read', 'show')"
LIVE = "state IN ('waiting', 'running') AND payload IS NULL"
KEPT = (
    "id, clip_id, kind, state, progress, message, worker, lease_until, tries, cancel_asked, created_at, changed_at"
)  # fmt: skip


def upgrade() -> None:
    """Add them; all that is there stays as it is."""
    op.drop_index("uq_jobs_live", "jobs")
    if op.get_bind().dialect.name == "postgresql":
        op.add_column("jobs", sa.Column("payload", JSON))
        op.drop_constraint(op.f("ck_jobs_ck_jobs_kind"), "jobs", type_="check")  # as step 0001 named it
        op.create_check_constraint(op.f("ck_jobs_kind"), "jobs", KINDS)
    else:
        _jobs_anew()
    live = sa.text(LIVE)
    op.create_index(
        "uq_jobs_live", "jobs", ["clip_id", "kind"], unique=True, sqlite_where=live, postgresql_where=live
    )
    _showings()
    _shares()
    _costs()


def _jobs_anew() -> None:
    """SQLite changes no rule of a table: it is made anew, and its numbers are counted on from where they were."""
    op.drop_index("ix_jobs_changed", "jobs")
    op.rename_table("jobs", "jobs_before")
    op.create_table(
        "jobs", sa.Column("id", sa.Integer(), nullable=False), sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False), sa.Column("state", sa.Text(), nullable=False),
        sa.Column("progress", sa.Float(), nullable=False), _words("message"), _words("worker"),
        sa.Column("lease_until", MOMENT), sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("cancel_asked", sa.Boolean(), nullable=False), sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False), sa.Column("payload", JSON),
        sa.CheckConstraint(KINDS, name=op.f("ck_jobs_kind")),
        sa.CheckConstraint(
            "state IN ('waiting', 'running', 'done', 'failed', 'cancelled')", name=op.f("ck_jobs_state")
        ),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name=op.f("fk_jobs_clip_id_clips"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")), sqlite_autoincrement=True,
    )  # fmt: skip
    op.execute(f"INSERT INTO jobs ({KEPT}) SELECT {KEPT} FROM jobs_before")
    op.execute("DELETE FROM sqlite_sequence WHERE name = 'jobs'")
    op.execute(
        "INSERT INTO sqlite_sequence (name, seq) SELECT 'jobs', seq FROM sqlite_sequence WHERE name = 'jobs_before'"
    )
    op.drop_table("jobs_before")
    op.create_index("ix_jobs_changed", "jobs", ["changed_at"])


def _showings() -> None:
    op.create_table(
        "showings", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clip_id", sa.Integer(), nullable=False), sa.Column("other_id", sa.Integer()),
        sa.Column("settings", JSON, nullable=False), *_kept(),
        *(_link("showings", name, "clips") for name in ("clip_id", "other_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_showings")), sqlite_autoincrement=True,
    )  # fmt: skip
    for name in ("clip_id", "other_id"):
        op.create_index(op.f(f"ix_showings_{name}"), "showings", [name])


def _shares() -> None:
    op.create_table(
        "shares", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("horse_id", sa.Integer(), nullable=False), sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("settings", JSON, nullable=False), sa.Column("secret_hash", sa.Text(), nullable=False),
        _words("title"), sa.Column("network", sa.Boolean(), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False), _words("made_by"), sa.Column("ends_at", MOMENT, nullable=False),
        sa.Column("revoked_at", MOMENT), _words("revoked_by"), sa.Column("opened", sa.Integer(), nullable=False),
        sa.Column("last_opened_at", MOMENT), _link("shares", "horse_id", "horses"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shares")),
        sa.UniqueConstraint("secret_hash", name=op.f("uq_shares_secret_hash")), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index(op.f("ix_shares_horse_id"), "shares", ["horse_id"])


def _costs() -> None:
    op.create_table(
        "costs", sa.Column("id", sa.Integer(), nullable=False), sa.Column("horse_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False), sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer()), sa.Column("amount_cents", sa.Integer(), nullable=False),
        _words("currency"), _words("note"), *_kept(),
        sa.CheckConstraint(
            "kind IN ('training', 'farrier', 'vet', 'keep', 'other')", name=op.f("ck_costs_kind")
        ),
        _link("costs", "horse_id", "horses"), sa.PrimaryKeyConstraint("id", name=op.f("pk_costs")),
        sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_costs_of_horse", "costs", ["horse_id", "on_date", "id"])


def _link(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_{column}_{to}")
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=name, ondelete="CASCADE")


def _words(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), server_default="", nullable=False)


def _kept() -> tuple[sa.Column[object], sa.Column[object]]:
    return sa.Column("created_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT)
