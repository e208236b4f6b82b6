"""Which pictures of a film are shown, and when.

Conventions: ``start_s`` and ``end_s`` are seconds on the clip's clock; ticks are 1/90000 s of the film to show.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from evenfall.clip.writing import CLOCK_HZ, ticks_of
from evenfall.errors import WrongSetting
from evenfall.flow.showing.settings import LONGEST_S, ShowSettings
from evenfall.reading import Reading
from evenfall.timebase import FloatArray

__all__ = ["MOST_FPS", "Part", "Span", "span_of", "thinned"]

MOST_FPS = 60.0
"""Pictures a second that every telephone plays (H.264 levels 3.2 and 4.2, ITU-T H.264 table A-1, from memory)."""

AROUND_S = 0.25
"""Real seconds shown before the first whole stride and after the last."""

SLACK_S = 1e-3


@dataclass(frozen=True)
class Part:
    """A stretch of a film.

    Parameters
    ----------
    start_s, end_s : float
        Of the clip's clock.
    slow : float
        How many times slower than life it is shown.
    """

    start_s: float
    end_s: float
    slow: float


@dataclass(frozen=True, eq=False)
class Span:
    """The pictures of a film that are shown.

    Parameters
    ----------
    indices : list of int
        Their places in the film.
    ticks : list of int
        When each is shown, and last when the last one ends.
    start_s : float
        Time of the first, on the clip's clock.
    stretch : float
        Seconds of the film to show in one of the clip's.
    cut : bool
        Whether the film is longer than is shown, and nobody asked for a part.
    """

    indices: list[int]
    ticks: list[int]
    start_s: float
    stretch: float
    cut: bool = False

    @property
    def duration_s(self) -> float:
        """Length of the film to show."""
        return self.ticks[-1] / CLOCK_HZ


def span_of(reading: Reading, settings: ShowSettings) -> Span:
    """Choose the pictures of a film.

    Raises
    ------
    WrongSetting
        If the part asked for is too long, or holds fewer than two pictures.
    """
    base = reading.clip.timebase
    stretch = settings.slow / base.playback_factor
    start_s, end_s, cut = _part(reading, settings, stretch)
    indices = np.flatnonzero((base.times_s >= start_s - 1e-6) & (base.times_s < end_s - 1e-6))
    if len(indices) < 2:
        first, last = base.times_s[0], base.times_s[0] + base.duration_s
        begin, stop = (
            given if asked is None else asked
            for asked, given in ((settings.start_s, start_s), (settings.end_s, end_s))
        )
        raise WrongSetting(
            f"a film to show: expected a part of the film, which runs from {first:.2f} to {last:.2f} s, found "
            f"{begin:.2f} to {stop:.2f} s."
        )
    times_s = (base.times_s[indices] - base.times_s[indices[0]]) * stretch
    kept = thinned(times_s)
    ticks = ticks_of(times_s[kept])
    lasting = max(1, round(float(base.interval_at(base.times_s[indices[-1]])) * stretch * CLOCK_HZ))
    end = max(ticks[-1] + 1, round(float(times_s[-1]) * CLOCK_HZ) + lasting)
    return Span(
        [int(index) for index in indices[kept]], [*ticks, end], float(base.times_s[indices[0]]), stretch, cut
    )


def thinned(times_s: FloatArray) -> list[int]:
    """Keep as many pictures as can be shown, each at its own time.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        When they would be shown, seconds.
    """
    kept: list[int] = []
    for number, time_s in enumerate(times_s.tolist()):
        if not kept or time_s - times_s[kept[-1]] >= 1 / MOST_FPS - SLACK_S:
            kept.append(number)
    return kept


def _part(reading: Reading, settings: ShowSettings, stretch: float) -> tuple[float, float, bool]:
    """From when to when, and whether something had to be left out."""
    base = reading.clip.timebase
    first, last = float(base.times_s[0]), float(base.times_s[0] + base.duration_s)
    start_s, end_s = _strides(reading, (first, last))
    start_s = max(first, start_s if settings.start_s is None else settings.start_s)
    end_s = min(last, end_s if settings.end_s is None else settings.end_s)
    if settings.start_s is not None and settings.end_s is None and end_s <= start_s:
        end_s = last
    long_s = (end_s - start_s) * stretch
    if long_s <= LONGEST_S + SLACK_S:
        return start_s, end_s, False
    if settings.end_s is None:
        return start_s, start_s + LONGEST_S / stretch, True
    raise WrongSetting(
        f"a film to show is at most {LONGEST_S:.0f} s long as it plays; {end_s - start_s:.1f} s of this film, shown "
        f"{settings.slow:g} times slower, make {long_s:.0f} s. Choose a shorter part, or less slow."
    )


def _strides(reading: Reading, film: tuple[float, float]) -> Sequence[float]:
    """From a little before the first whole stride to a little after the last; the whole film where there is none."""
    strides = [stride.hind for stride in reading.strides.strides if stride.complete]
    if not strides:
        return film
    around_s = AROUND_S * reading.clip.timebase.playback_factor
    return strides[0].start_s - around_s, max(each.next_landing.time_s for each in strides) + around_s
