"""What stands still on the ground: the lowest points of the legs that do not move over it.

A leg that swings has left its place a twentieth of a second later; a hoof that stands has not. The least
difference from the empty ground over that time, each picture laid onto the one in the middle, keeps the
standing feet and loses the swinging ones.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.ground import Planes, warped
from evenfall.contacts.film.horse import HorsePath, median_smooth
from evenfall.contacts.film.side_by_side import side_by_side
from evenfall.timebase import FloatArray

__all__ = ["Lower", "Place", "leg_contrast", "standing_places"]

Grey = NDArray[np.uint8]
Point = tuple[float, float]

STILL_S = 0.05
LEAST_DIFFERENCE, TIP_HIGH = (8.0, 5.0), (0.03, 0.02)
"""Grey levels, and the height in widths of the horse, which what stands has at least; and of a horse with white legs, of
which often only a pale hoof shows, and hardly anything else."""

SHARES = (0.45, 0.25)
"""Shares of the legs' contrast over which a picture point counts as leg: a strict and a lenient look."""

FAINT_SHARE = 0.12
"""A pale hoof under a dark leg may differ from the ground by as little as this share."""

REACH = 0.035
GAP_S = 0.1
LEAST_S, LEAST_SEEN = 0.06, 3
SAME_PLACE = 0.008


@dataclass(frozen=True, eq=False)
class Lower:
    """The lower part of a window's pictures, and how it differs from the empty ground.

    Parameters
    ----------
    first, step : int
        The camera's index of the first picture, and how many pictures on the next one is.
    times_s : ndarray, shape (n,)
    top : int
        The first row that is kept.
    lefts : ndarray of int, shape (n,)
        The first column that is kept of each picture.
    differs : ndarray of uint8, shape (n, h, w)
    noise, contrast : ndarray, shape (n,)
        Of the bare ground, and of the legs.
    planes : callable
        From one picture's kept part onto another's.
    horse : HorsePath
    pale : bool
        Whether it has white legs, so that only what is bright or narrow was kept.
    """

    first: int
    step: int
    times_s: FloatArray
    top: int
    lefts: NDArray[np.int64]
    differs: NDArray[np.uint8]
    noise: FloatArray
    contrast: FloatArray
    planes: Planes
    horse: HorsePath
    pale: bool = False

    @cached_property
    def fps(self) -> float:
        """Pictures in a real second."""
        return float(1 / np.median(np.diff(self.times_s)))

    def frame(self, k: int) -> int:
        """The camera's index of picture ``k``."""
        return self.first + k * self.step

    def number(self, frame: int) -> int:
        """Which of the pictures has this index with the camera."""
        return (frame - self.first) // self.step


@dataclass
class Place:
    """A place on the ground where something stood.

    Parameters
    ----------
    at : int
        The camera's index of the picture in which ``point`` is given.
    point : ndarray, shape (2,)
    seen : list of (int, Point)
        Pictures in which it was seen, and where.
    deep : bool
        Whether faint points below the leg were followed down.
    held_s : float
        For how long, in all, it was seen.
    """

    at: int
    point: FloatArray
    seen: list[tuple[int, Point]] = field(default_factory=list)
    deep: bool = False
    held_s: float = 0.0


def leg_contrast(
    differs: NDArray[np.uint8], corner: tuple[NDArray[np.int64], int], horse: HorsePath, fps: float
) -> FloatArray:
    """How strongly the lower legs differ from the ground; shape (n,). ``corner``: what is cut off left and above."""
    contrast = np.full(len(differs), np.nan)
    lefts, top = corner
    for k, picture in enumerate(differs):
        bottom = int(min(picture.shape[0], horse.bottom[k] - top))
        rows = slice(int(max(0, bottom - 0.22 * horse.width[k])), bottom)
        left, right = (int(max(0, edge - lefts[k])) for edge in (horse.left[k], horse.right[k]))
        part = picture[rows, left:right]
        if part.size:
            contrast[k] = np.percentile(part, 93)
    return median_smooth(contrast, round(fps)) if np.isfinite(contrast).any() else np.zeros(len(differs))


