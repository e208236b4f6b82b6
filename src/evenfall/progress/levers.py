"""What a trainer can change, or what changes by itself: rows of outings turned into columns for the model.

Only changes **within** a horse teach anything here. Horses that wear heavy hind shoes wear them because they were
trotty; to compare them with horses in light shoes would find that heavy hind shoes make a horse trotty. So each
column is taken about the horse's own mean, and a lever that never moved within any horse has no column at all.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, isnan, nan

import numpy as np

from evenfall.timebase import FloatArray

__all__ = ["BY_ITSELF", "LEVERS", "SETTLING_DAYS", "Column", "Lever", "Row", "columns_of"]

SETTLING_DAYS = 7.0
"""A fresh setup's own effect is taken to fade as exp(−days / 7): a couple of weeks' riding on a step is usual (common
practice, no source), and after two weeks a seventh of it is left. Fixed, not learned; our choice."""


@dataclass(frozen=True)
class Row:
    """One outing of one horse, with what it wore and met.

    Parameters
    ----------
    horse_id : int
    phase_pct, se : float
        Lateral phase, % of the stride, and its standard error.
    hind_minus_front_kg, toe_set_kg : float or None
        Distal mass of a hind less a front; of that, the mass set in the front third of the shoes, hind less front.
    head_deg, head_level : float or None
        Head line in degrees; or the aim in words as a place from 0 (low) to 1 (high).
    speed : float or None
        m/s.
    ground, slope, rider : str
        Empty when not said.
    days_since_shod, days_on_setup : float or None
    setup_id : int or None
    on_date : datetime.date or None
        Lets the model part a lever from the horse's simply getting better.
    """

    horse_id: int
    phase_pct: float
    se: float = 0.0
    hind_minus_front_kg: float | None = None
    toe_set_kg: float | None = None
    head_deg: float | None = None
    head_level: float | None = None
    speed: float | None = None
    ground: str = ""
    slope: str = ""
    rider: str = ""
    days_since_shod: float | None = None
    days_on_setup: float | None = None
    setup_id: int | None = None
    on_date: date | None = None


@dataclass(frozen=True)
class Lever:
    """How one lever is counted.

    Parameters
    ----------
    name, per : str
        ``per`` says what one unit of the effect is.
    scale : float
        That unit, in the row's own unit.
    prior_sd : float
        Standard deviation of the effect's prior about 0, points per unit: wide, our choice.
    own : bool
        Whether horses may differ in it.
    value : callable
        Row to number; None where not known.
    """

    name: str
    per: str
    scale: float
    prior_sd: float
    own: bool
    value: Callable[[Row], float | None]


def _fresh(row: Row) -> float | None:
    return None if row.days_on_setup is None else exp(-max(row.days_on_setup, 0.0) / SETTLING_DAYS)


def _day(row: Row) -> float | None:
    return None if row.on_date is None else float(row.on_date.toordinal())


LEVERS: tuple[Lever, ...] = (
    Lever("hind minus front", "100 g", 0.1, 5.0, True, lambda row: row.hind_minus_front_kg),
    Lever("toe-set mass", "100 g", 0.1, 5.0, True, lambda row: row.toe_set_kg),
    Lever("head line", "10°", 10.0, 5.0, True, lambda row: row.head_deg),
    Lever("head carriage", "a quarter of the way from low to high", 0.25, 5.0, True, lambda row: row.head_level),
    Lever("speed", "m/s", 1.0, 4.0, True, lambda row: row.speed),
    Lever("days since shoeing", "week", 7.0, 2.0, True, lambda row: row.days_since_shod),
    Lever("fresh setup", "the first day, against settled", 1.0, 5.0, True, _fresh),
    Lever("training time", "month", 30.4, 2.0, True, _day),
)  # fmt: skip
"""The levers that are numbers."""

BY_ITSELF = frozenset({"fresh setup", "training time"})
"""What moves by itself; nobody can ask what it would do."""

KINDS: Mapping[str, Callable[[Row], str]] = {
    "ground": lambda row: row.ground,
    "slope": lambda row: row.slope,
    "rider": lambda row: row.rider,
}
KIND_PRIOR_SD = 4.0
SAME = 0.1
"""Values closer than a tenth of the unit count as the same."""


@dataclass(frozen=True)
class Column:
    """One lever over all rows.

    Parameters
    ----------
    lever : Lever
    centred : ndarray, shape (n_rows,)
        In units of ``lever.scale``, about each horse's mean; 0 where not known.
    horses : mapping of int to int
        Horses within which it changed, and how often from one row to the next.
    ranges : mapping of int to tuple of float
        Range seen of each horse, in the row's unit.
    """

    lever: Lever
    centred: FloatArray
    horses: Mapping[int, int]
    ranges: Mapping[int, tuple[float, float]]


def columns_of(rows: Sequence[Row]) -> tuple[Column, ...]:
    """Turn rows, sorted by horse and in the order they happened, into the columns that moved within a horse."""
    made = (_column(rows, lever) for lever in (*LEVERS, *_kinds(rows)))
    return tuple(column for column in made if column.horses)


def _kinds(rows: Sequence[Row]) -> list[Lever]:
    """A lever for each ground, slope and rider but the barn's commonest, which it is held against."""
    levers = []
    for name, kind in KINDS.items():
        said = [kind(row) for row in rows if kind(row)]
        by_count = sorted(set(said), key=lambda each: (-said.count(each), each))
        levers += [_against(name, kind, each, by_count[0]) for each in by_count[1:]]
    return levers


def _against(name: str, kind: Callable[[Row], str], level: str, common: str) -> Lever:
    def value(row: Row) -> float | None:
        return float(kind(row) == level) if kind(row) else None

    return Lever(f"{name}: {level}", f"instead of {common}", 1.0, KIND_PRIOR_SD, False, value)


def _column(rows: Sequence[Row], lever: Lever) -> Column:
    values = np.array([nan if (value := lever.value(row)) is None else value for row in rows])
    centred = np.zeros(len(rows))
    horses: dict[int, int] = {}
    ranges: dict[int, tuple[float, float]] = {}
    ids = np.array([row.horse_id for row in rows])
    for horse in dict.fromkeys(ids.tolist()):
        here = (ids == horse) & ~np.isnan(values)
        own = values[here]
        if len(own) == 0:
            continue
        if lever.name == "training time":
            own = own - own.min()
        ranges[horse] = (float(own.min()), float(own.max()))
        changes = _changes(own.tolist(), SAME * lever.scale)
        if changes:
            horses[horse] = changes
            centred[here] = (own - own.mean()) / lever.scale
    return Column(lever, centred, horses, ranges)


def _changes(values: Sequence[float], same: float) -> int:
    """How often the value moved on from where it last stood."""
    count, stood = 0, nan
    for value in values:
        if isnan(stood) or abs(value - stood) > same:
            count += not isnan(stood)
            stood = value
    return count
