"""Is this what a sensor on a horse's limb would write? Units, holes, range and rate.

Conventions: seconds on the sensor's clock. A fault that makes every number wrong is refused as the file is
read; what only costs part of it is told, and widens or leaves out the contacts it touches.
"""

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from evenfall.contacts.sensor.model import GRAVITY_MS2, SensorTrack, Site
from evenfall.errors import SensorError
from evenfall.timebase import FloatArray

__all__ = [
    "Gap",
    "TrackHealth",
    "check_track",
    "clipped_samples",
    "find_gaps",
    "refuse_wrong_units",
    "rest_g",
]

# All our choice.
STEADY_S, STEADY = 0.03, 0.15  # a piece this long is steady if it strays by at most this share of its mean
LEAST_PCT, NOISE_MS2, MOSTLY = 10, 0.6, 0.5
# The middle, on a scale of factors, between 1 g and a mistaken unit (9.81) on either side.
REST_G = (0.32, 3.1)
NO_GRAVITY_G = 0.04
FASTEST_RADS = 60.0  # no limb turns faster; a file in degrees does
SLOW_DPS = 40.0  # a stepping limb turns faster; a file in radians does not
STEPPING_MS2 = 5.0
GAP_INTERVALS, GAP_S = 5.0, 0.03  # a longer step than both is a hole
LEAST_RANGE_MS2, LEAST_RANGE_RADS = 15.0, 4.0  # sensors have wider ranges; flat tops below are no clipping
AT_THE_TOP = 0.998


@dataclass(frozen=True)
class Gap:
    """A hole in the samples, seconds on the sensor's clock."""

    start_s: float
    end_s: float


@dataclass(frozen=True)
class TrackHealth:
    """What to know about a track beside its numbers.

    Parameters
    ----------
    rate_hz : float
    rest_g : float or None
        What the accelerometer feels where it is steady and least, in g; None if it cannot be said.
    gaps : tuple of Gap
    clipped_share : float
        Share of the samples at the end of the sensor's range, 0 to 1.
    notes : tuple of str
        The same in words, empty if nothing is amiss.
    """

    rate_hz: float
    rest_g: float | None
    gaps: tuple[Gap, ...]
    clipped_share: float
    notes: tuple[str, ...]


def check_track(track: SensorTrack) -> TrackHealth:
    """Say what is amiss with a track, in numbers and in words."""
    gaps = find_gaps(track)
    clipped = float(np.mean(clipped_samples(track)))
    notes = [
        f"{track.limb}: no samples from {gap.start_s:.3f} to {gap.end_s:.3f} s; contacts beside the hole are left out."
        for gap in gaps
    ]
    if clipped:
        notes.append(
            f"{track.limb}: {clipped:.1%} of the samples stand at the end of the sensor's range (flat tops). The times "
            "of contacts there are less sharp. Set a wider range."
        )
    return TrackHealth(track.rate_hz, rest_g(track), gaps, clipped, tuple(notes))


def find_gaps(track: SensorTrack) -> tuple[Gap, ...]:
    """Return the holes: steps of more than five usual intervals and more than 30 ms."""
    steps = np.diff(track.times_s)
    at = np.flatnonzero(steps > max(GAP_INTERVALS * track.interval_s, GAP_S))
    return tuple(Gap(float(track.times_s[i]), float(track.times_s[i + 1])) for i in at)


def clipped_samples(track: SensorTrack) -> NDArray[np.bool_]:
    """Return which samples stand at the end of the range, shape (n,)."""
    clipped = np.zeros(len(track.times_s), bool)
    for values, least in ((track.acceleration_ms2, LEAST_RANGE_MS2), (track.rate_rads, LEAST_RANGE_RADS)):
        for axis in values.T if values is not None else ():
            clipped |= _flat_top(axis, least) | _flat_top(-axis, least)
    return clipped


def _flat_top(values: FloatArray, least: float) -> NDArray[np.bool_]:
    """Return where a signal stands at its highest for two samples or more, twice or more in all."""
    top = float(values.max())
    at_top = values >= AT_THE_TOP * top if top >= least else np.zeros(len(values), bool)
    pairs = at_top[1:] & at_top[:-1]
    return at_top if np.count_nonzero(pairs) >= 2 else np.zeros(len(values), bool)


