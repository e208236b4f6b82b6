"""What a limb sensor wrote: one foot, one place on it, one clock of its own.

Conventions: times are float64 seconds on the sensor's clock, one-dimensional and strictly increasing.
Acceleration is what the sensor feels, gravity included, in m/s²; rate of turn in rad/s; both in the
sensor's own axes, whichever way it was strapped on.
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import numpy as np

from evenfall.contacts.model import Limb
from evenfall.errors import WrongSetting
from evenfall.timebase import FloatArray

__all__ = ["GRAVITY_MS2", "SensorTrack", "Site"]

GRAVITY_MS2 = 9.80665
"""Standard gravity, by definition."""


class Site(StrEnum):
    """Where on the limb the sensor sits."""

    HOOF = "hoof"
    PASTERN = "pastern"
    CANNON = "cannon"


@dataclass(frozen=True, eq=False)
class SensorTrack:
    """What one sensor on one limb felt.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Seconds on the sensor's clock, strictly increasing; the steps may differ.
    acceleration_ms2 : ndarray, shape (n, 3), or None
        Acceleration felt, gravity included, m/s².
    rate_rads : ndarray, shape (n, 3), or None
        Rate of turn, rad/s.
    limb : Limb
    site : Site

    Raises
    ------
    WrongSetting
        If there are fewer than two times, they do not increase, a shape does not fit, or neither
        acceleration nor rate is there.
    """

    times_s: FloatArray
    acceleration_ms2: FloatArray | None
    rate_rads: FloatArray | None
    limb: Limb
    site: Site

    def __post_init__(self) -> None:
        if len(self.times_s) < 2 or not bool(np.all(np.diff(self.times_s) > 0)):
            raise WrongSetting("a sensor's clock needs at least two times, each later than the one before")
        given = [values for values in (self.acceleration_ms2, self.rate_rads) if values is not None]
        if not given:
            raise WrongSetting("a sensor track needs acceleration, rate of turn, or both; neither was given")
        for values in given:
            if values.shape != (len(self.times_s), 3):
                raise WrongSetting(f"expected {len(self.times_s)} rows of three axes, found {values.shape}")

    @cached_property
    def interval_s(self) -> float:
        """Median time from sample to sample, seconds."""
        return float(np.median(np.diff(self.times_s)))

    @property
    def rate_hz(self) -> float:
        """Samples a second: one over the median interval."""
        return 1 / self.interval_s

    @property
    def duration_s(self) -> float:
        """Time from the first sample to the last, seconds."""
        return float(self.times_s[-1] - self.times_s[0])

    def interval_at(self, time_s: float) -> float:
        """Time between the two samples that stand around ``time_s``, seconds."""
        after = int(np.searchsorted(self.times_s, time_s))
        first = min(max(after - 1, 0), len(self.times_s) - 2)
        return float(self.times_s[first + 1] - self.times_s[first])
