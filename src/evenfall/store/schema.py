"""The tables of the barn's record. What each column means stands in ``docs/reference/store.md``."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    DateTime,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    text,
)
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator

__all__ = ["Listed", "Moment", "metadata"]


class Moment(TypeDecorator[datetime]):
    """A moment, kept as UTC and given back as UTC."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """To UTC; SQLite keeps no zone."""
        if value is None:
            return None
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """As UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def _json() -> JSON:
    """JSON, in PostgreSQL the kind that can be searched; no value is NULL."""
    return JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")


class Listed(TypeDecorator[tuple[Any, ...]]):
    """A short list, given back as a tuple."""

    impl = _json()
    cache_ok = True

    def process_result_value(self, value: Any, dialect: Dialect) -> tuple[Any, ...] | None:  # noqa: ARG002, ANN401
        """As a tuple."""
        return None if value is None else tuple(value)


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _table(name: str, *parts: Column[Any] | Index | CheckConstraint) -> Table:
    """A table whose numbers are never given out twice."""
    return Table(name, metadata, *parts, sqlite_autoincrement=_is_numbered(parts))


def _is_numbered(parts: tuple[object, ...]) -> bool:
    return isinstance(parts[0], Column) and parts[0].primary_key and isinstance(parts[0].type, Integer)


def _id() -> Column[int]:
    return Column("id", Integer, primary_key=True)


def _words(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, server_default="")


def _of(name: str, table: str, *, key: str = "id", gone: str = "CASCADE", **more: bool) -> Column[Any]:
    kept = {"nullable": gone == "SET NULL", **more}
    return Column(name, ForeignKey(f"{table}.{key}", ondelete=gone), **kept)  # type: ignore[arg-type]


def _when(name: str, *, nullable: bool = False) -> Column[datetime]:
    return Column(name, Moment, nullable=nullable)


def _one_of(name: str, *values: str) -> CheckConstraint:
    return CheckConstraint(f"{name} IN ({', '.join(repr(value) for value in values)})", name=name)


def _only_once(name: str, *columns: str, where: str) -> Index:
    return Index(name, *columns, unique=True, sqlite_where=text(where), postgresql_where=text(where))


horses = _table(
    "horses", _id(), _words("name"), _words("breed"), Column("birth_year", Integer), Column("height_m", Float),
    Column("mass_kg", Float), _words("markings"), _words("goal"), Column("band_pct", Listed), _words("owner"), Column("arrived_on", Date),
    _words("note"), _when("created_at"), _when("deleted_at", nullable=True),
)  # fmt: skip

outings = _table(
    "outings", _id(), _of("horse_id", "horses"), Column("on_date", Date, nullable=False), _words("rider"),
    _words("ground"), _words("slope"), _words("direction"), _words("speed_asked"), _words("head_carriage"),
    Column("head_deg", Float), Column("rider_tack_kg", Float),
    Column("precheck", Listed, nullable=False), Column("checked", Boolean, nullable=False), _words("note"),
    _when("created_at"), _when("deleted_at", nullable=True),
    Index("ix_outings_of_horse", "horse_id", "on_date", "id"),
)  # fmt: skip

clips = _table(
    "clips", _id(), _of("outing_id", "outings"), Column("sha256", Text, nullable=False), _words("name"),
    _words("suffix"), Column("size", BigInteger, nullable=False), Column("width", Integer), Column("height", Integer),
    Column("frames", Integer), Column("duration_s", Float), Column("capture_fps", Float), Column("facing", Text),
    Column("state", Text, nullable=False), _words("problem"), _when("added_at"), _when("deleted_at", nullable=True),
    _one_of("facing", "left", "right"), _one_of("state", "waiting", "ready", "failed"),
    Index("ix_clips_of_outing", "outing_id", "id"), Index("ix_clips_sha256", "sha256"),
)  # fmt: skip

readings = _table(
    "readings", _id(), _of("clip_id", "clips"), Column("kind", Text, nullable=False), _words("reader"),
    _words("method"), _words("version"), Column("settings", _json(), nullable=False),
    Column("revision", Integer, nullable=False), _when("created_at"),
    _one_of("kind", "person", "machine", "blind"),
    Index("ix_readings_of_clip", "clip_id", "kind", "id"),
    _only_once("uq_readings_person", "clip_id", where="kind = 'person'"),
)  # fmt: skip

