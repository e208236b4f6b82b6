"""What a horse wears and weighs, flags, checklists, ladders, plans, and the figures of each film."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0002"
down_revision = "0001"

MOMENT = sa.DateTime(timezone=True)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")
LIMBS = "'LF', 'RF', 'LH', 'RH'"


def upgrade() -> None:
    """Add them; all that is there stays as it is."""
    op.add_column("horses", sa.Column("mass_kg", sa.Float()))
    op.add_column("outings", sa.Column("head_deg", sa.Float()))
    op.add_column("outings", sa.Column("rider_tack_kg", sa.Float()))
    _answered()
    _figures()
    _weighings()
    _flags()
    _checklists()
    _ladders()
    _plans()


def _answered() -> None:
    op.create_index("ix_results_answered", "results", ["too_little", "clip_id"])


def _figures() -> None:
    op.create_table(
        "figures", sa.Column("clip_id", sa.Integer(), nullable=False), sa.Column("timing", JSON, nullable=False),
        sa.Column("share_in_band", sa.Float()),
        sa.ForeignKeyConstraint(
            ["clip_id"], ["clips.id"], name=op.f("fk_figures_clip_id_clips"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("clip_id", name=op.f("pk_figures")),
    )  # fmt: skip


def _weighings() -> None:
    op.create_table(
        "weighings", *_of_a_horse("weighings"), sa.Column("limb", sa.Text(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False), sa.Column("state", sa.Text(), nullable=False),
        sa.Column("mass_kg", sa.Float(), nullable=False), _words("note"), *_kept(),
        sa.CheckConstraint(f"limb IN ({LIMBS})", name=op.f("ck_weighings_limb")),
        sa.CheckConstraint("state IN ('new', 'worn', 'pulled')", name=op.f("ck_weighings_state")),
        sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_weighings_of_horse", "weighings", ["horse_id", "on_date", "id"])


def _flags() -> None:
    op.create_table(
        "flags", *_of_a_horse("flags"), sa.Column("outing_id", sa.Integer()),
        sa.Column("on_date", sa.Date(), nullable=False), sa.Column("kind", sa.Text(), nullable=False),
        _words("limb"), _words("note"), sa.Column("cleared_on", sa.Date()), _words("cleared_by"),
        _words("cleared_note"), *_kept(),
        sa.CheckConstraint(f"limb IN ('', {LIMBS})", name=op.f("ck_flags_limb")),
        sa.ForeignKeyConstraint(
            ["outing_id"], ["outings.id"], name=op.f("fk_flags_outing_id_outings"), ondelete="SET NULL"
        ),
        sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_flags_of_horse", "flags", ["horse_id", "on_date", "id"])
    op.create_index("uq_flags_of_outing", "flags", ["outing_id", "kind", "limb"], unique=True)


def _checklists() -> None:
    op.create_table(
        "checklists", *_of_a_horse("checklists"), sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("signs", JSON, nullable=False), _words("reader"), _words("note"), *_kept(),
        sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_checklists_of_horse", "checklists", ["horse_id", "on_date", "id"])


def _ladders() -> None:
    op.create_table(
        "ladders", *_of_a_horse("ladders"), sa.Column("payload", JSON, nullable=False), *_kept(),
        sa.Column("changed_at", MOMENT, nullable=False), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("uq_ladders_of_horse", "ladders", ["horse_id"], unique=True)


def _plans() -> None:
    op.create_table(
        "plans", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("worthwhile_pct", sa.Float(), nullable=False), sa.Column("cap_foot_kg", sa.Float()),
        sa.Column("cap_step_kg", sa.Float()), sa.Column("proof", JSON, nullable=False),
        sa.Column("limits", JSON, nullable=False), sa.CheckConstraint("id = 1", name=op.f("ck_plans_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plans")), sqlite_autoincrement=True,
    )  # fmt: skip


def _of_a_horse(table: str) -> tuple[sa.schema.SchemaItem, ...]:
    """A number, and the horse it is of."""
    link = op.f(f"fk_{table}_horse_id_horses")
    return (
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("horse_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        sa.ForeignKeyConstraint(["horse_id"], ["horses.id"], name=link, ondelete="CASCADE"),
    )


def _words(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), server_default="", nullable=False)


def _kept() -> tuple[sa.Column[object], sa.Column[object]]:
    return sa.Column("created_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT)
