"""The way a horse travels: its outcomes over weeks, in words and as rows of a table.

Conventions: lateral phase in % of the stride, 0 pace, 25 even, 50 trot; left–right differences are left minus right.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from evenfall.report.tables import Table
from evenfall.report.words import fixed

__all__ = [
    "BeatMark",
    "Difference",
    "Outcome",
    "SetupBand",
    "Side",
    "StepMark",
    "Under",
    "beat_mark",
    "difference_table",
    "say_band",
    "say_interval",
    "side_table",
    "speed_table",
    "way_table",
]


@dataclass(frozen=True)
class Side:
    """The lateral phase of one side, %, and its 95 % interval."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class Outcome:
    """What one film came to.

    Parameters
    ----------
    clip_id : int
    on_date : date
        Day of the outing.
    mean, low, high : float
        Lateral phase of both sides and its 95 % interval, %.
    strides : int
        Strides it rests on.
    left, right : Side or None
    stride_s : float or None
        Stride time in real seconds.
    speed_m_s : float or None
        Where the film allows it.
    """

    clip_id: int
    on_date: date
    mean: float
    low: float
    high: float
    strides: int
    left: Side | None = None
    right: Side | None = None
    stride_s: float | None = None
    speed_m_s: float | None = None

    @property
    def rate_per_min(self) -> float | None:
        """Strides a minute."""
        return 60 / self.stride_s if self.stride_s else None


@dataclass(frozen=True)
class SetupBand:
    """What was worn for a stretch of days, drawn under the way travelled.

    Parameters
    ----------
    number : int
        From 1, oldest first; it stands in the drawing.
    since : date
    until : date or None
        The day on which the next began.
    words : str
        What changed with it.
    """

    number: int
    since: date
    until: date | None
    words: str


@dataclass(frozen=True)
class StepMark:
    """A day on which the horse came onto a step of its ladder; ``place`` from 1."""

    on_date: date
    place: int
    title: str


@dataclass(frozen=True)
class Under:
    """What is laid under the way travelled: the setups, and the steps of the ladder."""

    setups: tuple[SetupBand, ...] = ()
    steps: tuple[StepMark, ...] = ()


@dataclass(frozen=True)
class Difference:
    """Left minus right of one film, % of the stride, with its 95 % interval."""

    clip_id: int
    on_date: date
    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class BeatMark:
    """Where a small beat line is drawn: places along `LINE_WIDE` units from a little before pace to a little past trot.

    Parameters
    ----------
    at, low, high : float
        Mean and its interval.
    band_low, band_high : float
        The goal band.
    pace, even, trot : float
        The scale's own places.
    """

    at: float
    low: float
    high: float
    band_low: float
    band_high: float
    pace: float
    even: float
    trot: float


LINE_WIDE = 200.0
LINE_PCT = (-6.0, 56.0)


def beat_mark(phase: tuple[float, float, float], band_pct: tuple[float, float]) -> BeatMark:
    """Lay a lateral phase with its interval, and a band, on a small beat line; what lies past an end is drawn at it.

    Examples
    --------
    >>> mark = beat_mark((25, 19, 90), (20, 30))
    >>> mark.at == mark.even, mark.high
    (True, 200.0)
    """
    return BeatMark(*(_place(pct) for pct in (*phase, *band_pct, 0.0, 25.0, 50.0)))


def _place(pct: float) -> float:
    start, end = LINE_PCT
    return round(LINE_WIDE * (min(max(pct, start), end) - start) / (end - start), 1)


def say_interval(mean: float, low: float, high: float, unit: str = "%") -> str:
    """Write a number with its interval, the number first.

    Examples
    --------
    >>> say_interval(31.42, 29.9, 32.96)
    '31.4 % (29.9 to 33.0)'
    """
    return f"{fixed(mean, 1)} {unit} ({fixed(low, 1)} to {fixed(high, 1)})"


def say_band(goal: str, band_pct: tuple[float, float]) -> str:
    """Name a goal with its band: ``even, 20 to 30 %``."""
    low, high = (f"{edge:g}".replace("-", "−") for edge in band_pct)
    return f"{goal}, {low} to {high} %"


def way_table(outcomes: Sequence[Outcome]) -> Table:
    """One row a film, the newest first: day, lateral phase, strides."""
    rows = [
        (_day(each.on_date), say_interval(each.mean, each.low, each.high), str(each.strides))
        for each in reversed(outcomes)
    ]
    return Table(("day", "lateral phase (95 % interval)", "strides"), tuple(rows))


def side_table(outcomes: Sequence[Outcome]) -> Table:
    """One row a film, the newest first: day, left and right apart."""
    rows = [(_day(each.on_date), _side(each.left), _side(each.right)) for each in reversed(outcomes)]
    return Table(("day", "left", "right"), tuple(rows))


def speed_table(outcomes: Sequence[Outcome]) -> Table:
    """One row a film, the newest first: day, stride rate, speed where known, lateral phase."""
    rows = [
        (
            _day(each.on_date),
            f"{each.rate_per_min:.0f} /min" if each.rate_per_min else "unknown",
            f"{each.speed_m_s:.1f} m/s" if each.speed_m_s else "unknown",
            say_interval(each.mean, each.low, each.high),
        )
        for each in reversed(outcomes)
    ]
    return Table(("day", "stride rate", "speed", "lateral phase (95 % interval)"), tuple(rows))


def difference_table(differences: Sequence[Difference]) -> Table:
    """One row a film, the newest first: day, left minus right."""
    rows = [
        (_day(each.on_date), say_interval(each.mean, each.low, each.high)) for each in reversed(differences)
    ]
    return Table(("day", "left − right (95 % interval)"), tuple(rows))


def _side(side: Side | None) -> str:
    return say_interval(side.mean, side.low, side.high) if side else "unknown"


def _day(day: date) -> str:
    """A day as it is said on every page: 3 May 2026."""
    return f"{day.day} {day:%B %Y}"