def standing_places(lower: Lower, camera: CameraPath, tick: Callable[[], None] = lambda: None) -> list[Place]:
    """Find the places where something stood still.

    Parameters
    ----------
    lower : Lower
    camera : CameraPath

    Returns
    -------
    list of Place
        In no order; a place may be found twice where the looks differ.
    """
    still = side_by_side(lambda k: _still(lower, k), range(len(lower.differs)), tick)
    looks = [[_tips(lower, still[k], k, share) for k in range(len(still))] for share in SHARES]
    deep = [[_followed_down(lower, k, tip) for tip in tips] for k, tips in enumerate(looks[0])]
    found = [place for tips in looks for place in _linked(lower, camera, tips)]
    for place in _linked(lower, camera, deep):
        place.deep = True
        found.append(place)
    return _without_twins(found, lower, camera)


def _still(lower: Lower, k: int) -> Grey:
    """Least difference over the pictures around, laid onto picture ``k``."""
    step = max(1, round(STILL_S * lower.fps))
    least = lower.differs[k]
    for offset in sorted({-step, -(step + 1) // 2, (step + 1) // 2, step}):
        j = k + offset
        if 0 <= j < len(lower.differs):
            plane = lower.planes(j, k)
            other = lower.differs[j] if plane is None else warped(lower.differs[j], plane)
            least = np.asarray(cv2.min(least, other), np.uint8)
    return np.asarray(least, np.uint8)


def _tips(lower: Lower, still: Grey, k: int, share: float) -> list[Point]:
    """Lowest points of what stands still around the horse; pixels of the whole small picture."""
    horse, width = lower.horse, lower.horse.width[k]
    left = int(max(0, horse.left[k] - lower.lefts[k] - 0.1 * width))
    right = int(min(still.shape[1], horse.right[k] - lower.lefts[k] + 0.1 * width))
    bottom = int(min(still.shape[0], horse.bottom[k] - lower.top + 0.05 * width))
    top = int(max(0, bottom - 0.3 * width))
    threshold = max(LEAST_DIFFERENCE[lower.pale], 4 * lower.noise[k], share * lower.contrast[k])
    mask = (still[top:bottom, left:right] > threshold).astype(np.uint8)
    if not mask.size or not mask.any():
        return []
    mask = cv2.morphologyEx(
        mask, cv2.MORPH_OPEN, np.ones((max(3, int(TIP_HIGH[lower.pale] * width)), 2), np.uint8)
    )
    lowest = np.where(mask.any(axis=0), len(mask) - 1 - np.argmax(mask[::-1], axis=0), -1)
    around = np.ones((1, 2 * max(2, int(0.02 * width)) + 1), np.uint8)
    highest = cv2.dilate(lowest.astype(np.float32)[None], around)[0]
    peak = (lowest >= highest) & (lowest > 0.25 * len(mask))
    edges = np.flatnonzero(np.diff(np.r_[0, peak.astype(np.int8), 0]))
    return [
        (lower.lefts[k] + left + (a + b - 1) / 2, lower.top + top + float(lowest[a]))
        for a, b in zip(edges[::2], edges[1::2], strict=True)
    ]


def _followed_down(lower: Lower, k: int, tip: Point) -> Point:
    """Follow faint points below a leg's end, at most a hoof and a pastern down."""
    width, picture = lower.horse.width[k], lower.differs[k]
    threshold = max(3.5, 4 * lower.noise[k], FAINT_SHARE * lower.contrast[k])
    x, y = round(tip[0] - lower.lefts[k]), int(tip[1] - lower.top)
    half = max(2, int(0.02 * width))
    left = max(0, x - half)
    below = picture[y + 1 : y + 1 + int(0.06 * width), left : x + half + 1] > threshold
    rows = np.flatnonzero(below.sum(axis=1) >= 2)
    reached = _unbroken(rows)
    if reached < 1:
        return tip
    return (
        lower.lefts[k] + left + float(np.flatnonzero(below[reached]).mean()),
        lower.top + y + 1.0 + reached,
    )


def _unbroken(rows: NDArray[np.int64]) -> int:
    """The last row of a run that starts at the top and skips one row at most; -1 for none."""
    last = -1
    for row in rows:
        if row - last > 2:
            break
        last = int(row)
    return last


def _linked(lower: Lower, camera: CameraPath, tips: Sequence[Sequence[Point]]) -> list[Place]:
    """Link points that stay at one place on the ground from picture to picture."""
    open_places: list[Place] = []
    closed: list[Place] = []
    for k, here in enumerate(tips):
        now = lower.frame(k)
        _carry(open_places, camera, now)
        taken = _joined(open_places, here, now, REACH * lower.horse.width[k])
        limit = lower.times_s[k] - GAP_S - 0.5 / lower.fps
        closed += [p for p in open_places if lower.times_s[lower.number(p.seen[-1][0])] < limit]
        open_places = [p for p in open_places if lower.times_s[lower.number(p.seen[-1][0])] >= limit]
        fresh = [tip for j, tip in enumerate(here) if j not in taken]
        open_places += [Place(now, np.array(tip), [(now, tip)]) for tip in fresh]
    return [
        _settled(place, camera, lower.fps) for place in closed + open_places if _long_enough(place, lower)
    ]


def _carry(places: Sequence[Place], camera: CameraPath, now: int) -> None:
    """Carry the places, each seen from another picture, into this one."""
    if places:
        points = np.array([place.point for place in places])
        points = camera.carried_each(points, np.array([place.at for place in places]), now)
        for place, point in zip(places, points, strict=True):
            place.point, place.at = point, now


def _joined(places: list[Place], tips: Sequence[Point], now: int, reach: float) -> set[int]:
    """Give each place its nearest point; return the points that were given."""
    if not places or not tips:
        return set()
    apart = np.array([place.point for place in places])[:, None] - np.array(tips)
    distances = np.hypot(apart[..., 0], apart[..., 1])
    near = [(distances[i, j], int(i), int(j)) for i, j in np.argwhere(distances <= reach)]
    done: set[int] = set()
    taken: set[int] = set()
    for _, i, j in sorted(near):
        if i in done or j in taken:
            continue
        done.add(i)
        taken.add(j)
        place = places[i]
        place.seen.append((now, tips[j]))
        place.point = place.point + (np.array(tips[j]) - place.point) / min(len(place.seen), 8)
    return taken


def _long_enough(place: Place, lower: Lower) -> bool:
    start, end = (lower.times_s[lower.number(place.seen[k][0])] for k in (0, -1))
    return len(place.seen) >= LEAST_SEEN and end - start >= LEAST_S


def _settled(place: Place, camera: CameraPath, fps: float) -> Place:
    """Give the place as the median of where it was seen, in the middle one of those pictures."""
    middle = place.seen[len(place.seen) // 2][0]
    frames = np.array([k for k, _ in place.seen])
    points = camera.carried_each(np.array([tip for _, tip in place.seen]), frames, middle)
    place.held_s = len(place.seen) / fps
    place.at, place.point = middle, np.array([np.median(points[:, 0]), np.percentile(points[:, 1], 60)])
    return place


def _without_twins(places: list[Place], lower: Lower, camera: CameraPath) -> list[Place]:
    """Of places that are the same to a hoof's breadth at the same time, keep the one seen longest."""
    ordered = sorted(places, key=lambda place: -len(place.seen))
    points, at = np.array([place.point for place in ordered]), np.array([place.at for place in ordered])
    spans = np.array([(place.seen[0][0], place.seen[-1][0]) for place in ordered])
    kept: list[int] = []
    for k, place in enumerate(ordered):
        others = np.array(kept, int)
        others = others[_at_one_time(spans[k], spans[others])]
        apart = camera.carried_each(points[others], at[others], place.at) - place.point
        near = SAME_PLACE * lower.horse.width[lower.number(place.at)]
        if not (np.abs(apart).max(axis=1) < near).any():
            kept.append(k)
    return [ordered[k] for k in kept]


def _at_one_time(span: NDArray[np.int64], others: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether more than half of the shorter of two spans is in both, for each of the others."""
    first, last = others.reshape(-1, 2).T
    both = np.minimum(last, span[1]) - np.maximum(first, span[0])
    return np.asarray(both > 0.5 * np.minimum(last - first, span[1] - span[0]))
