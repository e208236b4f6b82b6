"""How many values spread: median, quartiles, and an interval of the median that asks for no shape.

The interval is made of two of the values themselves, the k-th smallest and the k-th largest, with k as large as leaves 95 %
between them. Whether a value lies under the true median is a throw of a coin, so k follows from the binomial alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from evenfall.timebase import FloatArray

__all__ = ["LEAST_FOR_INTERVAL", "LEAST_FOR_QUARTILES", "Spread", "spread_of"]

LEVEL = 0.95
LEAST_FOR_INTERVAL = 6
"""With five values the smallest and the largest hold the true median in 93.75 of 100 cases: too few."""

LEAST_FOR_QUARTILES = 4
"""Under four values a quarter of them is not one (our choice)."""


@dataclass(frozen=True)
class Spread:
    """Values of one measure in one group.

    Parameters
    ----------
    n : int
    median : float
    quartiles : tuple of (float, float) or None
        None with fewer than `LEAST_FOR_QUARTILES` values.
    interval : tuple of (float, float) or None
        95 % interval of the median; None with fewer than `LEAST_FOR_INTERVAL` values.
    least, most : float
    """

    n: int
    median: float
    quartiles: tuple[float, float] | None
    interval: tuple[float, float] | None
    least: float
    most: float


def spread_of(values: Sequence[float] | FloatArray) -> Spread | None:
    """Describe values that are independent of each other; None where there are none.

    Examples
    --------
    >>> spread_of([22.0, 24.0, 25.0, 25.0, 26.0, 29.0]).interval
    (22.0, 29.0)
    >>> spread_of([22.0, 24.0, 25.0]).interval is None
    True
    """
    x = np.sort(np.asarray(values, dtype=np.float64))
    n = len(x)
    if not n:
        return None
    low, middle, high = (float(each) for each in np.percentile(x, (25, 50, 75)))
    k = _rank(n)
    return Spread(
        n=n,
        median=middle,
        quartiles=(low, high) if n >= LEAST_FOR_QUARTILES else None,
        interval=(float(x[k - 1]), float(x[n - k])) if k else None,
        least=float(x[0]),
        most=float(x[-1]),
    )


def _rank(n: int) -> int:
    """Return the largest k for which fewer than k of n heads is rarer than half of what the level leaves; 0 for none."""
    from scipy.special import bdtr, bdtrik  # noqa: PLC0415 - half a second, and only needed here

    if n < LEAST_FOR_INTERVAL:
        return 0
    rare = (1 - LEVEL) / 2
    k = int(bdtrik(rare, n, 0.5)) + 2
    while k > 0 and bdtr(k - 1, n, 0.5) > rare:
        k -= 1
    return k
