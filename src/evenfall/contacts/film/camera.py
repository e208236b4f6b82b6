"""How the camera moved: each picture laid onto the ground of the first.

Corners of the lower picture are followed from picture to picture, and each picture's plane is fitted to
that of a key picture a few earlier, the horse's own corners thrown out as the few that disagree.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.timebase import FloatArray

__all__ = ["CameraFollower", "CameraPath", "shrunk"]

Grey = NDArray[np.uint8]

LOWER = 0.35
"""Share of the picture, from the top, in which no corner is sought: sky and far trees."""

WIDTH = 480
CORNERS = 160
KEY_EVERY = 10
LEAST_CORNERS = 50
LEAST_FOR_FIT = 8
TOLERANCE_PX = 1.0
STILL_PX = 0.15
"""A picture that moved by less than this against its key picture is taken for unmoved."""


class CameraPath:
    """Where every picture lies on the ground of the first.

    Parameters
    ----------
    planes : ndarray, shape (n, 3, 3)
        Homography from each picture to the first.
    agreement : ndarray, shape (n,)
        Share of the followed corners that fit.
    """

    def __init__(self, planes: FloatArray, agreement: FloatArray) -> None:
        self.planes = planes
        self.inverse = np.linalg.inv(planes)
        self.agreement = agreement

    def between(self, start: int, end: int) -> FloatArray:
        """Homography, shape (3, 3), that takes picture ``start`` onto picture ``end``."""
        return np.asarray(self.inverse[end] @ self.planes[start])

    def unmoved(self, start: int, end: int) -> bool:
        """Whether the two pictures lie on each other as they are."""
        return bool(np.array_equal(self.planes[start], self.planes[end]))

    def carried(self, point: FloatArray, start: int, ends: NDArray[np.int64]) -> FloatArray:
        """Carry a ground point seen in ``start`` into each of the pictures ``ends``; shape (len(ends), 2)."""
        on_ground = self.planes[start] @ np.array([point[0], point[1], 1.0])
        there = self.inverse[ends] @ on_ground
        return np.asarray(there[:, :2] / there[:, 2:])

    def carried_to(self, point: FloatArray, start: int, end: int) -> FloatArray:
        """Carry a ground point seen in ``start`` into picture ``end``; shape (2,)."""
        return np.asarray(self.carried(point, start, np.array([end]))[0])


class CameraFollower:
    """Takes the pictures one by one and keeps where each lies."""

    def __init__(self) -> None:
        self._planes: list[FloatArray] = []
        self._agreement: list[float] = []
        self._before: Grey | None = None
        self._key_plane = np.eye(3)
        self._at_key = self._now = np.empty((0, 1, 2), np.float32)
        self._since_key = 0

    def path(self) -> CameraPath:
        """Where the pictures so far lie."""
        return CameraPath(np.array(self._planes), np.array(self._agreement))

    def add(self, picture: Grey) -> None:
        """Follow the corners into one more picture."""
        share = min(1.0, WIDTH / picture.shape[1])
        grey = shrunk(picture, share)
        plane, agreement = self._step(grey)
        scale = np.diag([1 / share, 1 / share, 1.0])
        self._planes.append(scale @ plane @ np.linalg.inv(scale))
        self._agreement.append(agreement)
        self._before = grey
        self._since_key += 1
        if self._since_key >= KEY_EVERY or len(self._now) < LEAST_CORNERS:
            self._key_plane, self._since_key = plane, 0
            self._at_key = self._now = _corners(self._before)

    def _step(self, grey: Grey) -> tuple[FloatArray, float]:
        if self._before is None:
            return np.eye(3), 1.0
        self._follow(grey)
        if len(self._now) < LEAST_FOR_FIT:
            return self._key_plane, 0.0
        step, fits = cv2.findHomography(self._now, self._at_key, cv2.RANSAC, TOLERANCE_PX, maxIters=400)
        if step is None:
            return self._key_plane, 0.0
        agreement = float(fits.mean())
        if _shift(self._now, self._at_key) < STILL_PX:
            return self._key_plane, agreement
        plane = self._key_plane @ step
        return plane / plane[2, 2], agreement

    def _follow(self, grey: Grey) -> None:
        if self._before is None or not len(self._now):
            return
        there, found, _ = cv2.calcOpticalFlowPyrLK(
            self._before,
            grey,
            self._now,
            np.empty_like(self._now),
            winSize=(13, 13),
            maxLevel=3,
            criteria=(3, 12, 0.03),
        )
        kept = found[:, 0] == 1
        self._at_key, self._now = self._at_key[kept], there[kept]


def shrunk(picture: Grey, share: float) -> Grey:
    """Return the picture made smaller by a share."""
    return np.asarray(cv2.resize(picture, None, fx=share, fy=share, interpolation=cv2.INTER_AREA), np.uint8)


def _corners(grey: Grey) -> NDArray[np.float32]:
    lower = np.zeros_like(grey)
    lower[int(LOWER * len(grey)) :] = 255
    found = cv2.goodFeaturesToTrack(grey, CORNERS, 0.01, 8, mask=lower)
    return np.empty((0, 1, 2), np.float32) if found is None else np.asarray(found, np.float32)


def _shift(now: NDArray[np.float32], before: NDArray[np.float32]) -> float:
    """How far the corners moved at the median; the horse's own are few."""
    return float(np.median(np.linalg.norm(now - before, axis=-1)))
