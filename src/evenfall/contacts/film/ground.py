"""The empty ground behind the horse, and how each picture differs from it.

The ground at any place is what it looks like while the horse is elsewhere: the median of pictures some
seconds around, laid onto each other, with the horse's own stretch left out of each.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.side_by_side import side_by_side
from evenfall.timebase import FloatArray

__all__ = [
    "Ground",
    "Parts",
    "Planes",
    "Stretches",
    "differences",
    "empty_grounds",
    "planes_between_parts",
    "planes_of",
    "warped",
]

Grey = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Stretches = Callable[[int], tuple[float, float]]
"""The columns, from and to, in which the horse stands in a picture."""
Planes = Callable[[int, int], FloatArray | None]
"""Homography from one picture of a window onto another; None where they lie on each other as they are."""

SPAN_S = 3.0
SAMPLES, CLOSE_SAMPLES = 21, 61
"""How many pictures the ground is the median of; more, and only of those that show it, where the horse takes up over half
of the picture: each place is then free of it in few."""

CLOSE, OVERLAP = 0.55, 0.9
"""The share of the picture's width from which on it does; how far, in pictures, two may lie apart to show some of the
same ground."""

EVERY_S = 0.5
LEAST_SAMPLES = 3
BLUR_PX = 0.8
SHADE, SHADE_KEPT = 0.65, 0.25
"""Ground no darker than this share of itself may be in the horse's shade; the part of the plain difference kept."""


@dataclass(frozen=True, eq=False)
class Ground:
    """The empty ground as seen from one picture.

    Parameters
    ----------
    at : int
        The picture it is laid onto.
    grey : ndarray of uint8, shape (h, w)
    known : ndarray of bool, shape (h, w)
    """

    at: int
    grey: Grey
    known: Mask


def planes_of(camera: CameraPath, first: int, onto: FloatArray) -> Planes:
    """Return the homographies between pictures of a window that starts at picture ``first``.

    Parameters
    ----------
    onto : ndarray, shape (3, 3)
        From the camera's pictures to those in hand: their scale and the rows cut off.
    """
    back = np.linalg.inv(onto)

    def between(start: int, end: int) -> FloatArray | None:
        if camera.unmoved(first + start, first + end):
            return None
        return np.asarray(onto @ camera.between(first + start, first + end) @ back)

    return between


def planes_between_parts(planes: Planes, lefts: NDArray[np.int64]) -> Planes:
    """Return the homographies between parts of the pictures that start at these columns."""

    def between(start: int, end: int) -> FloatArray | None:
        plane = planes(start, end)
        if plane is None and lefts[start] == lefts[end]:
            return None
        return _moved(-lefts[end]) @ (np.eye(3) if plane is None else plane) @ _moved(lefts[start])

    return between


def _moved(across: float) -> FloatArray:
    return np.array([[1.0, 0, across], [0, 1, 0], [0, 0, 1]])


def warped(picture: Grey, plane: FloatArray, width: int | None = None) -> Grey:
    """Return the picture seen through a homography, of the same size or another width; black where it ends."""
    size = (width or picture.shape[1], picture.shape[0])
    return np.asarray(cv2.warpPerspective(picture, plane, size), np.uint8)


def empty_grounds(
    pictures: Sequence[Grey],
    times_s: FloatArray,
    planes: Planes,
    horse: Stretches | None = None,
) -> list[Ground]:
    """Find the empty ground every half second.

    Parameters
    ----------
    pictures : sequence of ndarray of uint8, shape (h, w)
    times_s : ndarray, shape (n,)
        Real seconds.
    planes : callable
        Homography from one picture onto another, both by index; None where they lie on each other.
    horse : callable, optional
        The columns to leave out of each picture.

    Returns
    -------
    list of Ground
    """
    return side_by_side(lambda at: _ground_at(at, pictures, times_s, planes, horse), _every(times_s, EVERY_S))


def _every(times_s: FloatArray, step_s: float) -> list[int]:
    marks = np.arange(times_s[0], times_s[-1] + step_s / 2, step_s)
    return sorted({int(np.argmin(np.abs(times_s - mark))) for mark in marks})


def _ground_at(
    at: int,
    pictures: Sequence[Grey],
    times_s: FloatArray,
    planes: Planes,
    horse: Stretches | None,
) -> Ground:
    near, samples = np.flatnonzero(np.abs(times_s - times_s[at]) <= SPAN_S), SAMPLES
    if horse and np.ptp(horse(at)) > CLOSE * pictures[at].shape[1]:
        near, samples = (
            _showing(_spread_out(near, 3 * CLOSE_SAMPLES), planes, at, pictures[at].shape),
            CLOSE_SAMPLES,
        )
    chosen = [int(index) for index in _spread_out(near, samples)]
    onto = [planes(index, at) for index in chosen]
    layers = [_seen_through(pictures[index], plane) for index, plane in zip(chosen, onto, strict=True)]
    shape, whole = pictures[at].shape, (0.0, -1.0)
    free = [_reach(shape, horse(k) if horse else whole, plane) for k, plane in zip(chosen, onto, strict=True)]
    grey, known = _median(layers, free)
    if horse and not known.all():
        rest = ~known
        seen = [_reach(shape, whole, plane)[rest] for plane in onto]
        grey[rest], known[rest] = _median([layer[rest] for layer in layers], seen)
    return Ground(at, grey, known)


