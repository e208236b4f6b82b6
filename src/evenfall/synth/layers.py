"""Canvases laid over one another.

Conventions: a canvas is uint8, shape (height, width, 4): blue, green, red and cover, the colours
multiplied by the cover. Pixels count from the upper left corner.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from evenfall.synth.brush import SHIFT, Image
from evenfall.synth.coats import Colour
from evenfall.timebase import FloatArray

__all__ = ["Layer", "blank_layer", "faded", "fill", "lay_in", "lay_over", "mean_image", "smooth_ramp"]


@dataclass(frozen=True, eq=False)
class Layer:
    """A small canvas, and the pixel of the large one where its upper left corner goes."""

    image: Image
    left: int
    top: int


def blank_layer(outlines: Sequence[FloatArray]) -> Layer:
    """Return a clear layer large enough for the outlines."""
    low = np.floor(np.min([outline.min(0) for outline in outlines], axis=0)).astype(int) - 2
    high = np.ceil(np.max([outline.max(0) for outline in outlines], axis=0)).astype(int) + 3
    return Layer(np.zeros((high[1] - low[1], high[0] - low[0], 4), np.uint8), int(low[0]), int(low[1]))


def fill(layer: Layer, outline: FloatArray, colour: Colour) -> None:
    """Fill a shape given in pixels of the large canvas."""
    points = np.round((outline - [layer.left + 0.5, layer.top + 0.5]) * 2**SHIFT).astype(np.int32)
    red, green, blue = colour
    cv2.fillPoly(layer.image, [points], (blue, green, red, 255), cv2.LINE_AA, SHIFT)


def lay_in(canvas: Image, layer: Layer) -> None:
    """Lay a small layer over the canvas, as far as it falls on it."""
    high, wide = layer.image.shape[:2]
    top, left = max(0, layer.top), max(0, layer.left)
    part = canvas[top : max(0, layer.top + high), left : max(0, layer.left + wide)]
    if part.size:
        image = layer.image[top - layer.top :, left - layer.left :][: part.shape[0], : part.shape[1]]
        lay_over(part, np.ascontiguousarray(image))


def lay_over(canvas: Image, layer: Image) -> None:
    """Lay a layer over a canvas, both with cover, in place."""
    through = 255 - layer[..., 3]
    cv2.multiply(canvas, cv2.merge([through] * 4), canvas, 1 / 255)
    cv2.add(canvas, layer, canvas)


def faded(layer: Layer, rows: tuple[int, int]) -> Layer:
    """Return a layer that is clear above the first of two rows and grows to whole at the second."""
    first, last = (min(max(0, row - layer.top), len(layer.image)) for row in rows)
    image = layer.image.copy()
    image[:first] = 0
    ramp = smooth_ramp(max(1, rows[1] - rows[0]))[first + layer.top - rows[0] :][: last - first]
    image[first:last] = (image[first:last] * ramp[:, None, None]).astype(np.uint8)
    return Layer(image, layer.left, layer.top)


def mean_image(images: Sequence[Image]) -> Image:
    """Return the mean of several canvases: what an open shutter gathers."""
    total = np.zeros(images[0].shape, np.float32)
    for image in images:
        cv2.accumulate(image, total)
    return np.asarray(cv2.convertScaleAbs(total, alpha=1 / len(images)), np.uint8)


def smooth_ramp(n: int) -> FloatArray:
    """Return ``n`` values that rise smoothly from 0 towards 1."""
    share = (np.arange(n) + 0.5) / n
    return np.asarray(share**2 * (3 - 2 * share))