marks = _table(
    "marks", Column("id", Text, primary_key=True), _of("reading_id", "readings"), Column("limb", Text, nullable=False),
    Column("event", Text, nullable=False), Column("time_s", Float, nullable=False),
    Column("sd_s", Float, nullable=False), _words("source"), Column("confidence", Float, nullable=False),
    Column("stands_for", Text), Column("rejected", Boolean, nullable=False), _when("changed_at"),
    _when("deleted_at", nullable=True),
    _one_of("limb", "LF", "RF", "LH", "RH"), _one_of("event", "on", "off"),
    Index("ix_marks_of_reading", "reading_id", "time_s"),
)  # fmt: skip

acts = _table(
    "acts", Column("op", Text, primary_key=True), Column("mark_id", Text, primary_key=True),
    _of("reading_id", "readings", index=True), _when("at"),
)  # fmt: skip

results = _table(
    "results", _of("clip_id", "clips", primary_key=True), Column("revision", Integer, nullable=False),
    Column("phase_mean", Float), Column("phase_low", Float),
    Column("phase_high", Float), Column("phase_left", Float), Column("phase_right", Float), Column("phase_sd", Float),
    Column("strides", Integer, nullable=False), Column("stride_s", Float), Column("speed", Float),
    Column("zone", Text), _words("too_little"), _when("made_at"),
    Column("data", _json(), nullable=False),  # last, for SQLite reads a row from its beginning
    Index("ix_results_answered", "too_little", "clip_id"),  # which films have an answer, without walking all rows
)  # fmt: skip

figures = _table(
    "figures", _of("clip_id", "clips", primary_key=True), Column("timing", _json(), nullable=False),
    Column("share_in_band", Float),
)  # fmt: skip

jobs = _table(
    "jobs", _id(), _of("clip_id", "clips"), Column("kind", Text, nullable=False), Column("state", Text, nullable=False),
    Column("progress", Float, nullable=False), _words("message"), _words("worker"),
    _when("lease_until", nullable=True), Column("tries", Integer, nullable=False),
    Column("cancel_asked", Boolean, nullable=False), _when("created_at"), _when("changed_at"),
    Column("payload", _json()),
    _one_of("kind", "proxy", "read", "show"), _one_of("state", "waiting", "running", "done", "failed", "cancelled"),
    Index("ix_jobs_changed", "changed_at"),
    _only_once("uq_jobs_live", "clip_id", "kind", where="state IN ('waiting', 'running') AND payload IS NULL"),
)  # fmt: skip

uploads = _table(
    "uploads", Column("id", Text, primary_key=True), _words("key"), _words("name"),
    Column("size", BigInteger, nullable=False), _of("horse_id", "horses", gone="SET NULL", index=True),
    _of("outing_id", "outings", gone="SET NULL", index=True), Column("state", Text, nullable=False),
    _of("clip_id", "clips", gone="SET NULL", index=True), Column("duplicate", Boolean, nullable=False),
    _when("changed_at"), _one_of("state", "open", "done", "cancelled"),
    _only_once("uq_uploads_open", "key", "size", where="state = 'open'"),
)  # fmt: skip

devices = _table(
    "devices", _id(), _words("name"), Column("secret_hash", Text, nullable=False, unique=True), _when("paired_at"),
    _when("seen_at"), _when("revoked_at", nullable=True),
)  # fmt: skip

tokens = _table(
    "tokens",
    Column("token_hash", Text, primary_key=True),
    _when("good_until"),
    _when("used_at", nullable=True),
)

settings = _table(
    "settings", Column("id", Integer, primary_key=True), _words("units"), _words("sides"), _words("theme"),
    _words("reader"), Column("pairing", Boolean, nullable=False), _words("watch_folder"), _words("goal"),
    CheckConstraint("id = 1", name="one"),
)  # fmt: skip

edits = _table(
    "edits", _id(), _when("at"), _words("device"), Column("table", Text, nullable=False),
    Column("row_id", Text, nullable=False), _words("what"), Column("before", _json(), nullable=False),
    Column("after", _json(), nullable=False), _when("undone_at", nullable=True),
)  # fmt: skip

