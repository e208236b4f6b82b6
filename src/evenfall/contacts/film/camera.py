"""How the camera moved: each picture laid onto the ground of the first.

Corners of the lower picture are followed from picture to picture, and each picture's plane is fitted to
that of a key picture a few earlier, the horse's own corners counting little as the few that disagree. Whether
the camera stands is told by the corners of the upper picture.
"""

from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.plane import Corners, agreed_plane, fitted_plane, fitting, refined_plane
from evenfall.timebase import FloatArray

__all__ = ["CameraFollower", "CameraPath", "for_following", "shrunk"]

Grey = NDArray[np.uint8]

LOWER = 0.55
"""Share of the picture, from the top, in which no corner is sought: sky and far trees."""

WIDTH = 480
CORNERS = 192
CELLS = (3, 8)
KEY_EVERY, KEY_SHIFT_PX = 10, 24.0
EDGE_PX = 6
LEAST_CORNERS = 50
LEAST_FOR_FIT = 8
"""So many corners must agree: any three do."""

LEAST_AGREEMENT = 0.5
"""Share of the corners that must fit, or they are sought anew in the picture."""

CLEAR_AGREEMENT = 0.55
"""Where a smaller share of the ground's corners fits, those of the upper picture are looked at besides."""

LEAST_ABOVE = 0.25
"""Share of the upper picture's corners that must fit one plane with the ground's."""

LEAST_BELOW, USUALLY_BELOW, NEWEST = 0.3, 0.45, 0.1
"""How many of the ground's corners that fitted alone must fit it too, by their number: in this picture, and usually, the
newest picture counting a tenth. With a camera that travels hardly any do; chance lets a third fit ground that shows nothing."""

GONE_PX, LEAST_GONE = 1.0, 16
"""Where so many corners of the upper picture have gone so far since the key picture, those that have not are the horse's
and the rider's, held in the middle of the picture."""

STICKING = 0.3
"""How far the ground's corners are believed beside those of the upper picture: coarsely coded ground stays behind, and then
jumps (our choice)."""

STILL_PX, STILL_SHARE, CREEP_PX = 0.35, 0.3, 0.2
"""A camera stands where, of the upper picture's corners, such a share has moved by less than this since the key picture,
and those by less than that at the median: trees and fences tell better than the ground that a horse covers."""

MOVED_PX = 0.3
"""The ground has moved by more than this at the median, or the camera stands: less is how corners err."""

FAR_CORNERS = 12
GOING, GOING_SHARE = 20, 2
"""Unless so many corners of the ground, and so many times as many as stay, say that it goes."""


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

    def carried_each(
        self, points: FloatArray, starts: NDArray[np.int64], ends: NDArray[np.int64] | int
    ) -> FloatArray:
        """Carry ground points, each from its own picture into its own, or all from or into one; shape (n, 2)."""
        seen = np.c_[points, np.ones(len(points))]
        there = (self.inverse[ends] @ self.planes[starts] @ seen[..., None])[..., 0]
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
        self._key_plane: FloatArray = np.eye(3)
        self._since_plane: FloatArray = np.eye(3)
        self._at_key = self._now = self._far = self._upper = np.empty((0, 1, 2), np.float32)
        self._since_key = 0
        self._along: float | None = None

    def path(self) -> CameraPath:
        """Where the pictures so far lie."""
        return CameraPath(np.array(self._planes), np.array(self._agreement))

    def add(self, grey: Grey, share: float) -> None:
        """Follow the corners into one more picture, as `for_following` makes it, and how much smaller it is made."""
        plane, agreement = self._step(grey)
        scale = np.diag([1 / share, 1 / share, 1.0])
        self._planes.append(scale @ plane @ np.linalg.inv(scale))
        self._agreement.append(agreement)
        self._before = grey
        self._since_key += 1
        if self._wants_key():
            self._key_plane, self._since_plane, self._since_key = plane, np.eye(3), 0
            self._key = grey
            self._far = self._upper = _far_corners(grey)
            self._at_key = self._now = _corners(grey)

    def _wants_key(self) -> bool:
        too_few = len(self._now) < LEAST_CORNERS
        astray = self._since_key > 1 and self._agreement[-1] < LEAST_AGREEMENT
        return (
            too_few
            or astray
            or self._since_key >= KEY_EVERY
            or _shift(self._now, self._at_key) > KEY_SHIFT_PX
        )

    def _step(self, grey: Grey) -> tuple[FloatArray, float]:
        if self._before is None:
            return np.eye(3), 1.0
        self._at_key, self._now = _followed(self._before, grey, self._now, self._at_key)
        unmoved = self._unmoved(grey)
        if len(self._now) < LEAST_FOR_FIT:
            return self._key_plane, unmoved
        fitted, agreement = self._fitted(grey)
        if fitted is None or agreement * len(self._now) < LEAST_FOR_FIT:
            return self._key_plane, unmoved
        if unmoved and not _goes(self._now, self._at_key, fitted):
            return self._key_plane, unmoved
        self._since_plane = fitted
        if _shift(_laid(self._now, fitted), self._now) < MOVED_PX:
            return self._key_plane, max(unmoved, agreement)
        plane = self._key_plane @ fitted
        return plane / plane[2, 2], agreement

    def _fitted(self, grey: Grey) -> tuple[FloatArray | None, float]:
        """The plane since the key picture, and the share of corners that fit.

        Where few of the ground's corners fit, as in a film squeezed hard, it is begun from those of the upper picture, if the
        ground goes along: fence and trees do with a camera that turns, not with one that travels.
        """
        plane, agreement = fitted_plane(self._now, self._at_key, self._since_plane)
        if plane is None or agreement >= CLEAR_AGREEMENT:
            return plane, agreement
        before, now = _gone(*_followed(self._key, grey, self._upper, self._upper))
        begun = agreed_plane(now, before, self._since_plane) if len(now) >= LEAST_FOR_FIT else None
        if begun is None:
            return plane, agreement
        believed = np.r_[np.full(len(self._now), STICKING), np.ones(len(now))]
        turned = refined_plane(
            np.concatenate([self._now, now]), np.concatenate([self._at_key, before]), begun, believed
        )
        above, below = fitting(now, before, turned), fitting(self._now, self._at_key, turned)
        along = above >= LEAST_ABOVE and self._goes_along(below / max(agreement, below, 1e-9))
        return (turned, max(above, below)) if along else (plane, agreement)

    def _goes_along(self, share: float) -> bool:
        """Whether the ground goes along with the upper picture: now, and usually."""
        self._along = share if self._along is None else self._along + NEWEST * (share - self._along)
        return share >= LEAST_BELOW and self._along >= USUALLY_BELOW

    def _unmoved(self, grey: Grey) -> float:
        """Share of the far corners that have not moved since the key picture, if the camera stands; else 0."""
        if len(self._far) < LEAST_FOR_FIT:
            return 0.0
        before, now = _followed(self._key, grey, self._far, self._far)
        apart = (now - before)[:, 0]
        still = np.linalg.norm(apart, axis=-1) < STILL_PX
        share = float(still.sum() / len(self._far))
        if share < STILL_SHARE or np.linalg.norm(np.median(apart[still], axis=0)) > CREEP_PX:
            self._far = self._far[:0]  # it moved: no need to look again before the next key picture
            return 0.0
        return share


