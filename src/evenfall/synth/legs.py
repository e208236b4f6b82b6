"""Legs, drawn anew in each picture: a smooth outline about the bones, lit from ahead.

Conventions: joints come in pixels of the canvas; widths are metres and become pixels by ``px_per_m``.
The canvas is uint8, blue, green, red and cover, colours multiplied by the cover.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from evenfall.synth.brush import closed_curve
from evenfall.synth.coats import Coat, Colour, blend, darker
from evenfall.synth.layers import Layer, blank_layer, fill, smooth_ramp
from evenfall.timebase import FloatArray

__all__ = ["FORE", "HIND", "LegPaint", "drawn_leg", "drawn_thigh", "leg_paint"]

# Along the bones from the top: bone, share of its length, half width ahead and behind, metres.
PASTERN = [(0.35, 0.033, 0.033), (0.70, 0.033, 0.033), (1.02, 0.047, 0.044)]
FORE = np.array([
    (0, -0.12, 0.118, 0.115), (0, 0.12, 0.108, 0.096), (0, 0.38, 0.084, 0.068), (0, 0.64, 0.056, 0.051),
    (0, 0.85, 0.046, 0.046), (0, 1.00, 0.050, 0.046), (1, 0.14, 0.045, 0.044), (1, 0.32, 0.032, 0.037),
    (1, 0.60, 0.029, 0.036), (1, 0.84, 0.032, 0.039), (1, 1.00, 0.040, 0.049), *((2, *p) for p in PASTERN),
])  # fmt: skip
HIND = np.array([
    (1, -0.02, 0.050, 0.090), (1, 0.14, 0.092, 0.122), (1, 0.38, 0.086, 0.096), (1, 0.64, 0.058, 0.064),
    (1, 0.86, 0.043, 0.056), (1, 1.00, 0.046, 0.072), (2, 0.12, 0.045, 0.060), (2, 0.28, 0.036, 0.043),
    (2, 0.58, 0.031, 0.038), (2, 0.84, 0.033, 0.041), (2, 1.00, 0.040, 0.051), *((3, *p) for p in PASTERN),
])  # fmt: skip
HOOF = closed_curve([(0.004, 0.0), (-0.022, 0.042), (-0.044, 0.090), (-0.085, 0.082), (-0.120, 0.052), (-0.124, 0.0),
                     (-0.06, -0.001)], 4)  # fmt: skip
HOOF_SHINE = closed_curve([(-0.018, 0.010), (-0.050, 0.076), (-0.074, 0.070), (-0.056, 0.012)], 4)
FINE = 5  # points of the outline from one station to the next
# Bands from the edge inward: width, brightness.
BANDS = ((1.0, 0.64), (0.92, 0.72), (0.83, 0.80), (0.72, 0.87), (0.60, 0.94), (0.46, 1.0), (0.30, 1.05))
SOCK_STATION = 8.2
RAMP_M = (0.24, 0.0)  # the coat turns into the points between these heights above knee or hock


@dataclass(frozen=True)
class LegPaint:
    """The colours of a leg: above and below the knee, the sock if it has one, the hoof."""

    upper: Colour
    lower: Colour
    sock: Colour | None
    hoof: Colour


def leg_paint(coat: Coat, *, sock: bool, shade: float) -> LegPaint:
    """Return the paint of one leg, ``shade`` times as bright as in the light."""
    white: Colour = (226.0, 222.0, 214.0)
    hoof: Colour = (150, 132, 110) if sock else coat.hoof
    upper = darker(blend(coat.body, coat.points, 0.06), shade)
    return LegPaint(
        upper, darker(coat.points, shade), darker(white, shade) if sock else None, darker(hoof, shade)
    )


def drawn_leg(
    joints: FloatArray, hoof_rad: float, paint: LegPaint, form: FloatArray, px_per_m: float
) -> Layer:
    """Draw one leg on a layer of its own.

    Parameters
    ----------
    joints : ndarray, shape (5 or 6, 2)
        Joints from the top down, pixels, y down.
    hoof_rad : float
        Angle of the hoof, radians.
    paint : LegPaint
    form : ndarray
        `FORE` or `HIND`.
    px_per_m : float
    """
    middle, ahead = _stations(joints, form)
    fine = _finer(len(form))
    front = fine @ (ahead * form[:, 2:3] * px_per_m)
    back = fine @ (-ahead * form[:, 3:4] * px_per_m)
    bands = list(_bands(fine @ middle, front, back))
    hoof = [_hoof(shape, joints[-1], hoof_rad, px_per_m) for shape in (HOOF, HOOF_SHINE)]
    layer = blank_layer([bands[0][0], hoof[0]])
    _fill_bands(layer, bands, paint.lower)
    _turn_into_coat(layer, bands, paint, joints[1 if form is FORE else 2, 1] - np.array(RAMP_M) * px_per_m)
    if paint.sock:
        _fill_bands(layer, list(_bands(fine @ middle, front, back, SOCK_STATION)), paint.sock)
    for shape, light in zip(hoof, (0.8, 1.25), strict=True):
        fill(layer, shape, darker(paint.hoof, light))
    return layer


def drawn_thigh(outline: FloatArray, paint: LegPaint) -> Layer:
    """Draw the thigh, given its outline in pixels, shape (n, 2)."""
    middle = outline.mean(0) + 0.06 * (outline.max(0) - outline.min(0)) * [0.5, -0.6]
    layer = blank_layer([outline])
    for inward in np.linspace(0, 1, 14):
        light = 0.72 + 0.36 * np.sqrt(1 - (1 - inward) ** 2)
        fill(layer, middle + (outline - middle) * (1 - 0.75 * inward), darker(paint.upper, light))
    return layer


Band = tuple[FloatArray, float]  # outline in pixels, brightness


def _bands(middle: FloatArray, front: FloatArray, back: FloatArray, start: float = 0.0) -> Iterator[Band]:
    first = int(start * FINE)
    for width, light in BANDS:
        lean = 0.16 * (1 - width) * (front - back)
        ahead, behind = middle + front * width + lean, middle + back * width + lean
        yield np.vstack([ahead[first:], behind[first:][::-1]]), light


def _fill_bands(layer: Layer, bands: Sequence[Band], colour: Colour) -> None:
    for outline, light in bands:
        fill(layer, outline, darker(colour, light))


def _turn_into_coat(layer: Layer, bands: Sequence[Band], paint: LegPaint, rows: FloatArray) -> None:
    """Paint the upper leg in the colour of the coat, which turns into the points' between ``rows``."""
    first, last = (int(np.clip(row - layer.top, 0, len(layer.image))) for row in np.round(rows))
    upper = Layer(np.zeros_like(layer.image[:last]), layer.left, layer.top)
    _fill_bands(upper, bands, paint.upper)
    layer.image[:first] = upper.image[:first]
    if last > first:
        share = smooth_ramp(last - first)[:, None, None]
        mixed = upper.image[first:last] * (1 - share) + layer.image[first:last] * share
        layer.image[first:last] = mixed.astype(np.uint8)


