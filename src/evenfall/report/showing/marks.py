"""Feet coloured in the picture where and while they stand.

::

        ╭hoof╮      tinted, so that it is still seen
     ───┴────┴───   a ring on the ground around it
          │
          ▲         its sign below every hoof, so that none is covered

Conventions: places are pixels of the shown picture.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from evenfall.contacts import Limb
from evenfall.report.showing.look import INK, PAPER, PICTURE, SHIFT, Picture, foot_colour, sign

__all__ = ["Mark", "draw_marks", "rows_needed"]

RING, FLAT = 0.058, 0.36
HOOF = (0.036, 0.062)
TINT = 0.5
SIGN, LEAST_SIGN, MOST_SIGN = 0.062, 15.0, 30.0
DROP = 0.07
"""Sizes in widths of the horse: the ring's half width and how flat it is, half the tinted hoof's width and its height, the
sign, which is never smaller and never larger than so many pixels, and how far below the lowest hoof it stands."""


@dataclass(frozen=True)
class Mark:
    """A foot to be coloured.

    Parameters
    ----------
    limb : Limb
    x, y : float
        Its sole.
    width : float
        Of the horse.
    lowest : float
        The row of the lowest hoof on the ground just now.
    seen : bool
        Whether landing and lift-off were both seen or marked; a foot with an inferred one gets its ring, no tint.
    """

    limb: Limb
    x: float
    y: float
    width: float
    lowest: float
    seen: bool = True


def draw_marks(picture: Picture, marks: Sequence[Mark], unit: float) -> None:
    """Colour feet in a picture, in place; far ones first.

    Parameters
    ----------
    picture : ndarray
    marks : sequence of Mark
    unit : float
        Pixels to a pixel of a film of 720 lines: what is drawn is never too small.
    """
    for mark in sorted(marks, key=lambda each: each.y):
        if mark.seen:
            _tint(picture, mark)
        _ring(picture, mark, unit)
    for mark in marks:
        _sign(picture, mark, unit)


def _tint(picture: Picture, mark: Mark) -> None:
    """Mix the foot's colour into the hoof, most in its middle."""
    half, high = HOOF[0] * mark.width, HOOF[1] * mark.width
    left, right = round(mark.x - half), round(mark.x + half) + 1
    top, bottom = round(mark.y - high), round(mark.y + 0.2 * high) + 1
    part = picture[max(0, top) : max(0, bottom), max(0, left) : max(0, right)]
    if not part.size:
        return
    rows = np.arange(max(0, top), max(0, top) + part.shape[0])[:, None]
    columns = np.arange(max(0, left), max(0, left) + part.shape[1])[None, :]
    middle = (top + bottom) / 2
    away = ((columns - mark.x) / half) ** 2 + ((rows - middle) / ((bottom - top) / 2)) ** 2
    cover = (TINT * np.clip(1.6 * (1 - away), 0, 1))[..., None]
    part[:] = np.round(part * (1 - cover) + np.array(foot_colour(mark.limb)) * cover).astype(PICTURE)


def _ring(picture: Picture, mark: Mark, unit: float) -> None:
    """A ring flat on the ground around the hoof, its colour between a dark and a light rim."""
    across = max(RING * mark.width, 9.0 * unit)
    middle = round(mark.x * 2**SHIFT), round(mark.y * 2**SHIFT)
    axes = round(across * 2**SHIFT), round(FLAT * across * 2**SHIFT)
    thick = max(2, round(4.5 * unit))
    for colour, wide in ((INK, thick + 2 * max(1, round(unit))), (foot_colour(mark.limb), thick)):
        # open behind the hoof: the ring's far side would run across it
        cv2.ellipse(picture, middle, axes, 0, -25, 205, colour, wide, cv2.LINE_AA, SHIFT)


def rows_needed(row: float, width: float, unit: float) -> float:
    """How far down the sign of a foot that stands at a row reaches."""
    return row + max(DROP * width, _size(width, unit)) + 0.75 * _size(width, unit)


def _sign(picture: Picture, mark: Mark, unit: float) -> None:
    """The foot's sign below the lowest hoof, joined to its ring."""
    size = _size(mark.width, unit)
    row = max(mark.lowest, mark.y) + max(DROP * mark.width, size)
    row = min(row, picture.shape[0] - 0.75 * size)
    begin = mark.y + FLAT * max(RING * mark.width, 9.0 * unit)
    top, bottom = ((round(mark.x * 2**SHIFT), round(y * 2**SHIFT)) for y in (begin, row - size / 2))
    if top[1] < bottom[1]:
        for colour, wide in ((INK, 4), (foot_colour(mark.limb), 2)):
            cv2.line(picture, top, bottom, colour, max(1, round(wide * unit)), cv2.LINE_AA, SHIFT)
    rim = max(1, round(2 * unit))
    box = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * (0.5 * size + rim + 1) + (mark.x, row)
    cv2.fillConvexPoly(picture, np.round(box * 2**SHIFT).astype(np.int32), PAPER, cv2.LINE_AA, SHIFT)
    sign(picture, mark.limb, (mark.x, row), size * 0.86)


def _size(width: float, unit: float) -> float:
    return min(max(SIGN * width, LEAST_SIGN * unit), MOST_SIGN * unit)