def _spread_out(indices: NDArray[np.int64], most: int) -> NDArray[np.int64]:
    return np.asarray(
        indices[np.unique(np.linspace(0, len(indices) - 1, min(most, len(indices))).astype(int))]
    )


def _showing(
    indices: NDArray[np.int64], planes: Planes, at: int, shape: tuple[int, ...]
) -> NDArray[np.int64]:
    """Of these pictures, those that show some of the ground of the one at ``at``."""
    down, across = shape
    middle = np.array([across / 2, 0.7 * down, 1.0])
    found = [middle if plane is None else plane @ middle for plane in (planes(int(k), at) for k in indices)]
    x, _, depth = np.array(found).T
    apart = np.abs(x / np.where(depth > 0, depth, np.nan) - across / 2)
    return np.asarray(indices[apart < OVERLAP * across])


def _seen_through(picture: Grey, plane: FloatArray | None) -> Grey:
    return picture if plane is None else warped(picture, plane)


def _reach(shape: tuple[int, ...], without: tuple[float, float], plane: FloatArray | None) -> Mask:
    """Where a picture lies on another's ground, without the columns from and to."""
    whole = np.full(shape, 255, np.uint8)
    whole[:, max(0, int(without[0])) : max(0, int(without[1]) + 1)] = 0
    return np.asarray(_seen_through(whole, plane) > 250)


def _median(layers: Sequence[Grey], used: Sequence[Mask]) -> tuple[Grey, Mask]:
    """Median over the layers where they are used; the unused count in turn as darkest and brightest."""
    filled = np.array(layers, np.uint8)
    unused = np.zeros(layers[0].shape, np.uint8)
    for layer, use in zip(filled, used, strict=True):
        np.copyto(layer, (unused & 1) * np.uint8(255), where=~use)
        unused += ~use
    return _middle(filled), len(filled) - unused >= LEAST_SAMPLES


def _middle(layers: Grey) -> Grey:
    """The middle one of the values at each point, the upper of two; leaves the layers in another order.

    Done in whole layers, which takes a tenth of the time of NumPy's partition along the first axis.
    """
    middle, lower = len(layers) // 2, np.empty_like(layers[0])
    for last in range(len(layers) - 1, middle - 1, -1):
        for one, next_one in pairwise(layers[: last + 1]):  # the greater goes on to the next
            np.minimum(one, next_one, out=lower)
            np.maximum(one, next_one, out=next_one)
            one[:] = lower
    return np.asarray(layers[middle], np.uint8)


def plain_difference(picture: Grey, ground: Grey) -> Grey:
    """How far each point differs, grey levels."""
    return np.asarray(cv2.absdiff(picture, ground), np.uint8)


@dataclass(frozen=True, eq=False)
class Parts:
    """The part of each picture that is looked at: its first column, and how many."""

    lefts: NDArray[np.int64]
    width: int


def differences(  # noqa: PLR0913, PLR0917 - the pictures and what each step does to them
    pictures: Sequence[Grey],
    times_s: FloatArray,
    planes: Planes,
    grounds: Sequence[Ground],
    parts: Parts | None = None,
    difference: Callable[[Grey, Grey], Grey] = plain_difference,
    tick: Callable[[], None] = lambda: None,
) -> NDArray[np.uint8]:
    """How far each picture, or a part of it, differs from the empty ground under it; 0 where that is not known.

    Returns
    -------
    ndarray of uint8, shape (n, h, w)
    """
    down, across = pictures[0].shape
    parts = parts or Parts(np.zeros(len(pictures), np.int64), across)
    out = np.empty((len(pictures), down, parts.width), np.uint8)
    ground_times = np.array([times_s[ground.at] for ground in grounds])

    def fill(index: int) -> None:
        ground = grounds[int(np.argmin(np.abs(ground_times - times_s[index])))]
        plane, left = planes(ground.at, index), int(parts.lefts[index])
        kept = np.s_[:, left : left + parts.width]
        if plane is None:
            grey, known = ground.grey[kept], ground.known[kept]
        else:
            plane = _moved(-left) @ plane
            grey = warped(ground.grey, plane, parts.width)
            known = warped(ground.known.astype(np.uint8) * 255, plane, parts.width) > 250
        out[index] = difference(pictures[index][kept], grey)
        out[index][~known] = 0

    side_by_side(fill, range(len(pictures)), tick)
    return out
