"""The pictures of a film, one at a time, upright, each with its exact time."""

from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeVar

import cv2
import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange
from numpy.typing import NDArray

from evenfall.clip.model import Clip
from evenfall.clip.opening import opened

__all__ = ["Picture", "frames", "grey_pictures", "made_ahead", "pictures", "shown_size"]

FULL_RANGE = np.clip(np.round((np.arange(256) - 16) * 255 / 219), 0, 255).astype(np.uint8)
"""Video levels, black at 16 and white at 235 (ITU-R BT.601, from memory), to 0 to 255."""

Item = TypeVar("Item")

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
    for index, frame in frames(clip):
        yield _upright(clip, index, np.asarray(frame.to_ndarray(format="bgr24"), np.uint8))


def grey_pictures(
    clip: Clip, *, width: int, wanted: Callable[[int], bool] = lambda _: True, soon: bool = False
) -> Iterator[Picture]:
    """Decode the film in grey, made smaller, a few pictures ahead in a thread of its own.

    Parameters
    ----------
    clip : Clip
    width : int
        Pixels across at most, as the film is shown; a smaller film is left as it is.
    wanted : callable, optional
        Whether the picture with this index is to be yielded; the others are only decoded.
    soon : bool
        Where less than half of the size is lost, mix each point of the nearest four only, not of all it covers.

    Yields
    ------
    Picture
        In order of showing, in grey.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    turned = clip.rotation_deg % 180 != 0
    across, down = shown_size(clip, width)
    size = (down, across) if turned else (across, down)

    def made() -> Iterator[Picture]:
        for index, frame in frames(clip):
            if wanted(index):
                yield _upright(clip, index, _grey(frame, size, soon=soon))

    return made_ahead(made())


def shown_size(clip: Clip, width: int) -> tuple[int, int]:
    """Width and height of the pictures that `grey_pictures` gives: even numbers, no more across than the film has."""
    share = min(1.0, width / clip.width)
    across, down = (2 * max(1, round(size * share / 2)) for size in (clip.width, clip.height))
    return across, down


def frames(clip: Clip) -> Iterator[tuple[int, VideoFrame]]:
    """Decode the film as it is stored, each frame with its place in the film."""
    times_s = clip.timebase.times_s
    with opened(clip.path) as (container, stream):
        for frame in container.decode(stream):
            if frame.time is not None:
                yield min(int(np.searchsorted(times_s, frame.time - 1e-7)), len(times_s) - 1), frame


def _grey(frame: VideoFrame, size: tuple[int, int], *, soon: bool) -> NDArray[np.uint8]:
    """The frame's brightness at a size; as it is stored where that is a plane of bytes, which is sooner done."""
    stored = frame.format
    if not (stored.is_planar and stored.components[0].is_luma and stored.components[0].bits == 8):
        grey = frame.reformat(width=size[0], height=size[1], format="gray", interpolation="AREA")
        return np.asarray(grey.to_ndarray(), np.uint8)
    plane = frame.planes[0]
    luma = np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, plane.line_size)[:, : plane.width]
    kind = cv2.INTER_LINEAR if soon and luma.shape[1] < 2 * size[0] else cv2.INTER_AREA
    small = luma if luma.shape == size[::-1] else cv2.resize(luma, size, interpolation=kind)
    full_range = stored.name.startswith("yuvj") or frame.color_range == ColorRange.JPEG
    return np.asarray(small if full_range else cv2.LUT(small, FULL_RANGE), np.uint8)


def _upright(clip: Clip, index: int, stored: NDArray[np.uint8]) -> Picture:
    upright = np.ascontiguousarray(np.rot90(stored, clip.rotation_deg // 90))
    return Picture(index, float(clip.timebase.times_s[index]), upright)


def made_ahead(source: Iterator[Item]) -> Iterator[Item]:
    """Run the source in a thread of its own, a few steps ahead; errors leave where the item would have."""
    with ThreadPoolExecutor(1) as pool:
        waiting: deque[Future[Item | None]] = deque(pool.submit(next, source, None) for _ in range(AHEAD))
        try:
            while (item := waiting.popleft().result()) is not None:
                waiting.append(pool.submit(next, source, None))
                yield item
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