def _goes(now: Corners, before: Corners, plane: FloatArray) -> bool:
    """Whether many more corners of the ground go with the plane than stay where they were.

    A horse and rider held in the middle of the picture stay where they are as the camera turns.
    """
    unmoved = np.linalg.norm(now - before, axis=-1) < STILL_PX
    fitted = np.linalg.norm(_laid(now, plane) - before, axis=-1) < STILL_PX
    return bool(fitted.sum() > max(GOING, GOING_SHARE * unmoved.sum()))


def _gone(before: Corners, now: Corners) -> tuple[Corners, Corners]:
    """Of followed corners those that have gone somewhere, if they are many; else all."""
    gone = np.linalg.norm(now - before, axis=-1)[:, 0] > GONE_PX
    return (before[gone], now[gone]) if gone.sum() >= LEAST_GONE else (before, now)


def _laid(corners: Corners, plane: FloatArray) -> Corners:
    return np.asarray(cv2.perspectiveTransform(corners, plane), np.float32)


def _followed(before: Grey, now: Grey, corners: Corners, named: Corners) -> tuple[Corners, Corners]:
    """Follow corners from one picture into another; ``named`` of those that are found there, and where they are."""
    if not len(corners):
        return named, corners
    there, found, _ = cv2.calcOpticalFlowPyrLK(
        before,
        now,
        corners,
        np.empty_like(corners),
        winSize=(11, 11),
        maxLevel=3,
        criteria=(3, 12, 0.03),
    )
    kept = (found[:, 0] == 1) & _inside(np.asarray(there, np.float32), now.shape)
    return named[kept], there[kept]


def for_following(picture: Grey) -> Grey:
    """Return the picture as small as corners are followed in."""
    share = min(1.0, WIDTH / picture.shape[1])
    return picture if share == 1 else shrunk(picture, share)


def shrunk(picture: Grey, share: float) -> Grey:
    """Return the picture made smaller by a share."""
    return np.asarray(cv2.resize(picture, None, fx=share, fy=share, interpolation=cv2.INTER_AREA), np.uint8)


def _corners(grey: Grey) -> NDArray[np.float32]:
    """Corners of the lower picture, as many from each cell, so that the horse's own are not the most."""
    down, across = grey.shape
    rows = np.linspace(LOWER * down, down, CELLS[0] + 1).astype(int)
    columns = np.linspace(0, across, CELLS[1] + 1).astype(int)
    found = [
        _cell_corners(grey, (top, bottom), (left, right))
        for top, bottom in pairwise(rows)
        for left, right in pairwise(columns)
    ]
    return np.concatenate(found)


def _far_corners(grey: Grey) -> Corners:
    """Corners of the upper picture, as many from each column of cells."""
    columns = np.linspace(0, grey.shape[1], CELLS[1] + 1).astype(int)
    rows = (0, int(LOWER * grey.shape[0]))
    return np.concatenate([_cell_corners(grey, rows, cell, FAR_CORNERS) for cell in pairwise(columns)])


def _cell_corners(
    grey: Grey, rows: tuple[int, int], columns: tuple[int, int], count: int = CORNERS // (CELLS[0] * CELLS[1])
) -> Corners:
    cell = grey[rows[0] : rows[1], columns[0] : columns[1]]
    found = cv2.goodFeaturesToTrack(cell, count, 0.05, 6)
    if found is None:
        return np.empty((0, 1, 2), np.float32)
    return np.asarray(found + np.array([columns[0], rows[0]]), np.float32)


def _inside(points: NDArray[np.float32], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Whether points are far enough from the picture's edge to be followed."""
    x, y = points[:, 0, 0], points[:, 0, 1]
    return (x > EDGE_PX) & (x < shape[1] - EDGE_PX) & (y > EDGE_PX) & (y < shape[0] - EDGE_PX)


def _shift(now: NDArray[np.float32], before: NDArray[np.float32]) -> float:
    """How far the corners moved at the median; the horse's own are few."""
    return float(np.median(np.linalg.norm(now - before, axis=-1)))
