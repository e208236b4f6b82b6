"""A horse held against its own record: where it is going, how alike its outings are, whether its sides differ anew.

Conventions: lateral phase and left–right differences in % of the stride; times in days. One outing counts once: several
films of a day are one mean. Words are given only where intervals carry them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from math import sqrt
from statistics import fmean
from typing import Literal

from evenfall.report.way import Difference, say_interval
from evenfall.report.words import fixed

__all__ = [
    "LEAST_RECORD",
    "LEAST_TREND",
    "Own",
    "Standing",
    "Trend",
    "beyond_record",
    "own_record",
    "say_spread",
    "standing",
    "trend",
]

LEAST_TREND = 4
"""Outings under which no trend is told (our choice)."""

LEAST_RECORD = 5
"""Earlier outings under which a horse has no record of its own (our choice)."""

DAYS_IN_WEEK = 7

Day = tuple[date, float]
Place = Literal[
    "in the band", "trotty", "pacey", "more diagonal than asked", "more lateral than asked", "cannot say yet"
]

EVEN_PCT = 25.0


@dataclass(frozen=True)
class Standing:
    """Where one film lies against the goal band, number first; ``word`` says "cannot say yet" where it straddles an edge."""

    number: str
    word: Place


@dataclass(frozen=True)
class Trend:
    """Where lateral phase is going.

    Parameters
    ----------
    per_week : tuple of float or None
        Change a week with its 95 % interval: mean, low, high, % of the stride.
    word : str
        ``toward the band``, ``away from the band``, ``no change told``, or why there is none yet.
    told : bool
        Whether the interval carries a direction.
    """

    per_week: tuple[float, float, float] | None
    word: str
    told: bool


@dataclass(frozen=True)
class Own:
    """A horse's own record of one left–right difference, and the newest film held against it.

    Parameters
    ----------
    range_pct : tuple of float or None
        Where a next outing lies in 19 of 20 if nothing changed; None while there are too few.
    outings : int
        Earlier outings it rests on.
    differs : bool
        Whether the newest film's whole interval lies outside.
    sentence : str
    """

    range_pct: tuple[float, float] | None
    outings: int
    differs: bool
    sentence: str


def standing(phase: tuple[float, float, float], band_pct: tuple[float, float]) -> Standing:
    """Place a lateral phase with its interval against a band.

    Examples
    --------
    >>> standing((38.0, 36.5, 39.5), (20, 30)).word
    'trotty'
    >>> standing((29.0, 27.5, 30.5), (20, 30)).word
    'cannot say yet'
    """
    mean, low, high = phase
    even = band_pct[0] < EVEN_PCT < band_pct[1] and sum(band_pct) == 2 * EVEN_PCT
    word: Place = "cannot say yet"
    if low > band_pct[1]:
        word = "trotty" if even else "more diagonal than asked"
    elif high < band_pct[0]:
        word = "pacey" if even else "more lateral than asked"
    elif band_pct[0] <= low and high <= band_pct[1]:
        word = "in the band"
    return Standing(say_interval(mean, low, high), word)


def by_outing(values: Iterable[Day]) -> list[Day]:
    """One mean a day, oldest first."""
    days: dict[date, list[float]] = {}
    for day, value in values:
        days.setdefault(day, []).append(value)
    return [(day, fmean(days[day])) for day in sorted(days)]


def trend(phases: Iterable[Day], band_pct: tuple[float, float]) -> Trend:
    """Tell where lateral phase is going, from a straight line through the outings' means.

    Parameters
    ----------
    phases : iterable of (date, float)
        Lateral phase of each film, %.
    band_pct : tuple of float

    Returns
    -------
    Trend
        A direction only where the 95 % interval of the slope (Student's t, n − 2) leaves out 0.
    """
    days = by_outing(phases)
    if len(days) < LEAST_TREND:
        missing = LEAST_TREND - len(days)
        return Trend(
            None, f"no trend yet: {missing} more outing{'' if missing == 1 else 's'} needed", told=False
        )
    slope, half = _line([float((day - days[0][0]).days) for day, _ in days], [value for _, value in days])
    week = (DAYS_IN_WEEK * slope, DAYS_IN_WEEK * (slope - half), DAYS_IN_WEEK * (slope + half))
    if week[1] <= 0 <= week[2]:
        return Trend(week, "no change told", told=False)
    return Trend(week, _direction(slope, days[0][1], days[-1][1], band_pct), told=True)


def say_spread(phases: Iterable[Day]) -> str:
    """Say how alike the outings are: the spread of their means, or that there are too few."""
    means = [value for _, value in by_outing(phases)]
    if len(means) < 2:
        return "Spread over outings: unknown, one outing with a result; it needs two at least."
    return (
        f"{fixed(_sd(means), 1)} % spread over {len(means)} outings (standard deviation of their means), "
        f"from {fixed(min(means), 1)} to {fixed(max(means), 1)} %."
    )


def own_record(differences: Sequence[Difference], what: str) -> Own:
    """Hold the newest film's left–right difference against the earlier outings of the same horse.

    Parameters
    ----------
    differences : sequence of Difference
        Oldest first.
    what : str
        Of what: ``"hind step"``.

    Notes
    -----
    The range is Student's for one more value of a normal row: mean ± t s √(1 + 1/n). A row that happens to agree
    better than its films were measured is given the films' own error in place of s.
    """
    if not differences:
        return Own(None, 0, differs=False, sentence=f"Left minus right of the {what}: not measured yet.")
    newest = differences[-1]
    earlier = [each for each in differences if each.on_date < newest.on_date]
    means = [value for _, value in by_outing((each.on_date, each.mean) for each in earlier)]
    number = f"Left minus right of the {what}: {say_interval(newest.mean, newest.low, newest.high)}"
    if len(means) < LEAST_RECORD:
        few = f"too few outings for a record of its own, {len(means)} of {LEAST_RECORD} before this one"
        return Own(None, len(means), differs=False, sentence=f"{number}; {few}.")
    low, high = _next_value(means, [(each.high - each.low) / 2 for each in earlier])
    differs = newest.low > high or newest.high < low
    told = "differs from" if differs else "does not differ from"
    record = f"this horse's own record, {fixed(low, 1)} to {fixed(high, 1)} % over {len(means)} outings"
    return Own((low, high), len(means), differs=differs, sentence=f"{number}; {told} {record}.")


def beyond_record(differences: Sequence[Difference], what: str) -> list[tuple[Difference, Own]]:
    """Return every film whose left–right difference lay beyond the record of the outings before it, oldest first.

    Parameters
    ----------
    differences : sequence of Difference
        Oldest first.
    what : str
    """
    found: list[tuple[Difference, Own]] = []
    days: dict[date, float] = {}
    for place, row in enumerate(differences):
        earlier = [mean for day, mean in days.items() if day < row.on_date]
        if len(earlier) >= LEAST_RECORD and not row.low <= sum(earlier) / len(earlier) <= row.high:
            own = own_record(differences[: place + 1], what)
            found += [(row, own)] if own.differs else []
        same = [each.mean for each in differences[: place + 1] if each.on_date == row.on_date]
        days[row.on_date] = sum(same) / len(same)
    return found


def _line(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Slope of the straight line, and half its 95 % interval."""
    across, down = fmean(x), fmean(y)
    spread = sum((each - across) ** 2 for each in x)
    slope = sum((a - across) * (b - down) for a, b in zip(x, y, strict=True)) / spread
    left = sum((b - down - slope * (a - across)) ** 2 for a, b in zip(x, y, strict=True))
    return slope, _t(len(x) - 2) * sqrt(left / (len(x) - 2) / spread)


def _direction(slope: float, first: float, last: float, band_pct: tuple[float, float]) -> str:
    low, high = band_pct
    if low <= last <= high:
        return "into the band" if not low <= first <= high else "moving inside the band"
    middle = (low + high) / 2
    return "toward the band" if (last - middle) * slope < 0 else "away from the band"


def _next_value(means: Sequence[float], half_widths: Sequence[float]) -> tuple[float, float]:
    n = len(means)
    measured = sqrt(fmean(half**2 for half in half_widths)) / _t(1_000)
    reach = _t(n - 1) * max(_sd(means), measured) * sqrt(1 + 1 / n)
    return fmean(means) - reach, fmean(means) + reach


def _sd(values: Sequence[float]) -> float:
    """Standard deviation, n − 1 in the divisor; the exact one of the standard library is thirty times slower."""
    mean = fmean(values)
    return sqrt(sum((each - mean) ** 2 for each in values) / (len(values) - 1))


@lru_cache
def _t(df: int) -> float:
    """Student's quantile for a 95 % interval."""
    from scipy.special import stdtrit  # noqa: PLC0415 - half a second, and only needed here

    return float(stdtrit(df, 0.975))
