"""The pictures of a film in the order they are shown, upright, at the size they are drawn on."""

from collections.abc import Iterator, Sequence

import numpy as np
from av.video.frame import VideoFrame

from evenfall.clip import Clip
from evenfall.clip.pictures import frames
from evenfall.errors import ClipError
from evenfall.report.showing.look import Picture

__all__ = ["wanted_pictures"]


def wanted_pictures(clip: Clip, indices: Sequence[int], size: tuple[int, int]) -> Iterator[Picture]:
    """Yield a picture for each index; one that cannot be decoded is shown by its neighbour.

    Parameters
    ----------
    clip : Clip
    indices : sequence of int
        Not decreasing; one that is asked for again is yielded again.
    size : tuple of int
        Width and height, upright.

    Yields
    ------
    ndarray of uint8, shape (height, width, 3)
        Not to be drawn upon: it may be shown again.

    Raises
    ------
    ClipError
        If not one picture can be decoded.
    """
    waiting, held = list(reversed(indices)), None
    for index, frame in frames(clip):
        if not waiting:
            return
        if index < waiting[-1]:
            continue
        came = _ready(clip, frame, size)
        while waiting and waiting[-1] <= index:
            missed = waiting.pop() < index
            yield held if missed and held is not None else came
        held = came
    if waiting and held is None:
        raise ClipError(clip.path, "not one picture could be decoded; the film is damaged or cut off.")
    for _ in waiting:
        yield held if held is not None else came


def _ready(clip: Clip, frame: VideoFrame, size: tuple[int, int]) -> Picture:
    """The frame in blue, green and red, at a size, upright."""
    turns = clip.rotation_deg // 90
    across, down = size if turns % 2 == 0 else size[::-1]
    ready = frame.reformat(width=across, height=down, format="bgr24", interpolation="AREA")
    pixels = np.asarray(ready.to_ndarray(), np.uint8)
    return pixels if turns == 0 else np.ascontiguousarray(np.rot90(pixels, turns))
