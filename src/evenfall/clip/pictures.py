"""The pictures of a film, one at a time, upright, each with its exact time."""

from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from evenfall.clip.model import Clip
from evenfall.clip.opening import opened

__all__ = ["Picture", "grey_pictures", "pictures"]

AHEAD = 6
"""Pictures decoded ahead of the one in hand."""


@dataclass(frozen=True, eq=False)
class Picture:
    """One picture of a film.

    Parameters
    ----------
    index : int
        Its place in the film, from 0.
    time_s : float
        Seconds on the clip's clock.
    pixels : ndarray of uint8, shape (height, width, 3) or (height, width)
        Blue, green, red, or grey; turned upright.
    """

    index: int
    time_s: float
    pixels: NDArray[np.uint8]


def pictures(clip: Clip) -> Iterator[Picture]:
    """Decode the film picture by picture; only one is held at a time.

    Yields
    ------
    Picture
        In order of showing, in colour.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    for index, frame in _frames(clip):
        yield _upright(clip, index, np.asarray(frame.to_ndarray(format="bgr24"), np.uint8))


def grey_pictures(
    clip: Clip, *, width: int, wanted: Callable[[int], bool] = lambda _: True
) -> Iterator[Picture]:
    """Decode the film in grey, made smaller, a few pictures ahead in a thread of its own.

    Parameters
    ----------
    clip : Clip
    width : int
        Pixels across at most, as the film is shown; a smaller film is left as it is.
    wanted : callable, optional
        Whether the picture with this index is to be yielded; the others are only decoded.

    Yields
    ------
    Picture
        In order of showing, in grey.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    share = min(1.0, width / clip.width)
    turned = clip.rotation_deg % 180 != 0
    across, down = (2 * max(1, round(size * share / 2)) for size in (clip.width, clip.height))

    def made() -> Iterator[Picture]:
        for index, frame in _frames(clip):
            if wanted(index):
                size = (down, across) if turned else (across, down)
                small = frame.reformat(width=size[0], height=size[1], format="gray", interpolation="AREA")
                yield _upright(clip, index, np.asarray(small.to_ndarray(), np.uint8))

    return _decoded_ahead(made())


def _frames(clip: Clip) -> Iterator[tuple[int, VideoFrame]]:
    times_s = clip.timebase.times_s
    with opened(clip.path) as (container, stream):
        for frame in container.decode(stream):
            if frame.time is not None:
                yield min(int(np.searchsorted(times_s, frame.time - 1e-7)), len(times_s) - 1), frame


def _upright(clip: Clip, index: int, stored: NDArray[np.uint8]) -> Picture:
    upright = np.ascontiguousarray(np.rot90(stored, clip.rotation_deg // 90))
    return Picture(index, float(clip.timebase.times_s[index]), upright)


def _decoded_ahead(source: Iterator[Picture]) -> Iterator[Picture]:
    """Run the source in a thread; errors leave where the picture would have."""
    with ThreadPoolExecutor(1) as pool:
        waiting: deque[Future[Picture | None]] = deque(pool.submit(next, source, None) for _ in range(AHEAD))
        try:
            while (picture := waiting.popleft().result()) is not None:
                waiting.append(pool.submit(next, source, None))
                yield picture
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