def _stations(joints: FloatArray, stations: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the middle line at each station, and the direction that is ahead there, both (n, 2)."""
    bones = np.diff(joints, axis=0)
    units = bones / np.maximum(np.hypot(bones[:, 0], bones[:, 1])[:, None], 1e-9)
    bone, share = stations[:, 0].astype(int), stations[:, 1]
    middle = joints[bone] + bones[bone] * share[:, None]
    toward_next = np.clip((share - 0.7) / 0.6, 0, 0.5)[:, None]
    toward_last = np.clip((0.3 - share) / 0.6, 0, 0.5)[:, None]
    mixed = units[bone] * (1 - toward_next - toward_last)
    mixed = mixed + units[bone + 1] * toward_next + units[np.maximum(bone - 1, 0)] * toward_last
    mixed = mixed / np.hypot(mixed[:, 0], mixed[:, 1])[:, None]
    return middle, np.column_stack([mixed[:, 1], -mixed[:, 0]])


@cache
def _finer(n: int) -> FloatArray:
    """Return the matrix that runs a smooth curve through ``n`` stations."""
    knots = np.vstack([2 * np.eye(n)[0] - np.eye(n)[1], np.eye(n), 2 * np.eye(n)[-1] - np.eye(n)[-2]])
    t = (np.arange(FINE) / FINE)[:, None]
    rows = [
        0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
        for a, b, c, d in zip(knots[:-3], knots[1:-2], knots[2:-1], knots[3:], strict=True)
    ]
    return np.vstack([*rows, np.eye(n)[-1:]])


def _hoof(shape: FloatArray, toe: FloatArray, angle: float, px_per_m: float) -> FloatArray:
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    return np.asarray(toe + (shape @ turn.T) * [px_per_m, -px_per_m])
