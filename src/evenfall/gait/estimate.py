"""A number with its spread, its count and a 95 % interval that owns the picture rate.

Conventions: values are one per stride; each comes with the standard deviation of its measurement (from
the dating of the contacts it is made of). Phases are shares of a circle of 100 %.

The interval
------------
Strides differ (the horse), and each is read to a picture (the camera). Where the strides differ enough,
the camera's errors differ too and average out with them, and the ordinary t interval holds. Where they
hardly differ, every stride may be misread the same way: the mean of many is no better than one. So with
s the spread seen, q the spread that the camera alone would make, and n strides::

    m  = n min(1, s²/q²), at least 1          strides that count as independent readings
    h  = t √(max(s², q²) / m)                 but never more than  t s/√n + √6 q

t is Student's quantile for n − 1; √6 q is the most that two events dated to a picture can be out. Where
neighbouring strides share a landing, h grows by √(1 + 2r), r their correlation. The
coverage of this interval was simulated; ``docs/methods/intervals.md`` has the table.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from evenfall.timebase import FloatArray

__all__ = [
    "Estimate",
    "Quantity",
    "Unknown",
    "difference",
    "estimate",
    "estimate_phase",
    "probability_between",
]

LEVEL = 0.95
LEAST_CONCENTRATION = 0.3
"""Mean resultant length under which phases point everywhere and have no mean (our choice)."""


@dataclass(frozen=True)
class Estimate:
    """A measured number.

    Parameters
    ----------
    mean : float
    sd : float
        Spread from stride to stride as seen, n - 1 in the divisor.
    n : int
        Strides it was measured on.
    low, high : float
        95 % interval of the mean. For a phase they may run past 0 or 100.
    df : float
        Degrees of freedom of Student's t for the interval.
    """

    mean: float
    sd: float
    n: int
    low: float
    high: float
    df: float

    @property
    def half_width(self) -> float:
        """Half the width of the interval."""
        return (self.high - self.low) / 2

    @property
    def standard_error(self) -> float:
        """Standard error of the mean that the interval stands for."""
        return self.half_width / _t_quantile(self.df)

    def scaled(self, factor: float, *, plus: float = 0.0) -> "Estimate":
        """Return ``factor × value + plus``."""
        ends = sorted((self.low * factor + plus, self.high * factor + plus))
        return replace(
            self, mean=self.mean * factor + plus, sd=self.sd * abs(factor), low=ends[0], high=ends[1]
        )

    def clipped(self, low: float, high: float) -> "Estimate":
        """Return the same with the interval cut to what is possible."""
        return replace(self, low=min(max(self.low, low), high), high=max(min(self.high, high), low))


@dataclass(frozen=True)
class Unknown:
    """An answer that the evidence does not carry, and why."""

    reason: str


Quantity = Estimate | Unknown


def estimate(
    values: Sequence[float] | FloatArray,
    sds: Sequence[float] | FloatArray,
    *,
    missing: str = "not measured",
    readings: int | None = None,
    likeness: float = 0.0,
) -> Quantity:
    """Estimate a mean over strides.

    Parameters
    ----------
    values, sds : sequence of float, shape (n_strides,)
        One value per stride and the standard deviation of its measurement, same unit.
    missing : str
        Why there might be none, for the person who asks.
    readings : int, optional
        How many of the values are readings of their own, where some hold the same landings again.
    likeness : float
        Correlation of neighbouring values, where they share a landing.

    Returns
    -------
    Estimate or Unknown
        Unknown with fewer than two strides.

    Examples
    --------
    >>> estimate([24.0, 26.0, 25.0], [1.0, 1.0, 1.0]).mean
    25.0
    """
    x = np.asarray(values, dtype=np.float64)
    if len(x) == 0:
        return Unknown(missing)
    n = len(x) if readings is None else readings
    if n < 2:
        return Unknown("one stride only; a spread needs at least two")
    mean, sd = float(x.mean()), float(x.std(ddof=1))
    half = _half_width(sd, float(np.sqrt(np.mean(np.square(sds)))), n) * float(np.sqrt(1 + 2 * likeness))
    return Estimate(mean, sd, n, mean - half, mean + half, n - 1.0)


def estimate_phase(  # noqa: PLR0913 - keyword-only, most with defaults
    values: Sequence[float] | FloatArray,
    sds: Sequence[float] | FloatArray,
    *,
    about: float,
    missing: str = "not measured",
    readings: int | None = None,
    likeness: float = 0.0,
) -> Quantity:
    """Estimate the mean of shares of a circle, in % of a stride.

    Parameters
    ----------
    values, sds : sequence of float, shape (n_strides,)
        Phases and the standard deviations of their measurement, %.
    about : float
        The mean is given within half a circle of this.
    missing : str
        Why there might be none.
    readings : int, optional
    likeness : float
        As for `estimate`.

    Returns
    -------
    Estimate or Unknown
        Unknown with fewer than two strides, or phases that point all round the circle.

    Examples
    --------
    >>> round(estimate_phase([99.0, 1.0, 98.0, 2.0], [1.0] * 4, about=37.5).mean, 6)
    0.0
    """
    x = np.asarray(values, dtype=np.float64)
    if len(x) == 0:
        return Unknown(missing)
    turn = np.exp(2j * np.pi * x / 100).mean()
    if abs(turn) < LEAST_CONCENTRATION:
        return Unknown("the strides point all round the circle; no mean describes them")
    centre = float(np.angle(turn)) / (2 * np.pi) * 100
    centre = (centre - about + 50) % 100 - 50 + about
    flat = estimate((x - centre + 50) % 100 - 50, sds, readings=readings, likeness=likeness)
    if isinstance(flat, Unknown):
        return flat
    return replace(flat.scaled(1.0, plus=centre - flat.mean), mean=centre)


def difference(first: Quantity, second: Quantity) -> Quantity:
    """Return ``first − second`` of two independent means, by Welch's degrees of freedom."""
    for quantity in (first, second):
        if isinstance(quantity, Unknown):
            return quantity
    assert isinstance(first, Estimate)
    assert isinstance(second, Estimate)
    variances = np.array([first.standard_error**2, second.standard_error**2])
    se = float(np.sqrt(variances.sum()))
    df = float(variances.sum() ** 2 / (variances**2 / [first.df, second.df]).sum()) if se else first.df
    mean, half = first.mean - second.mean, se * _t_quantile(df)
    sd = float(np.hypot(first.sd, second.sd))
    return Estimate(mean, sd, min(first.n, second.n), mean - half, mean + half, df)


def probability_between(quantity: Estimate, low: float, high: float) -> float:
    """Probability that the true mean lies between two bounds, by Student's t around the estimate."""
    from scipy.special import stdtr  # noqa: PLC0415 - half a second, and only needed here

    se = quantity.standard_error
    if se == 0:
        return float(low <= quantity.mean < high)
    upper, lower = (stdtr(quantity.df, (bound - quantity.mean) / se) for bound in (high, low))
    return float(upper - lower)


def _half_width(sd: float, frame_sd: float, n: int) -> float:
    t = _t_quantile(n - 1.0)
    plain = t * sd / np.sqrt(n)
    if sd >= frame_sd:
        return float(plain)
    readings = max(1.0, n * sd**2 / frame_sd**2)
    return float(min(t * frame_sd / np.sqrt(readings), plain + np.sqrt(6) * frame_sd))


def _t_quantile(df: float) -> float:
    from scipy.special import stdtrit  # noqa: PLC0415 - half a second, and only needed here

    return float(stdtrit(df, 0.5 + LEVEL / 2))
