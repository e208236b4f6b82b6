"""White legs, and pale hooves under them: what is brighter than the ground, or dark and narrow.

A pale hoof is hardly darker than sand, and the horse's shadow beside it is darker than the hoof. A shadow is wide and
never brighter than the ground; a hoof is narrow. So where a horse has white legs, of what is darker than the ground only
that is kept that is narrower than a hoof and a half.
"""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.ground import BLUR_PX, Ground
from evenfall.contacts.film.horse import HorsePath
from evenfall.timebase import FloatArray

__all__ = ["HOOF_WIDE", "has_white_legs", "narrow", "narrow_difference"]

Grey = NDArray[np.uint8]

SHADOW_WIDE, HOOF_WIDE = 0.13, (0.06, 0.08)
"""What is dark and wider than this, in widths of the horse, is shade: in the small picture, where the hoof's own shade comes
with it, and at one foot's place, where it is told in two ways (our choice: a hoof is about 0.05)."""

LEG_ROWS = (0.22, 0.06)
"""From where to where above the ground the legs are looked at, widths: above the hooves."""

PLAIN, PLAIN_SHARE = 8.0, 0.3
"""How far a point must differ, grey levels and of the most that does, to count."""

WHITE = 0.04
"""Share of what differs there that is brighter than the ground, from which on legs are white (our choice: 0.08 to 0.20 in
drawn horses with white socks, up to 0.06 in palominos, at most 0.01 in others and in eight ridden walks)."""


def has_white_legs(pictures: Sequence[Grey], grounds: Sequence[Ground], horse: HorsePath) -> bool:
    """Whether legs are brighter than the ground, in the pictures that the grounds are laid onto.

    Parameters
    ----------
    pictures : sequence of ndarray of uint8, shape (h, w)
    grounds : sequence of Ground
    horse : HorsePath
        In pixels of the pictures.
    """
    legs = [_legs(pictures[ground.at], ground, horse) for ground in grounds]
    bright, both = np.sum([_shares(part) for part in legs if part.size] or [(0.0, 0.0)], axis=0)
    return bool(bright > WHITE * both)


def _legs(picture: Grey, ground: Ground, horse: HorsePath) -> FloatArray:
    """How much brighter the legs' rows are than the ground, grey levels; 0 where that is not known."""
    k = ground.at
    top, bottom = (max(0, int(horse.bottom[k] - share * horse.width[k])) for share in LEG_ROWS)
    rows = np.s_[top:bottom, max(0, int(horse.left[k])) : max(0, int(horse.right[k]))]
    a, b = (cv2.GaussianBlur(grey, (0, 0), BLUR_PX).astype(float) for grey in (picture, ground.grey))
    return np.where(ground.known, a - b, 0.0)[rows]


def _shares(part: FloatArray) -> tuple[float, float]:
    """How much is plainly brighter than the ground, and how much plainly differs."""
    amount = np.abs(part)
    plain = amount > max(PLAIN, PLAIN_SHARE * float(np.percentile(amount, 95)))
    return float(part[plain & (part > 0)].sum()), float(amount[plain].sum())


def narrow_difference(picture: Grey, ground: Grey, width: float) -> Grey:
    """How far each point is brighter than the ground, or darker within something narrow; ``width`` of the horse, pixels."""
    a, b = (cv2.GaussianBlur(grey, (0, 0), BLUR_PX) for grey in (picture, ground))
    dark = cv2.subtract(b, a)
    shade = cv2.dilate(_wide(dark, SHADOW_WIDE * width), np.ones((3, 3), np.uint8))
    return np.asarray(cv2.max(cv2.subtract(a, b), cv2.subtract(dark, shade)), np.uint8)


def narrow(differs: NDArray[np.float32], wide: float) -> NDArray[np.float32]:
    """The same of patches, shape (m, h, w), that are told as differences, darker negative; ``wide`` in pixels."""
    dark = np.maximum(-differs, 0)
    shade = np.stack([_wide(part, wide) for part in dark])
    return np.asarray(np.maximum(differs, 0) - (dark - shade), np.float32)


def _wide(dark: cv2.typing.MatLike, size: float) -> cv2.typing.MatLike:
    """What stays of it where only what is wider than so many pixels counts."""
    row = np.ones((1, max(3, int(size))), np.uint8)
    return cv2.morphologyEx(dark, cv2.MORPH_OPEN, row, borderType=cv2.BORDER_REPLICATE)
