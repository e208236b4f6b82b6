"""Beats at known times, for the tests of what is heard."""

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts import Beat, Beats

Floats = NDArray[np.float64]
RACK = (25.0, 25.0, 25.0, 25.0)


def beats_of(times_s: Floats | list[float], sd_s: float = 0.001, *, start_s: float = -np.inf) -> Beats:
    return Beats(tuple(Beat(float(time_s), sd_s, 20.0) for time_s in np.sort(times_s)), start_s=start_s)


def ridden(
    gaps_pct: tuple[float, ...] = RACK,
    *,
    stride_s: float = 0.56,
    n: int = 12,
    unsteady_s: float = 0.004,
    seed: int = 1,
) -> Floats:
    """Times of ``n`` strides, the closing beat included, each beat unsteady by its own error."""
    rng = np.random.default_rng(seed)
    places = np.concatenate([[0.0], np.cumsum(gaps_pct)[:-1]]) / 100
    times = 0.4 + stride_s * (np.arange(n)[:, None] + places).ravel()
    return np.append(times, 0.4 + stride_s * n) + rng.normal(0, unsteady_s, n * len(gaps_pct) + 1)
