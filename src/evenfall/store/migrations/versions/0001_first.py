"""The first tables."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0001"
down_revision = None

MOMENT = sa.DateTime(timezone=True)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")


def upgrade() -> None:
    """Make them, those first that others speak of."""
    _answers()
    _devices()
    _edits()
    _horses()
    _settings()
    _tokens()
    _outings()
    _setups()
    _clips()
    _jobs()
    _measures()
    _readings()
    _results()
    _uploads()
    _acts()
    _marks()


def _answers() -> None:
    op.create_table(
        "answers", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("reader", sa.Text(), nullable=False), sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("question", JSON, nullable=False), sa.Column("answer", JSON, nullable=False),
        sa.Column("right", sa.Boolean()), sa.Column("answered_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_answers"), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_answers_of_reader", "answers", ["reader", "id"], unique=False)


def _devices() -> None:
    op.create_table(
        "devices", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("secret_hash", sa.Text(), nullable=False),
        sa.Column("paired_at", MOMENT, nullable=False), sa.Column("seen_at", MOMENT, nullable=False),
        sa.Column("revoked_at", MOMENT), sa.PrimaryKeyConstraint("id", name="pk_devices"),
        sa.UniqueConstraint("secret_hash", name="uq_devices_secret_hash"), sqlite_autoincrement=True,
    )  # fmt: skip


def _edits() -> None:
    op.create_table(
        "edits", sa.Column("id", sa.Integer(), nullable=False), sa.Column("at", MOMENT, nullable=False),
        sa.Column("device", sa.Text(), server_default="", nullable=False),
        sa.Column("table", sa.Text(), nullable=False), sa.Column("row_id", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), server_default="", nullable=False),
        sa.Column("before", JSON, nullable=False), sa.Column("after", JSON, nullable=False),
        sa.Column("undone_at", MOMENT), sa.PrimaryKeyConstraint("id", name="pk_edits"),
        sqlite_autoincrement=True,
    )  # fmt: skip


def _horses() -> None:
    op.create_table(
        "horses", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("breed", sa.Text(), server_default="", nullable=False),
        sa.Column("birth_year", sa.Integer()), sa.Column("height_m", sa.Float()),
        sa.Column("markings", sa.Text(), server_default="", nullable=False),
        sa.Column("goal", sa.Text(), server_default="", nullable=False), sa.Column("band_pct", JSON),
        sa.Column("owner", sa.Text(), server_default="", nullable=False),
        sa.Column("arrived_on", sa.Date()),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.Column("created_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT),
        sa.PrimaryKeyConstraint("id", name="pk_horses"), sqlite_autoincrement=True,
    )  # fmt: skip


def _settings() -> None:
    op.create_table(
        "settings", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("units", sa.Text(), server_default="", nullable=False),
        sa.Column("sides", sa.Text(), server_default="", nullable=False),
        sa.Column("theme", sa.Text(), server_default="", nullable=False),
        sa.Column("reader", sa.Text(), server_default="", nullable=False),
        sa.Column("pairing", sa.Boolean(), nullable=False),
        sa.Column("watch_folder", sa.Text(), server_default="", nullable=False),
        sa.Column("goal", sa.Text(), server_default="", nullable=False),
        sa.CheckConstraint("id = 1", name="ck_settings_one"),
        sa.PrimaryKeyConstraint("id", name="pk_settings"), sqlite_autoincrement=True,
    )  # fmt: skip


def _tokens() -> None:
    op.create_table(
        "tokens", sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("good_until", MOMENT, nullable=False), sa.Column("used_at", MOMENT),
        sa.PrimaryKeyConstraint("token_hash", name="pk_tokens"), sqlite_autoincrement=False,
    )  # fmt: skip


def _outings() -> None:
    op.create_table(
        "outings", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("horse_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("rider", sa.Text(), server_default="", nullable=False),
        sa.Column("ground", sa.Text(), server_default="", nullable=False),
        sa.Column("slope", sa.Text(), server_default="", nullable=False),
        sa.Column("direction", sa.Text(), server_default="", nullable=False),
        sa.Column("speed_asked", sa.Text(), server_default="", nullable=False),
        sa.Column("head_carriage", sa.Text(), server_default="", nullable=False),
        sa.Column("precheck", JSON, nullable=False), sa.Column("checked", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.Column("created_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT),
        sa.ForeignKeyConstraint(["horse_id"], ["horses.id"], name="fk_outings_horse_id_horses", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_outings"), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_outings_of_horse", "outings", ["horse_id", "on_date", "id"], unique=False)


def _setups() -> None:
    op.create_table(
        "setups", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("horse_id", sa.Integer(), nullable=False),
        sa.Column("from_date", sa.Date(), nullable=False), sa.Column("payload", JSON, nullable=False),
        sa.Column("created_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT),
        sa.ForeignKeyConstraint(["horse_id"], ["horses.id"], name="fk_setups_horse_id_horses", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_setups"), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_setups_of_horse", "setups", ["horse_id", "from_date"], unique=False)


def _clips() -> None:
    op.create_table(
        "clips", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("outing_id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("suffix", sa.Text(), server_default="", nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False), sa.Column("width", sa.Integer()),
        sa.Column("height", sa.Integer()), sa.Column("frames", sa.Integer()),
        sa.Column("duration_s", sa.Float()), sa.Column("capture_fps", sa.Float()),
        sa.Column("facing", sa.Text()), sa.Column("state", sa.Text(), nullable=False),
        sa.Column("problem", sa.Text(), server_default="", nullable=False),
        sa.Column("added_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT),
        sa.CheckConstraint("facing IN ('left', 'right')", name='ck_clips_facing'),
        sa.CheckConstraint("state IN ('waiting', 'ready', 'failed')", name='ck_clips_state'),
        sa.ForeignKeyConstraint(["outing_id"], ["outings.id"], name="fk_clips_outing_id_outings", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_clips"), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_clips_of_outing", "clips", ["outing_id", "id"], unique=False)
    op.create_index("ix_clips_sha256", "clips", ["sha256"], unique=False)


def _jobs() -> None:
    op.create_table(
        "jobs", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clip_id", sa.Integer(), nullable=False), sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False), sa.Column("progress", sa.Float(), nullable=False),
        sa.Column("message", sa.Text(), server_default="", nullable=False),
        sa.Column("worker", sa.Text(), server_default="", nullable=False),
        sa.Column("lease_until", MOMENT), sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("cancel_asked", sa.Boolean(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False), sa.Column("changed_at", MOMENT, nullable=False),
        sa.CheckConstraint("kind IN ('proxy', 'read')", name='ck_jobs_kind'),
        sa.CheckConstraint("state IN ('waiting', 'running', 'done', 'failed', 'cancelled')", name='ck_jobs_state'),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name="fk_jobs_clip_id_clips", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_jobs_changed", "jobs", ["changed_at"], unique=False)
    op.create_index(
        "uq_jobs_live",
        "jobs",
        ["clip_id", "kind"],
        unique=True,
        sqlite_where=sa.text("state IN ('waiting', 'running')"),
        postgresql_where=sa.text("state IN ('waiting', 'running')"),
    )


def _measures() -> None:
    op.create_table(
        "measures", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clip_id", sa.Integer(), nullable=False), sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("points", JSON, nullable=False),
        sa.Column("by", sa.Text(), server_default="", nullable=False),
        sa.Column("made_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name="fk_measures_clip_id_clips", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_measures"), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_measures_clip_id", "measures", ["clip_id"], unique=False)


def _readings() -> None:
    op.create_table(
        "readings", sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("clip_id", sa.Integer(), nullable=False), sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("reader", sa.Text(), server_default="", nullable=False),
        sa.Column("method", sa.Text(), server_default="", nullable=False),
        sa.Column("version", sa.Text(), server_default="", nullable=False),
        sa.Column("settings", JSON, nullable=False), sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.CheckConstraint("kind IN ('person', 'machine', 'blind')", name='ck_readings_kind'),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name="fk_readings_clip_id_clips", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_readings"), sqlite_autoincrement=True,
    )  # fmt: skip
    op.create_index("ix_readings_of_clip", "readings", ["clip_id", "kind", "id"], unique=False)
    op.create_index(
        "uq_readings_person",
        "readings",
        ["clip_id"],
        unique=True,
        sqlite_where=sa.text("kind = 'person'"),
        postgresql_where=sa.text("kind = 'person'"),
    )


def _results() -> None:
    op.create_table(
        "results", sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("phase_mean", sa.Float()), sa.Column("phase_low", sa.Float()),
        sa.Column("phase_high", sa.Float()), sa.Column("phase_left", sa.Float()),
        sa.Column("phase_right", sa.Float()), sa.Column("phase_sd", sa.Float()),
        sa.Column("strides", sa.Integer(), nullable=False), sa.Column("stride_s", sa.Float()),
        sa.Column("speed", sa.Float()), sa.Column("zone", sa.Text()),
        sa.Column("too_little", sa.Text(), server_default="", nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("data", JSON, nullable=False),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name="fk_results_clip_id_clips", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("clip_id", name="pk_results"), sqlite_autoincrement=False,
    )  # fmt: skip


def _uploads() -> None:
    op.create_table(
        "uploads", sa.Column("id", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), server_default="", nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False), sa.Column("horse_id", sa.Integer()),
        sa.Column("outing_id", sa.Integer()), sa.Column("state", sa.Text(), nullable=False),
        sa.Column("clip_id", sa.Integer()), sa.Column("duplicate", sa.Boolean(), nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        sa.CheckConstraint("state IN ('open', 'done', 'cancelled')", name='ck_uploads_state'),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name="fk_uploads_clip_id_clips", ondelete="SET NULL"),
        sa.ForeignKeyConstraint(["horse_id"], ["horses.id"], name="fk_uploads_horse_id_horses", ondelete="SET NULL"),
        sa.ForeignKeyConstraint(["outing_id"], ["outings.id"], name="fk_uploads_outing_id_outings", ondelete="SET NULL"),
        sa.PrimaryKeyConstraint("id", name="pk_uploads"), sqlite_autoincrement=False,
    )  # fmt: skip
    op.create_index("ix_uploads_clip_id", "uploads", ["clip_id"], unique=False)
    op.create_index("ix_uploads_horse_id", "uploads", ["horse_id"], unique=False)
    op.create_index("ix_uploads_outing_id", "uploads", ["outing_id"], unique=False)
    op.create_index(
        "uq_uploads_open",
        "uploads",
        ["key", "size"],
        unique=True,
        sqlite_where=sa.text("state = 'open'"),
        postgresql_where=sa.text("state = 'open'"),
    )


def _acts() -> None:
    op.create_table(
        "acts", sa.Column("op", sa.Text(), nullable=False),
        sa.Column("mark_id", sa.Text(), nullable=False),
        sa.Column("reading_id", sa.Integer(), nullable=False), sa.Column("at", MOMENT, nullable=False),
        sa.ForeignKeyConstraint(["reading_id"], ["readings.id"], name="fk_acts_reading_id_readings", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("op", "mark_id", name="pk_acts"), sqlite_autoincrement=False,
    )  # fmt: skip
    op.create_index("ix_acts_reading_id", "acts", ["reading_id"], unique=False)


def _marks() -> None:
    op.create_table(
        "marks", sa.Column("id", sa.Text(), nullable=False),
        sa.Column("reading_id", sa.Integer(), nullable=False),
        sa.Column("limb", sa.Text(), nullable=False), sa.Column("event", sa.Text(), nullable=False),
        sa.Column("time_s", sa.Float(), nullable=False), sa.Column("sd_s", sa.Float(), nullable=False),
        sa.Column("source", sa.Text(), server_default="", nullable=False),
        sa.Column("confidence", sa.Float(), nullable=False), sa.Column("stands_for", sa.Text()),
        sa.Column("rejected", sa.Boolean(), nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False), sa.Column("deleted_at", MOMENT),
        sa.CheckConstraint("event IN ('on', 'off')", name='ck_marks_event'),
        sa.CheckConstraint("limb IN ('LF', 'RF', 'LH', 'RH')", name='ck_marks_limb'),
        sa.ForeignKeyConstraint(["reading_id"], ["readings.id"], name="fk_marks_reading_id_readings", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_marks"), sqlite_autoincrement=False,
    )  # fmt: skip
    op.create_index("ix_marks_of_reading", "marks", ["reading_id", "time_s"], unique=False)