measures = _table(
    "measures", _id(), _of("clip_id", "clips", index=True), Column("kind", Text, nullable=False),
    Column("points", _json(), nullable=False), _words("by"), _when("made_at"), _when("deleted_at", nullable=True),
)  # fmt: skip

answers = _table(
    "answers", _id(), Column("reader", Text, nullable=False), Column("kind", Text, nullable=False),
    Column("question", _json(), nullable=False), Column("answer", _json(), nullable=False), Column("right", Boolean),
    _when("answered_at"), Index("ix_answers_of_reader", "reader", "id"),
)  # fmt: skip

setups = _table(
    "setups", _id(), _of("horse_id", "horses"), Column("from_date", Date, nullable=False),
    Column("payload", _json(), nullable=False), _when("created_at"), _when("deleted_at", nullable=True),
    Index("ix_setups_of_horse", "horse_id", "from_date"),
)  # fmt: skip

weighings = _table(
    "weighings", _id(), _of("horse_id", "horses"), Column("limb", Text, nullable=False),
    Column("on_date", Date, nullable=False), Column("state", Text, nullable=False),
    Column("mass_kg", Float, nullable=False), _words("note"), _when("created_at"), _when("deleted_at", nullable=True),
    _one_of("limb", "LF", "RF", "LH", "RH"), _one_of("state", "new", "worn", "pulled"),
    Index("ix_weighings_of_horse", "horse_id", "on_date", "id"),
)  # fmt: skip

flags = _table(
    "flags", _id(), _of("horse_id", "horses"), _of("outing_id", "outings", gone="SET NULL"),
    Column("on_date", Date, nullable=False), Column("kind", Text, nullable=False), _words("limb"), _words("note"),
    Column("cleared_on", Date), _words("cleared_by"), _words("cleared_note"), _when("created_at"),
    _when("deleted_at", nullable=True), _one_of("limb", "", "LF", "RF", "LH", "RH"),
    Index("ix_flags_of_horse", "horse_id", "on_date", "id"),
    Index("uq_flags_of_outing", "outing_id", "kind", "limb", unique=True),
)  # fmt: skip

checklists = _table(
    "checklists", _id(), _of("horse_id", "horses"), Column("on_date", Date, nullable=False),
    Column("signs", Listed, nullable=False), _words("reader"), _words("note"), _when("created_at"),
    _when("deleted_at", nullable=True), Index("ix_checklists_of_horse", "horse_id", "on_date", "id"),
)  # fmt: skip

ladders = _table(
    "ladders", _id(), _of("horse_id", "horses"), Column("payload", _json(), nullable=False), _when("created_at"),
    _when("changed_at"), _when("deleted_at", nullable=True), Index("uq_ladders_of_horse", "horse_id", unique=True),
)  # fmt: skip

plans = _table(
    "plans", Column("id", Integer, primary_key=True), Column("worthwhile_pct", Float, nullable=False),
    Column("cap_foot_kg", Float), Column("cap_step_kg", Float), Column("proof", _json(), nullable=False),
    Column("limits", Listed, nullable=False), CheckConstraint("id = 1", name="one"),
)  # fmt: skip

showings = _table(
    "showings", _id(), _of("clip_id", "clips", index=True), _of("other_id", "clips", index=True, nullable=True),
    Column("settings", _json(), nullable=False), _when("created_at"), _when("deleted_at", nullable=True),
)  # fmt: skip

shares = _table(
    "shares", _id(), _of("horse_id", "horses", index=True), Column("kind", Text, nullable=False),
    Column("settings", _json(), nullable=False), Column("secret_hash", Text, nullable=False, unique=True),
    _words("title"), Column("network", Boolean, nullable=False), _when("made_at"), _words("made_by"), _when("ends_at"),
    _when("revoked_at", nullable=True), _words("revoked_by"), Column("opened", Integer, nullable=False),
    _when("last_opened_at", nullable=True),
)  # fmt: skip

costs = _table(
    "costs", _id(), _of("horse_id", "horses"), Column("on_date", Date, nullable=False),
    Column("kind", Text, nullable=False), Column("count", Integer), Column("amount_cents", Integer, nullable=False),
    _words("currency"), _words("note"), _when("created_at"), _when("deleted_at", nullable=True),
    _one_of("kind", "training", "farrier", "vet", "keep", "other"),
    Index("ix_costs_of_horse", "horse_id", "on_date", "id"),
)  # fmt: skip
