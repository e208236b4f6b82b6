"""The old gait comes back for a while after a step: how far and how long, by this barn's earlier steps.

Conventions: points of lateral phase outside the goal band, % of the stride, beyond where the horse was before the step;
days since the step. That there is a dip is common practice, no source; how deep it is here, only the barn's films say.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt
from statistics import fmean, median, stdev

from evenfall.plan.problem import out_of_band
from evenfall.progress.passes import Pass

__all__ = ["BACK_WITHIN", "LEAST_STEPS", "UNKNOWN_DIP", "Dip", "Slip", "dip", "slip_of"]

BACK_WITHIN = 1.0
"""Points within which the horse counts as back where it was (our choice, half the smallest worthwhile change)."""

LEAST_STEPS = 3
"""Earlier steps under which no dip is foretold (our choice)."""

UNKNOWN_DIP = 6.25
"""Points that count as deep while the barn has too few earlier steps: half a zone (our choice)."""

PHASE = "lateral phase"


@dataclass(frozen=True)
class Slip:
    """What followed one step.

    Parameters
    ----------
    points : float
        Deepest, beyond where the horse was before.
    now : float
        At the last day with a film.
    days_seen : int
        Days from the step to that film.
    back_after : int or None
        Days until the first film back where it was; None if there was none yet.
    """

    points: float
    now: float
    days_seen: int
    back_after: int | None


@dataclass(frozen=True)
class Dip:
    """What to expect of the next step.

    Parameters
    ----------
    points, low, high : float
        Mean of the earlier steps, and where the next one lies in 19 of 20.
    days : float or None
        Days until it was back, in half of those that came back.
    n : int
        Earlier steps it rests on.
    """

    points: float
    low: float
    high: float
    days: float | None
    n: int

    @property
    def says(self) -> str:
        """The dip in words."""
        back = f", back after about {_days(self.days)}" if self.days is not None else ""
        return (
            f"Expect the old gait back for a while: {self.points:.1f} points further out of the band "
            f"({self.low:.1f} to {self.high:.1f}){back}, by {self.n} earlier steps in this barn."
        )


def _days(days: float) -> str:
    return f"{days:.0f} day{'' if round(days) == 1 else 's'}"


def slip_of(
    passes: Iterable[Pass], band: tuple[float, float], *, since: date, before: Sequence[Pass]
) -> Slip | None:
    """Tell what followed a step.

    Parameters
    ----------
    passes : iterable of Pass
        Films since the step, the first ones too.
    band : tuple of float
    since : datetime.date
    before : sequence of Pass
        Films of the step before; where the horse was. Without any, how far it came back cannot be told.

    Returns
    -------
    Slip or None
        None without a film since, or without one before.
    """
    was = _out(before, band)
    if not was:
        return None
    start = fmean(points for _, points in was)
    after = [((day - since).days, points - start) for day, points in _out(passes, band) if day >= since]
    if not after:
        return None
    deepest = max(after, key=lambda each: each[1])
    back = [day for day, points in after if day >= deepest[0] and points <= BACK_WITHIN]
    return Slip(max(0.0, deepest[1]), after[-1][1], after[-1][0], back[0] if back else None)


def dip(earlier: Iterable[Slip]) -> Dip | None:
    """Foretell the dip of the next step from earlier ones; None while there are too few.

    Student's interval for one more value: mean ± t s √(1 + 1/n), never below 0.

    Examples
    --------
    >>> dip([Slip(4.0, 0.0, 21, 7), Slip(6.0, 1.0, 21, 14)]) is None
    True
    """
    slips = list(earlier)
    if len(slips) < LEAST_STEPS:
        return None
    points = [each.points for each in slips]
    days = [each.back_after for each in slips if each.back_after is not None]
    mean, reach = fmean(points), _t(len(points) - 1) * stdev(points) * sqrt(1 + 1 / len(points))
    return Dip(mean, max(0.0, mean - reach), mean + reach, float(median(days)) if days else None, len(slips))


def _out(passes: Iterable[Pass], band: tuple[float, float]) -> list[tuple[date, float]]:
    """Points outside the band, one mean a day, oldest first."""
    days: dict[date, list[float]] = {}
    for each in passes:
        if PHASE in each.values:
            days.setdefault(each.on_date, []).append(each.values[PHASE].mean)
    return [(day, out_of_band(fmean(days[day]), band)) for day in sorted(days)]


def _t(df: int) -> float:
    """Student's quantile for a 95 % interval."""
    from scipy.special import stdtrit  # noqa: PLC0415 - half a second, and only needed here

    return float(stdtrit(df, 0.975))
