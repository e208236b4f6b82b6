"""Films as passes: what each film of a horse, or of the whole barn, came to, and what was ridden; one query a question.

Conventions: oldest first; what lies in the bin, or under something that does, is left out. Angles are degrees, speeds
metres a second, phases % of the stride.
"""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from sqlalchemy import and_, select

from evenfall.store.engine import Barn, reading
from evenfall.store.records import Measure
from evenfall.store.rows import made_all
from evenfall.store.schema import clips, figures, horses, measures, outings, results

__all__ = ["FilmRow", "films_of", "measures_of"]

_FILMS = clips.join(outings, outings.c.id == clips.c.outing_id).join(
    horses, horses.c.id == outings.c.horse_id
)
_SEEN = and_(clips.c.deleted_at.is_(None), outings.c.deleted_at.is_(None), horses.c.deleted_at.is_(None))


class FilmRow(NamedTuple):
    """One film, with its outing and what its marks came to.

    ``strides`` is None where there is no result yet. ``timing`` holds the figures of `evenfall.store.figures` by their
    names, such as ``fore duty`` and ``fore duty se``; ``share_in_band`` runs from 0 to 1.
    """

    clip_id: int
    horse_id: int
    outing_id: int
    on_date: date
    rider: str
    ground: str
    slope: str
    direction: str
    speed_asked: str
    head_carriage: str
    head_deg: float | None
    rider_tack_kg: float | None
    height_m: float | None
    strides: int | None
    phase_mean: float | None
    speed_m_s: float | None
    too_little: str | None
    timing: Mapping[str, float] | None
    share_in_band: float | None


def films_of(barn: Barn, horse_id: int | None = None) -> tuple[FilmRow, ...]:
    """Return the films of a horse, or of every horse, those without a result too.

    Parameters
    ----------
    barn : Barn
    horse_id : int, optional
    """
    wanted = (
        select(
            clips.c.id, outings.c.horse_id, clips.c.outing_id, outings.c.on_date, outings.c.rider, outings.c.ground,
            outings.c.slope, outings.c.direction, outings.c.speed_asked, outings.c.head_carriage, outings.c.head_deg,
            outings.c.rider_tack_kg, horses.c.height_m, results.c.strides, results.c.phase_mean,
            results.c.speed, results.c.too_little, figures.c.timing, figures.c.share_in_band,
        )
        .select_from(
            _FILMS.join(results, results.c.clip_id == clips.c.id, isouter=True)
            .join(figures, figures.c.clip_id == clips.c.id, isouter=True)
        )
        .where(_SEEN)
        .order_by(outings.c.on_date, outings.c.id, clips.c.id)
    )  # fmt: skip
    asked = wanted if horse_id is None else wanted.where(outings.c.horse_id == horse_id)
    with reading(barn) as connection:
        return tuple(map(FilmRow._make, connection.execute(asked)))


def measures_of(barn: Barn, horse_id: int | None = None) -> dict[int, tuple[Measure, ...]]:
    """Return the clicks on the films of a horse, or of every horse, by clip, in the order they were made."""
    wanted = (
        select(measures)
        .select_from(_FILMS.join(measures, measures.c.clip_id == clips.c.id))
        .where(_SEEN, measures.c.deleted_at.is_(None))
        .order_by(measures.c.id)
    )
    asked = wanted if horse_id is None else wanted.where(outings.c.horse_id == horse_id)
    found: dict[int, list[Measure]] = defaultdict(list)
    with reading(barn) as connection:
        for each in made_all(Measure, connection.execute(asked).mappings(), measures):
            found[each.clip_id].append(each)
    return {clip: tuple(kept) for clip, kept in found.items()}
