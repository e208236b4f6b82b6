"""A horse that is small in the picture looked at closer: in as many pixels as the film has, and only where its legs go."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from evenfall.clip import Clip, shown_size
from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.horse import HorsePath
from evenfall.timebase import FloatArray

__all__ = ["CLOSE_PX", "Closer", "closer_look"]

CLOSE_PX, CLOSER_PX = 170.0, 250.0
"""A horse of fewer pixels from nose to tail, as it was looked at, is looked at closer; and how many it then has, if the film has
them (our choice: drawn horses of 180 are told as well as larger ones)."""

LEAST_CLOSER = 1.15
"""How much larger it must become to be worth another look."""

MOST_WIDTH, MOST_PIXELS = 1920, 500_000
"""Pixels across, and in all, of what is kept of each picture: some hundreds of them are kept at once."""

ROWS_ABOVE, ROWS_BELOW = 0.5, 0.15
"""What is kept above and below where the horse stands, in its widths: the legs, and the ground under them."""


@dataclass(frozen=True, eq=False)
class Closer:
    """Where each picture is looked at closer.

    Parameters
    ----------
    width : int
        Pixels across of the whole picture.
    rows : slice
        The rows of it that are kept.
    scale : tuple of float
        Closer pixels in one pixel of the first look, across and down.
    """

    width: int
    rows: slice
    scale: tuple[float, float]

    @property
    def _onto(self) -> FloatArray:
        return np.array([[self.scale[0], 0, 0], [0, self.scale[1], -self.rows.start], [0, 0, 1.0]])

    def camera(self, path: CameraPath) -> CameraPath:
        """The camera's path in closer pixels."""
        return CameraPath(self._onto @ path.planes @ np.linalg.inv(self._onto), path.agreement)

    def horse(self, path: HorsePath) -> HorsePath:
        """The horse in closer pixels."""
        across = {name: getattr(path, name) * self.scale[0] for name in ("left", "right", "middle", "width")}
        return replace(path, bottom=path.bottom * self.scale[1] - self.rows.start, **across)

    def back(self, bar: Bar) -> Bar:
        """A bar seen closer, in pixels of the first look."""
        shape = bar.shape and replace(bar.shape, point=self._back(bar.shape.point))
        like = tuple(self.back(other) for other in bar.like)
        return replace(bar, point=self._back(bar.point), shape=shape, like=like)

    def _back(self, point: FloatArray) -> FloatArray:
        return np.asarray((point + np.array([0, self.rows.start])) / np.array(self.scale))


def closer_look(
    clip: Clip, horses: Sequence[HorsePath], picture: tuple[int, int], magnified: float
) -> Closer | None:
    """Where to look closer, if the horse is small in one of the windows and the film has more pixels of it.

    Parameters
    ----------
    clip : Clip
    horses : sequence of HorsePath
        As it was first seen, window by window.
    picture : tuple of int
        Width and height of the pictures it was seen in.
    magnified : float
        How much larger the largest pictures were that were looked at.

    Returns
    -------
    Closer or None
    """
    smallest = min((float(np.median(horse.width)) for horse in horses), default=np.inf)
    if not smallest * magnified < CLOSE_PX:
        return None
    top = min(float((horse.bottom - ROWS_ABOVE * horse.width).min()) for horse in horses)
    bottom = max(float((horse.bottom + ROWS_BELOW * horse.width).max()) for horse in horses)
    top, bottom = max(0.0, top), min(float(picture[1]), bottom)
    most = min(CLOSER_PX / smallest, np.sqrt(MOST_PIXELS / (picture[0] * (bottom - top))))
    width, height = shown_size(clip, min(MOST_WIDTH, round(most * picture[0])))
    scale = (width / picture[0], height / picture[1])
    if scale[0] < LEAST_CLOSER * magnified:
        return None
    return Closer(width, slice(int(top * scale[1]), int(np.ceil(bottom * scale[1]))), scale)
