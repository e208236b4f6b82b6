"""How much lower one standing leg is seen than another, by laying their pictures over each other.

Near and far legs of a pair have one shape: cannon, fetlock, pastern. The sole may be lost in the shade, or a lit hoof be as
grey as it; the leg above stands out from the ground. What is taken is a leg in the middle of its stance, when every leg
leans alike.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.trace import ABOVE, Trace
from evenfall.timebase import FloatArray

__all__ = ["Shape", "how_much_lower", "leg_shape"]

WIDTH_PX = 240.0
"""Pixels to a horse's width in which legs are compared."""

MIDDLE = (0.3, 0.7)
"""The part of a stance that counts as its middle."""

FROM, TO = 0.02, 0.13
"""The rows compared, widths above the place where it stands: above the shade, as high as the patch reaches."""

DOWN, ASIDE = 0.02, 0.025
"""How far the two are moved over each other to find how they fit best, widths."""

LEAST_LIKE = 0.5
"""Correlation under which they are not of one shape (our choice; legs of drawn horses have 0.7 to 0.95)."""


@dataclass(frozen=True, eq=False)
class Shape:
    """A standing leg.

    Parameters
    ----------
    picture : ndarray of float32, shape (h, w)
        How it differs from the ground, 240 pixels to a horse's width; the place where it stands lies in row 36.
    point : ndarray, shape (2,)
        The place where it stands, in the bar's picture.
    """

    picture: NDArray[np.float32]
    point: FloatArray


def leg_shape(trace: Trace, times_s: FloatArray, on_s: float, off_s: float) -> Shape | None:
    """The leg that stands at a place from landing to lift-off; None where too few pictures show it.

    Parameters
    ----------
    trace : Trace
    times_s : ndarray, shape (m,)
        Of the trace's pictures.
    on_s, off_s : float
    """
    start_s, end_s = (on_s + share * (off_s - on_s) for share in MIDDLE)
    middle = (times_s > start_s) & (times_s < end_s)
    if middle.sum() < 2:
        return None
    standing = np.abs(np.median(trace.differs[middle], axis=0)).astype(np.float32)
    scale = WIDTH_PX / trace.width_px
    size = tuple(round(scale * side) for side in standing.shape[::-1])
    picture = np.asarray(cv2.resize(standing, size, interpolation=cv2.INTER_LINEAR), np.float32)
    return Shape(picture, trace.place.point)


def how_much_lower(one: Shape, other: Shape) -> float | None:
    """How much lower over its place the one leg is than the other over its own, widths; None where they are not alike."""
    top, bottom = (round((ABOVE - share) * WIDTH_PX) for share in (TO, FROM))
    down, aside = round(DOWN * WIDTH_PX), round(ASIDE * WIDTH_PX)
    start = max(0, top - down)
    part, around = one.picture[top:bottom, aside:-aside], other.picture[start : bottom + down]
    if any(a < b for a, b in zip(around.shape, part.shape, strict=True)):
        return None
    fit = cv2.matchTemplate(around, part, cv2.TM_CCOEFF_NORMED)
    row, column = np.unravel_index(int(np.argmax(fit)), fit.shape)
    if fit[row, column] < LEAST_LIKE:
        return None
    return float((top - start - _peak(np.asarray(fit[:, column], np.float64), int(row))) / WIDTH_PX)


def _peak(values: NDArray[np.floating], at: int) -> float:
    """Where a parabola through the highest value and its neighbours is highest."""
    if not 0 < at < len(values) - 1:
        return float(at)
    before, here, after = (float(value) for value in values[at - 1 : at + 2])
    bend = before - 2 * here + after
    return at + (0.5 * (before - after) / bend if bend < 0 else 0.0)
