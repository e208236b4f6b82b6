"""Results: what the marks of a clip came to, the few numbers that lists need kept apart from the whole."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Column, Connection, Select, select

from evenfall.store import figures, schema
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import ClipRecord, Outing, Result
from evenfall.store.rows import insert_unless_there, made, made_all, one

__all__ = ["latest_by_horse", "of_clip", "of_horse", "save"]

_TABLE, _CLIPS, _OUTINGS, _HORSES = schema.results, schema.clips, schema.outings, schema.horses


def save(
    barn: Barn, clip_id: int, data: Mapping[str, Any], revision: int, *, speed_m_s: float | None = None
) -> Result:
    """Keep what a clip's marks came to; a result of older marks does not replace one of newer.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    data : mapping
        The object of `evenfall.report.data.reading_data`.
    revision : int
        Of the person's marks it was reckoned from.
    speed_m_s : float, optional
        Metres a second.

    Returns
    -------
    Result
        The one that is kept now.

    Raises
    ------
    NotFound
        If there is no such clip.
    """
    kept = of_clip(barn, clip_id)
    if kept and (
        kept.revision > revision or (kept.revision, kept.data, kept.speed) == (revision, data, speed_m_s)
    ):
        return kept
    values = {
        "revision": revision,
        "data": dict(data),
        "speed": speed_m_s,
        "made_at": now(),
        **_numbers(data),
    }
    with writing(barn) as connection:
        one(connection, _CLIPS, clip_id)
        _put(connection, clip_id, values)
        return made(Result, one(connection, _TABLE, clip_id), _TABLE)


def of_clip(barn: Barn, clip_id: int) -> Result | None:
    """Return a clip's result, or None if it has none yet."""
    asked = select(_TABLE).where(_TABLE.c.clip_id == clip_id)
    with reading(barn) as connection:
        row = connection.execute(asked).mappings().one_or_none()
    return None if row is None else made(Result, row, _TABLE)


def latest_by_horse(barn: Barn, *, data: bool = False) -> dict[int, tuple[Result, Outing]]:
    """Return each horse's newest result with its outing, by the horse's number.

    Parameters
    ----------
    barn : Barn
    data : bool
        Fetch the whole object of each result too; it is long, and left empty otherwise.
    """
    newest = (
        select(_TABLE.c.clip_id)
        .select_from(_OUTINGS.join(_CLIPS, _CLIPS.c.outing_id == _OUTINGS.c.id).join(_TABLE))
        .where(
            _OUTINGS.c.horse_id == _HORSES.c.id,
            _OUTINGS.c.deleted_at.is_(None),
            _CLIPS.c.deleted_at.is_(None),
        )
        .order_by(_OUTINGS.c.on_date.desc(), _OUTINGS.c.id.desc(), _CLIPS.c.id.desc())
        .limit(1)
        .correlate(_HORSES)
        .scalar_subquery()
    )
    asked = (
        select(*_columns(data=data), *_OUTINGS.c)
        .select_from(_HORSES.join(_TABLE, _TABLE.c.clip_id == newest).join(_CLIPS).join(_OUTINGS))
        .where(_HORSES.c.deleted_at.is_(None))
    )
    with reading(barn) as connection:
        rows = connection.execute(asked).mappings().all()
    pairs = zip(made_all(Result, rows, _TABLE), made_all(Outing, rows, _OUTINGS), strict=True)
    return {outing.horse_id: (result, outing) for result, outing in pairs}


def of_horse(
    barn: Barn, horse_id: int, *, data: bool = False
) -> tuple[tuple[Result, ClipRecord, Outing], ...]:
    """Return a horse's results with their clips and outings, oldest first; ``data`` as in `latest_by_horse`."""
    asked = _of_horse(horse_id, data=data)
    with reading(barn) as connection:
        rows = connection.execute(asked).mappings().all()
    parts = (
        made_all(Result, rows, _TABLE),
        made_all(ClipRecord, rows, _CLIPS),
        made_all(Outing, rows, _OUTINGS),
    )
    return tuple(zip(*parts, strict=True))


def _of_horse(horse_id: int, *, data: bool) -> Select[tuple[Any, ...]]:
    seen = (_CLIPS.c.deleted_at.is_(None), _OUTINGS.c.deleted_at.is_(None))
    return (
        select(*_columns(data=data), *_CLIPS.c, *_OUTINGS.c)
        .select_from(_TABLE.join(_CLIPS).join(_OUTINGS))
        .where(_OUTINGS.c.horse_id == horse_id, *seen)
        .order_by(_OUTINGS.c.on_date, _OUTINGS.c.id, _CLIPS.c.id)
    )


def _columns(*, data: bool) -> list[Column[Any]]:
    return [column for column in _TABLE.c if data or column is not _TABLE.c.data]


def _put(connection: Connection, clip_id: int, values: Mapping[str, Any]) -> None:
    if not insert_unless_there(connection, _TABLE, {"clip_id": clip_id, **values}):
        older = (_TABLE.c.clip_id == clip_id, _TABLE.c.revision <= values["revision"])
        if not connection.execute(_TABLE.update().where(*older).values(**values)).rowcount:
            return
    figures.keep(connection, clip_id, values["data"])


def _numbers(data: Mapping[str, Any]) -> dict[str, Any]:
    """The few numbers that lists need, from the whole."""
    timing = data.get("timing", {})
    phase = timing.get("lateral_phase_pct", {})
    both = phase.get("both", {})
    low, high = both.get("ci95", (None, None))
    return {
        "phase_mean": both.get("mean"),
        "phase_low": low,
        "phase_high": high,
        "phase_sd": both.get("sd"),
        "phase_left": phase.get("left", {}).get("mean"),
        "phase_right": phase.get("right", {}).get("mean"),
        "strides": data.get("strides", 0),
        "stride_s": timing.get("stride_s", {}).get("mean"),
        "zone": data.get("gait", {}).get("zone"),
        "too_little": data.get("error", {}).get("message", ""),
    }