def rest_g(track: SensorTrack) -> float | None:
    """Return what the accelerometer feels where it is steady and least, in g; gravity alone is 1.

    A limb feels the same for some hundredths of a second where it stands, and again where its swing pulls hardest; the
    least of these is the stand. None without an accelerometer, if nothing is steady, or above the hoof in so fast a
    gait that the bone is hardly ever steady.
    """
    if track.acceleration_ms2 is None:
        return None
    felt = np.linalg.norm(track.acceleration_ms2, axis=1)
    size = min(max(3, round(STEADY_S * track.rate_hz)), len(felt))
    pieces = sliding_window_view(felt, size)
    means, spreads = pieces.mean(axis=1), pieces.std(axis=1)
    steady = means[spreads <= np.maximum(STEADY * means, NOISE_MS2)]
    enough = MOSTLY if track.site is not Site.HOOF else 0.0
    if not len(steady) or len(steady) < enough * len(means):
        return None
    return float(np.percentile(steady, LEAST_PCT)) / GRAVITY_MS2


def refuse_wrong_units(track: SensorTrack, *, acceleration_unit: str, rate_unit: str) -> None:
    """Refuse numbers that cannot be in the unit their header names.

    Raises
    ------
    SensorError
        If gravity at rest is not about 1 g, or a limb would turn impossibly fast or slowly.
    """
    rest = rest_g(track)
    if rest is not None and not REST_G[0] <= rest <= REST_G[1]:
        raise SensorError(_wrong_gravity(track, rest, acceleration_unit))
    if track.rate_rads is not None:
        _refuse_wrong_rate(track, track.rate_rads, rate_unit)


def _wrong_gravity(track: SensorTrack, rest: float, unit: str) -> str:
    told = (
        f"{track.limb}: where it is steadiest the sensor feels {rest:.3g} g ({rest * GRAVITY_MS2:.3g} m/s2); gravity alone is "
        "1 g (9.81 m/s2)."
    )
    if unit == "ms2" and REST_G[0] <= rest * GRAVITY_MS2 <= REST_G[1]:
        return f"{told} The numbers look like g: rename ax_ms2, ay_ms2, az_ms2 to ax_g, ay_g, az_g."
    if unit == "g" and REST_G[0] <= rest / GRAVITY_MS2 <= REST_G[1]:
        return f"{told} The numbers look like m/s2: rename ax_g, ay_g, az_g to ax_ms2, ay_ms2, az_ms2."
    if unit == "g" and REST_G[0] <= rest / 1000 <= REST_G[1]:
        return f"{told} The numbers look like thousandths of g: divide them by 1000."
    if rest < NO_GRAVITY_G:
        return f"{told} Gravity seems to have been taken out: give the samples as the sensor felt them."
    return f"{told} The unit or the sensor's scale is wrong."


def _refuse_wrong_rate(track: SensorTrack, rate_rads: FloatArray, unit: str) -> None:
    fast = float(np.percentile(np.linalg.norm(rate_rads, axis=1), 99))
    if fast > FASTEST_RADS:
        hint = " The numbers look like degrees a second: rename gx_rads to gx_dps." if unit == "rads" else ""
        raise SensorError(
            f"{track.limb}: the sensor turns at {fast:.3g} rad/s; no limb turns faster than about {FASTEST_RADS:g}.{hint}"
        )
    if track.acceleration_ms2 is None or unit != "dps":
        return
    felt = np.abs(np.linalg.norm(track.acceleration_ms2, axis=1) - GRAVITY_MS2)
    if np.percentile(felt, 95) > STEPPING_MS2 and np.degrees(fast) < SLOW_DPS:
        raise SensorError(
            f"{track.limb}: the limb steps (by its acceleration) yet turns at no more than {np.degrees(fast):.3g} "
            "degrees a second. The numbers look like rad/s: rename gx_dps to gx_rads."
        )
