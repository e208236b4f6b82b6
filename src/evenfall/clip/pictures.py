"""The pictures of a film, one at a time, upright, each with its exact time."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfall.clip.model import Clip
from evenfall.clip.opening import opened

__all__ = ["Picture", "pictures"]


@dataclass(frozen=True, eq=False)
class Picture:
    """One picture of a film.

    Parameters
    ----------
    index : int
        Its place in the film, from 0.
    time_s : float
        Seconds on the clip's clock.
    pixels : ndarray of uint8, shape (height, width, 3)
        Blue, green, red; turned upright.
    """

    index: int
    time_s: float
    pixels: NDArray[np.uint8]


def pictures(clip: Clip) -> Iterator[Picture]:
    """Decode the film picture by picture; only one is held at a time.

    Yields
    ------
    Picture
        In order of showing.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    times_s = clip.timebase.times_s
    with opened(clip.path) as (container, stream):
        for frame in container.decode(stream):
            if frame.time is None:
                continue
            index = min(int(np.searchsorted(times_s, frame.time - 1e-7)), len(times_s) - 1)
            stored = frame.to_ndarray(format="bgr24")
            upright = np.ascontiguousarray(np.rot90(stored, clip.rotation_deg // 90))
            yield Picture(index, float(times_s[index]), upright.astype(np.uint8, copy=False))
