"""Halves of one stance put together.

A pale hoof under a dark leg does not stand out, and what is seen to stand is the pastern above it, which
moves on a hand's breadth while the foot is down: one stance gives two short bars, the second a little
further on. Two bars too short for a stance each, that follow so, are one.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.camera import CameraPath
from evenfall.timebase import FloatArray

__all__ = ["joined_halves"]

SHORT_REACH = 0.27
"""Way the horse goes over one foot, in its widths, under which a bar may be half a stance (our choice)."""

ONWARD = (0.012, 0.14)
LEVEL = 0.05
APART_S = 0.1


def joined_halves(bars: Sequence[Bar], speed: float, camera: CameraPath, width: FloatArray) -> list[Bar]:
    """Put halves of stances together.

    Parameters
    ----------
    bars : sequence of Bar
        In order of time.
    speed : float
        Of the horse, its widths a second; its sign as the picture's.
    camera : CameraPath
    width : ndarray, shape (n,)
        The horse's width in every picture.

    Returns
    -------
    list of Bar
        In order of time.
    """
    out: list[Bar] = []
    for bar in sorted(bars, key=lambda b: b.start_s):
        before = next((b for b in reversed(out) if _follows(b, bar, speed, (camera, width))), None)
        if before is None:
            out.append(bar)
        else:
            out[out.index(before)] = _joined(before, bar)
    return out


def _follows(a: Bar, b: Bar, speed: float, where: tuple[CameraPath, FloatArray]) -> bool:
    """Whether ``b`` goes on where ``a`` stood."""
    camera, width = where
    if a.is_hind != b.is_hind or a.rough_off or b.rough_on:
        return False
    if max((bar.to_s - bar.from_s) * abs(speed) for bar in (a, b)) > SHORT_REACH:
        return False
    if not (a.start_s + APART_S < b.start_s <= a.end_s + APART_S and b.end_s > a.end_s + APART_S):
        return False
    across, down = (camera.carried_to(b.point, b.at, a.at) - a.point) / width[a.at]
    return bool(ONWARD[0] < across * np.sign(speed) < ONWARD[1] and abs(down) < LEVEL)


def _joined(a: Bar, b: Bar) -> Bar:
    """One bar that lands as the first and leaves as the second, with as many looks as both have."""
    looks = [_span(one, two) for one in a.looks for two in b.looks[:1]]
    looks += [_span(a, two) for two in b.like]
    return replace(looks[0], like=tuple(looks[1:]))


def _span(a: Bar, b: Bar) -> Bar:
    return replace(
        a,
        off_s=b.off_s,
        end_s=b.end_s,
        rough_off=b.rough_off,
        along=(a.along[0], b.along[1]),
        contrast=min(a.contrast, b.contrast),
        held_s=a.held_s + b.held_s,
        like=(),
    )
