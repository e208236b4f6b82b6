"""Steadying: how each picture is laid so that the ground stands still.

Conventions: a plane is a homography, shape (3, 3), in pixels of the upright film, its last element 1, that takes a point
of a picture to where it lies in the first picture's frame. To lay picture ``k`` onto picture ``r``: inv(plane r) @ plane k.
"""

from itertools import pairwise

import numpy as np

from evenfall.clip import Clip
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.windows import picked_times_s
from evenfall.timebase import FloatArray

__all__ = ["steady_planes"]


def steady_planes(clip: Clip, camera: CameraPath, picture: tuple[int, int]) -> list[FloatArray | None]:
    """Give each picture of a film its plane.

    Parameters
    ----------
    clip : Clip
    camera : CameraPath
        Of the pictures that were looked at, every one or every second, third … of the film.
    picture : tuple of int
        Width and height of the small pictures that ``camera`` is told in.

    Returns
    -------
    list of ndarray or None, one for each picture
        None where the camera was not followed: across such a stretch, pictures must not be laid onto each other.
        Pictures between two that were looked at lie evenly between them.
    """
    step = picked_times_s(clip)[1]
    scale = np.diag([clip.width / picture[0], clip.height / picture[1], 1.0])
    looked_at = [
        _scaled(plane, scale) if followed > 0 else None
        for plane, followed in zip(camera.planes, camera.agreement, strict=True)
    ]
    planes: list[FloatArray | None] = []
    for before, after in pairwise([*looked_at, None]):
        planes += [_between(before, after, k / step) for k in range(step)]
    return (planes + [None] * clip.timebase.n_frames)[: clip.timebase.n_frames]


def _scaled(plane: FloatArray, scale: FloatArray) -> FloatArray | None:
    """The plane in pixels of the film; None if it is none."""
    film = scale @ plane @ np.linalg.inv(scale)
    usable = bool(np.all(np.isfinite(film))) and abs(film[2, 2]) > 1e-9
    return np.asarray(film / film[2, 2]) if usable else None


def _between(before: FloatArray | None, after: FloatArray | None, share: float) -> FloatArray | None:
    if share == 0 or before is None or after is None:
        return before if share == 0 else None
    return (1 - share) * before + share * after
