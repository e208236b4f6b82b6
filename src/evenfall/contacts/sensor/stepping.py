"""The stepping of one limb: where a sensor track keeps time, and how long a stride lasts there.

Conventions: a stretch is a piece of a track without holes, laid onto even steps at the track's usual rate; times
stay on the sensor's clock. Activity is how lively the limb is, in rad/s or m/s²; it knows no direction.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from evenfall.contacts.sensor.health import find_gaps
from evenfall.contacts.sensor.model import GRAVITY_MS2, SensorTrack
from evenfall.timebase import FloatArray

__all__ = ["Stepping", "Stretch", "find_stepping", "kick_of", "running_mean", "stretches"]

# All our choice.
WINDOW_S, HOP_S = 5.0, 1.0
STRIDE_S = (0.35, 1.7)  # as everywhere: no horse steps outside it
SLOW_HZ = 100.0  # activity is compared with itself at about this rate
LEAST_LIKENESS = 0.35  # of activity with itself one stride later
NEARLY_BEST = 0.85  # of equally alike times the shortest is the stride, longer ones are two or three of them
LEAST_TURN_RADS, LEAST_FEEL_MS2 = 1.5, 4.0  # a limb that steps is livelier for a fifth of the time
SMOOTH_S, KICK_S = 0.03, 0.004


@dataclass(frozen=True, eq=False)
class Stretch:
    """A piece of a track on even steps: ``felt`` in m/s² and ``turn`` in rad/s, shape (n, 3) each, or None."""

    times_s: FloatArray
    rate_hz: float
    felt: FloatArray | None
    turn: FloatArray | None

    @property
    def activity(self) -> FloatArray:
        """How fast the limb turns; without that, how far what it feels is from gravity, over 30 ms."""
        if self.turn is not None:
            return cast(FloatArray, np.linalg.norm(self.turn, axis=1))
        off = np.linalg.norm(cast(FloatArray, self.felt), axis=1) - GRAVITY_MS2
        return np.sqrt(running_mean(off**2, SMOOTH_S * self.rate_hz))


@dataclass(frozen=True, eq=False)
class Stepping:
    """Stride time and liveliness along a stretch; not a number where the limb keeps no time.

    Parameters
    ----------
    period_s, level : ndarray, shape (n,)
        At every sample: how long a stride lasts, and the activity that four samples in five stay under.
    """

    period_s: FloatArray
    level: FloatArray

    @property
    def usual_s(self) -> float:
        """Median stride time where the limb keeps time, seconds."""
        return float(np.nanmedian(self.period_s))

    def kept(self, first: int, last: int) -> bool:
        """Whether the limb keeps time at two samples, both within the stretch."""
        inside = first >= 0 and last < len(self.period_s)
        return inside and not bool(np.isnan(self.period_s[[first, last]]).any())

    def near_s(self, place: int) -> float:
        """Return the stride time at a sample, the usual one where the limb keeps no time."""
        here = float(self.period_s[place])
        return self.usual_s if np.isnan(here) else here


def stretches(track: SensorTrack) -> Iterator[Stretch]:
    """Cut a track at its holes and lay each piece onto even steps."""
    starts = [track.times_s[0], *(gap.end_s for gap in find_gaps(track))]
    ends = [*(gap.start_s for gap in find_gaps(track)), track.times_s[-1]]
    for start_s, end_s in zip(starts, ends, strict=True):
        steps = max(1, round((end_s - start_s) / track.interval_s))
        even_s = np.linspace(start_s, end_s, steps + 1)
        if end_s - start_s > STRIDE_S[0]:
            felt, turn = (
                _evened(track, values, even_s) for values in (track.acceleration_ms2, track.rate_rads)
            )
            yield Stretch(even_s, round(steps / (end_s - start_s), 3), felt, turn)


def find_stepping(stretch: Stretch) -> Stepping | None:
    """Return how a stretch steps, None if it keeps time nowhere."""
    activity, n = stretch.activity, len(stretch.times_s)
    size, hop = min(n, round(WINDOW_S * stretch.rate_hz)), max(1, round(HOP_S * stretch.rate_hz))
    starts = sorted({*range(0, n - size + 1, hop), n - size})
    seen = [_window(activity[start : start + size], stretch) for start in starts]
    if all(np.isnan(period) for period, _ in seen):
        return None
    middles = np.array(starts) + size / 2
    nearest = np.searchsorted((middles[1:] + middles[:-1]) / 2, np.arange(n))
    found = np.array(seen)[nearest]
    return Stepping(found[:, 0], found[:, 1])


def running_mean(values: FloatArray, width: float) -> FloatArray:
    """Return the mean over about ``width`` samples around each, along the first axis."""
    half = round(width) // 2
    if not half:
        return values
    pad = [(half, half)] + [(0, 0)] * (values.ndim - 1)
    wide = np.pad(values, pad, mode="edge")
    return np.asarray(sliding_window_view(wide, 2 * half + 1, axis=0).mean(axis=-1))


def kick_of(values: FloatArray, rate_hz: float) -> FloatArray:
    """Return how far a signal strays from going on as it did over the two steps of 4 ms before, shape (n,)."""
    step = max(1, round(KICK_S * rate_hz))
    kick = np.zeros(len(values))
    strayed = values[2 * step :] - 2 * values[step:-step] + values[: -2 * step]
    kick[2 * step :] = np.linalg.norm(strayed, axis=1)
    return kick


def _evened(track: SensorTrack, values: FloatArray | None, even_s: FloatArray) -> FloatArray | None:
    if values is None:
        return None
    return np.column_stack([np.interp(even_s, track.times_s, axis) for axis in values.T])


def _window(activity: FloatArray, stretch: Stretch) -> tuple[float, float]:
    """Return stride time and liveliness of one window; the stride time is no number if it keeps none."""
    level = float(np.percentile(activity, 80))
    if level < (LEAST_TURN_RADS if stretch.turn is not None else LEAST_FEEL_MS2):
        return float("nan"), level
    thin = max(1, round(stretch.rate_hz / SLOW_HZ))
    slow = activity[: len(activity) // thin * thin].reshape(-1, thin).mean(axis=1)
    return _period_s(running_mean(np.sqrt(slow), SMOOTH_S * SLOW_HZ), stretch.rate_hz / thin), level


def _period_s(activity: FloatArray, rate_hz: float) -> float:
    """Return the shortest time after which a signal is about as like itself as it ever is."""
    like = _likeness(activity)
    first, last = int(STRIDE_S[0] * rate_hz), min(int(STRIDE_S[1] * rate_hz) + 1, len(like) - 2)
    lags = np.arange(first, last)
    peaks = [lag for lag in lags if like[lag] >= max(like[lag - 1], like[lag + 1], LEAST_LIKENESS)]
    if not peaks:
        return float("nan")
    best = max(like[lag] for lag in peaks)
    return float(next(lag for lag in peaks if like[lag] >= NEARLY_BEST * best) / rate_hz)


def _likeness(activity: FloatArray) -> FloatArray:
    """Return the correlation of a signal with itself later, for lags up to two thirds of its length."""
    n = len(activity)
    own = activity - activity.mean()
    spectrum = np.fft.rfft(own, 2 * n)
    raw = np.fft.irfft(np.abs(spectrum) ** 2)[: 2 * n // 3]
    return np.asarray(raw / (n - np.arange(len(raw))) / max(float(np.mean(own**2)), 1e-12))
