"""What films came to: a horse's films with their answers, the films that can be asked about, one reading by its number.

Conventions: what lies in the bin, or under an outing that does, is left out. Days are outings' days.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import and_, select

from evenfall.store.engine import Barn, reading
from evenfall.store.overview import Phase
from evenfall.store.records import ReadingRecord
from evenfall.store.rows import made
from evenfall.store.schema import clips, outings, readings, results

__all__ = ["Told", "answered", "reading_of", "told_of"]

_FILMS = results.join(clips, clips.c.id == results.c.clip_id).join(outings, outings.c.id == clips.c.outing_id)
_SEEN = and_(clips.c.deleted_at.is_(None), outings.c.deleted_at.is_(None))


class Told(NamedTuple):
    """What one film's result says, as much as a horse's page shows.

    ``sides`` and ``left_right`` are the reading's own objects of the lateral phases and the left–right differences, by
    name; None where there are none.
    """

    clip_id: int
    on_date: date
    phase: tuple[float, float, float] | None
    strides: int
    stride_s: float | None
    speed_m_s: float | None
    too_little: str
    sides: Mapping[str, Any] | None
    left_right: Mapping[str, Any] | None


def told_of(barn: Barn, horse_id: int) -> tuple[Told, ...]:
    """Return what every film of a horse came to, oldest first."""
    wanted = (
        select(
            clips.c.id, outings.c.on_date, results.c.phase_mean, results.c.phase_low, results.c.phase_high,
            results.c.strides, results.c.stride_s, results.c.speed, results.c.too_little,
            results.c.data["timing", "lateral_phase_pct"], results.c.data["timing", "left_right_pct"],
        )
        .select_from(_FILMS)
        .where(_SEEN, outings.c.horse_id == horse_id)
        .order_by(outings.c.on_date, clips.c.id)
    )  # fmt: skip
    with reading(barn) as connection:
        return tuple(
            Told(clip, day, None if mean is None else (mean, low, high), *rest)
            for clip, day, mean, low, high, *rest in connection.execute(wanted)
        )


def answered(barn: Barn) -> tuple[Phase, ...]:
    """Return every film that can be played and has an answer."""
    wanted = (
        select(
            clips.c.id, outings.c.on_date, results.c.phase_mean, results.c.phase_low, results.c.phase_high,
            results.c.phase_left, results.c.phase_right,
        )
        .select_from(_FILMS)
        .where(_SEEN, clips.c.state == "ready", results.c.too_little == "", results.c.phase_mean.is_not(None))
        .order_by(clips.c.id)
    )  # fmt: skip
    with reading(barn) as connection:
        return tuple(Phase(*row) for row in connection.execute(wanted))


def reading_of(barn: Barn, reading_id: int) -> ReadingRecord | None:
    """Return a reading by its number, or None; one of a film in the bin as well."""
    wanted = select(readings).where(readings.c.id == reading_id)
    with reading(barn) as connection:
        row = connection.execute(wanted).mappings().one_or_none()
    return None if row is None else made(ReadingRecord, row, readings)
