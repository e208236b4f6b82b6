"""The films of a horse as passes: what the store holds of them, as `evenfall.progress` counts it.

Conventions: oldest first. A film with too little evidence is no pass, but the horse went it: it counts as one of those
made since the setup began.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from statistics import fmean
from typing import TypeVar

from evenfall.flow.measuring import head_angle_deg, head_line, hoof_height
from evenfall.gait import Quantity, Unknown
from evenfall.progress.passes import MEASURES, Pass, Value
from evenfall.store import Barn, setups
from evenfall.store.figures import STRIDE_RATE
from evenfall.store.passes import FilmRow, films_of, measures_of
from evenfall.store.records import Measure, SetupRecord

__all__ = ["passes_of", "passes_of_barn"]

TIMED = tuple((name, f"{name} se") for name in MEASURES if name not in ("hoof height", "head line"))
"""Measures that come from the timing of the strides, as the figures name them; the others are clicked."""

Row = TypeVar("Row", FilmRow, SetupRecord)


def passes_of(barn: Barn, horse_id: int) -> tuple[Pass, ...]:
    """Return the passes of a horse, oldest first.

    Parameters
    ----------
    barn : Barn
    horse_id : int

    Returns
    -------
    tuple of Pass
        One for each film with enough evidence; three queries, however many films.
    """
    return tuple(
        _passes(films_of(barn, horse_id), setups.of_horse(barn, horse_id), measures_of(barn, horse_id))
    )


def passes_of_barn(barn: Barn) -> dict[int, tuple[Pass, ...]]:
    """Return the passes of every horse that has any, by horse, oldest first; three queries in all."""
    films, worn = _by_horse(films_of(barn)), _by_horse(setups.of_barn(barn))
    clicks = measures_of(barn)
    found = {horse: tuple(_passes(rows, worn.get(horse, ()), clicks)) for horse, rows in films.items()}
    return {horse: passes for horse, passes in found.items() if passes}


def _by_horse(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        found[row.horse_id].append(row)
    return found


def _passes(
    films: Sequence[FilmRow], worn: Sequence[SetupRecord], clicks: Mapping[int, Sequence[Measure]]
) -> Iterator[Pass]:
    """One horse's films as passes; each with what was worn and how many went before it in that."""
    begun, made = [setup.from_date for setup in worn], defaultdict[int | None, int](int)
    for film in films:
        place = bisect_right(begun, film.on_date)
        setup = worn[place - 1].id if place else None
        if film.too_little == "" and film.phase_mean is not None:
            yield _pass(film, setup, None if setup is None else made[setup], clicks.get(film.clip_id, ()))
        made[setup] += 1


def _pass(film: FilmRow, setup: int | None, novelty: int | None, clicks: Sequence[Measure]) -> Pass:
    figures, strides, share = film.timing or {}, film.strides or 0, film.share_in_band
    return Pass(
        clip_id=film.clip_id,
        horse_id=film.horse_id,
        outing_id=film.outing_id,
        on_date=film.on_date,
        setup_id=setup,
        strides=strides,
        in_band=None if share is None else round(share * strides),
        values={**_timed(figures), **_clicked(clicks, film.height_m)},
        speed_m_s=film.speed_m_s,
        stride_rate_hz=figures.get(STRIDE_RATE),
        head_deg=_head(film, clicks),
        ground=film.ground,
        slope=film.slope,
        direction=film.direction,
        rider=film.rider,
        novelty=novelty,
        speed_asked=film.speed_asked,
    )


def _timed(figures: Mapping[str, float]) -> dict[str, Value]:
    """What the strides of a film came to, by measure."""
    return {name: Value(figures[name], figures[se]) for name, se in TIMED if name in figures}


def _clicked(clicks: Sequence[Measure], height_m: float | None) -> dict[str, Value]:
    """What was measured by clicks, where two pictures or more were clicked."""
    if not clicks:
        return {}
    told: dict[str, Quantity] = {"head line": head_line(clicks), "hoof height": hoof_height(clicks, height_m)}
    return {
        name: Value(value.mean, value.standard_error)
        for name, value in told.items()
        if not isinstance(value, Unknown)
    }


def _head(film: FilmRow, clicks: Sequence[Measure]) -> float | None:
    """The head line as measured on the film, else as said of the outing."""
    angles = [head_angle_deg(each.points) for each in clicks if each.kind == "head"]
    return fmean(angles) if angles else film.head_deg
