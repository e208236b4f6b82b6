"""The clock of a film: when each picture is shown, and how fast real time ran behind it.

Conventions: times are float64 seconds on the clip's clock, one-dimensional and strictly increasing.
The clip's clock is what a player shows. In a slow-motion file it runs slower than the horse did:
``playback_factor`` seconds of the clip's clock went by in one real second. This module is the only
place where pictures become seconds.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from evenfall.errors import WrongSetting

__all__ = ["FloatArray", "Timebase"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Timebase:
    """When each picture of a film is shown.

    Parameters
    ----------
    times_s : ndarray, shape (n_frames,)
        Presentation time of every picture, seconds on the clip's clock, strictly increasing.
    playback_factor : float
        Seconds of the clip's clock that pass in one real second: 1 for an ordinary film, 8 for one
        taken at 240 pictures a second and played at 30.

    Raises
    ------
    WrongSetting
        If there are fewer than two pictures, or the times do not increase.

    Examples
    --------
    >>> slow = Timebase(np.arange(5) / 30).at_capture_rate(240)
    >>> round(slow.playback_factor, 3), round(slow.capture_fps, 3)
    (8.0, 240.0)
    """

    times_s: FloatArray
    playback_factor: float = 1.0

    def __post_init__(self) -> None:
        if len(self.times_s) < 2 or not bool(np.all(np.diff(self.times_s) > 0)):
            raise WrongSetting("a film's clock needs at least two pictures, each later than the one before")
        if not self.playback_factor > 0:
            raise WrongSetting(f"the playback factor must be above 0, not {self.playback_factor}")

    @property
    def n_frames(self) -> int:
        """How many pictures the film has."""
        return len(self.times_s)

    @cached_property
    def intervals_s(self) -> FloatArray:
        """Time from each picture to the next, shape (n_frames - 1,), seconds on the clip's clock."""
        return np.diff(self.times_s)

    @property
    def file_fps(self) -> float:
        """Mean pictures a second as the file plays them."""
        return float((self.n_frames - 1) / (self.times_s[-1] - self.times_s[0]))

    @property
    def capture_fps(self) -> float:
        """Mean pictures a second as the camera took them."""
        return self.file_fps * self.playback_factor

    @property
    def duration_s(self) -> float:
        """Length on the clip's clock, the last picture's own time on screen (one median interval) included."""
        return float(self.times_s[-1] - self.times_s[0] + np.median(self.intervals_s))

    def at_capture_rate(self, capture_fps: float) -> "Timebase":
        """Return the same film, known to have been taken at ``capture_fps`` pictures a second."""
        if not 1 <= capture_fps <= 10_000:
            raise WrongSetting(
                f"the capture rate must be pictures a second between 1 and 10000, not {capture_fps:g}"
            )
        return Timebase(self.times_s, capture_fps / self.file_fps)

    def interval_at(self, time_s: float) -> float:
        """Time between the two pictures that stand around ``time_s``, seconds on the clip's clock."""
        after = int(np.searchsorted(self.times_s, time_s))
        return float(self.intervals_s[min(max(after - 1, 0), self.n_frames - 2)])

    def dating_sd_s(self, time_s: float) -> float:
        """Smallest standard deviation of an event dated to a picture at ``time_s``: interval / √12.

        An event seen in one picture and not in the one before fell somewhere between the two, evenly
        likely anywhere; that uniform spread has this standard deviation.
        """
        return self.interval_at(time_s) / float(np.sqrt(12))

    def covers(self, time_s: float) -> bool:
        """Whether ``time_s`` lies within the film, give or take one picture at either end."""
        first, last = self.times_s[0] - self.intervals_s[0], self.times_s[-1] + self.intervals_s[-1]
        return bool(first <= time_s <= last)
