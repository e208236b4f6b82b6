"""The film in windows of some seconds, so that a long film needs no more memory than a short one.

Each window is read by itself with some seconds before and after; of what is found, only what stands in
its own part is kept. The camera's path runs on through all of them.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.clip import Clip, Progress, grey_pictures, made_ahead
from evenfall.contacts.film.camera import CameraFollower, CameraPath, for_following
from evenfall.timebase import FloatArray

__all__ = ["Window", "close_windows", "picked_times_s", "windows"]

Grey = NDArray[np.uint8]

FULL_WIDTH, SMALL_WIDTH, FULL_SPEED_FPS = 1280, 640, 60.0
"""Pixels across in which feet are sought, and from how many pictures a second on: the fewer pictures, the larger
they are looked at, with as many pixels a second, up to the full width."""

MOST_FPS = 75.0
"""Pictures a real second that are looked at; of faster films every second, third, fourth …"""

OWN_S, AROUND_S = 4.0, 2.0
MOST_PICTURES = 560
WHOLE_PICTURES = 620
"""A film of no more pictures is one window: 10 s at 60 a second, about 1.2 GB."""


@dataclass(frozen=True, eq=False)
class Window:
    """Some seconds of the film.

    Parameters
    ----------
    first : int
        Index of its first picture among those looked at.
    times_s : ndarray, shape (n,)
        Real seconds.
    full, small : list of ndarray of uint8
        The pictures, grey, at two sizes.
    own : tuple of float
        From when to when what is found is this window's own.
    camera : CameraPath
        Of all pictures up to the window's last.
    tick : callable
        To be called often; it raises where the person has stopped the work.
    """

    first: int
    times_s: FloatArray
    full: list[Grey]
    small: list[Grey]
    own: tuple[float, float]
    camera: CameraPath
    tick: Callable[[], None]

    @property
    def fps(self) -> float:
        """Pictures in a real second."""
        return float(1 / np.median(np.diff(self.times_s)))

    @property
    def is_own(self) -> NDArray[np.bool_]:
        """Which of its pictures are its own; shape (n,)."""
        return np.asarray((self.times_s >= self.own[0]) & (self.times_s < self.own[1]))

    @property
    def scale(self) -> tuple[float, float]:
        """Full pixels in one small pixel, across and down."""
        down, across = self.full[0].shape
        return across / self.small[0].shape[1], down / self.small[0].shape[0]


def picked_times_s(clip: Clip) -> tuple[FloatArray, int]:
    """Real seconds of the pictures that are looked at, and how many are stepped by."""
    base = clip.timebase
    step = max(1, int(np.ceil(base.capture_fps / MOST_FPS - 0.05)))
    return base.times_s[::step] / base.playback_factor, step


def windows(clip: Clip, progress: Progress | None = None) -> Iterator[Window]:
    """Decode the film once and hand it out window by window.

    Yields
    ------
    Window
    """
    times_s, step = picked_times_s(clip)
    follower = CameraFollower()

    def followed() -> Iterator[tuple[Grey, Grey]]:
        for full, small, smaller in made_ahead(_sizes(clip, step, _full_width(times_s))):
            follower.add(smaller, smaller.shape[1] / small.shape[1])
            yield full, small

    return _held(followed(), times_s, follower.path, progress)


def close_windows(
    clip: Clip, width: int, rows: slice, camera: CameraPath, progress: Progress | None = None
) -> Iterator[Window]:
    """Decode the film once more and hand out some rows of it, larger, in the same windows.

    Parameters
    ----------
    clip : Clip
    width : int
        Pixels across.
    rows : slice
        Which rows are kept of each picture.
    camera : CameraPath
        As it was followed before, in pixels of what is kept.

    Yields
    ------
    Window
        Its small pictures are the full ones.
    """
    times_s, step = picked_times_s(clip)
    kept = (picture[rows].copy() for picture in _once_each(clip, step, width, soon=True))
    return _held(((part, part) for part in kept), times_s, lambda: camera, progress)


def _held(
    source: Iterator[tuple[Grey, Grey]],
    times_s: FloatArray,
    camera: Callable[[], CameraPath],
    progress: Progress | None,
) -> Iterator[Window]:
    """Hold as many pictures as a window needs."""
    held: list[tuple[Grey, Grey]] = []
    first, own_from = 0, float(times_s[0])
    spans = _spans(times_s)
    for count, sizes in enumerate(source, start=1):
        tick = _ticker(progress, count / len(times_s))
        tick()
        held.append(sizes)
        if count < spans[0][1]:
            continue
        start, stop, own_to = spans.pop(0)
        yield Window(
            first,
            times_s[start:stop],
            [full for full, _ in held],
            [small for _, small in held],
            (own_from, own_to),
            camera(),
            tick,
        )
        if not spans:
            return
        own_from = own_to
        del held[: spans[0][0] - first]
        first = spans[0][0]


def _ticker(progress: Progress | None, share: float) -> Callable[[], None]:
    return lambda: progress(min(share, 1.0)) if progress else None


def _spans(times_s: FloatArray) -> list[tuple[int, int, float]]:
    """First picture, one past the last, and the end of its own time, for every window."""
    fps = 1 / float(np.median(np.diff(times_s)))
    around = min(AROUND_S, MOST_PICTURES / fps / 4)
    own = min(OWN_S, MOST_PICTURES / fps - 2 * around)
    whole = len(times_s) <= WHOLE_PICTURES
    n = 1 if whole else max(1, round(float(times_s[-1] - times_s[0]) / own))
    borders = np.linspace(times_s[0], times_s[-1], n + 1)
    spans = []
    for k in range(n):
        start = int(np.searchsorted(times_s, borders[k] - around))
        stop = int(np.searchsorted(times_s, borders[k + 1] + around, side="right"))
        spans.append((start, stop, float(borders[k + 1]) if k < n - 1 else np.inf))
    return spans


def _full_width(times_s: FloatArray) -> int:
    interval_s = float(np.median(np.diff(times_s)))
    return round(min(FULL_WIDTH, SMALL_WIDTH * math.sqrt(max(1.0, FULL_SPEED_FPS * interval_s))))


def _sizes(clip: Clip, step: int, width: int) -> Iterator[tuple[Grey, Grey, Grey]]:
    """Each picture looked at in its three sizes."""
    for full in _once_each(clip, step, width):
        small = _small(full)
        yield full, small, for_following(small)


def _once_each(clip: Clip, step: int, width: int, *, soon: bool = False) -> Iterator[Grey]:
    """Each picture looked at; one that is stored twice is left out."""
    last = -1
    for picture in grey_pictures(clip, width=width, wanted=lambda index: index % step == 0, soon=soon):
        if picture.index > last:
            last = picture.index
            yield picture.pixels


def _small(full: Grey) -> Grey:
    share = min(1.0, SMALL_WIDTH / full.shape[1])
    size = (round(full.shape[1] * share), max(2, round(full.shape[0] * share)))
    return full if share == 1 else np.asarray(cv2.resize(full, size, interpolation=cv2.INTER_AREA), np.uint8)
