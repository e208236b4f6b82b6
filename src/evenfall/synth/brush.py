"""Paint for pictures made once: smooth shapes, roundness, strands of hair.

Conventions: shapes are points in metres, shape (n, 2), x forward, y up; a `Sheet` turns them into
pixels. Paper is float32, red, green, blue and cover, 0 to 1, colours not yet multiplied by the cover.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenfall.synth.coats import Colour
from evenfall.timebase import FloatArray

__all__ = ["Image", "Paper", "Sheet", "closed_curve", "open_curve", "spots"]

Image = NDArray[np.uint8]
Paper = NDArray[np.floating[Any]]
LIGHT = np.array([0.30, 0.74, 0.60])  # towards the sun: ahead, up, towards the camera
SHIFT = 4  # bits of a pixel's fraction that OpenCV reads


@dataclass(frozen=True)
class Sheet:
    """A piece of paper in the plane of the horse.

    Parameters
    ----------
    left_m, right_m, bottom_m, top_m : float
        Its edges.
    px_per_m : float
        Pixels to a metre.
    """

    left_m: float
    right_m: float
    bottom_m: float
    top_m: float
    px_per_m: float

    @property
    def size(self) -> tuple[int, int]:
        """Width and height, pixels."""
        wide, high = self.right_m - self.left_m, self.top_m - self.bottom_m
        return max(1, round(wide * self.px_per_m)), max(1, round(high * self.px_per_m))

    def blank(self) -> Paper:
        """Return paper without paint, shape (height, width, 4)."""
        wide, high = self.size
        return np.zeros((high, wide, 4), np.float32)

    def pixels(self, points: FloatArray) -> NDArray[np.int32]:
        """Return points as OpenCV takes them: pixels times 16, rounded."""
        scaled = (points - [self.left_m, self.top_m]) * [self.px_per_m, -self.px_per_m] - 0.5
        return np.asarray(np.round(scaled * 2**SHIFT), np.int32)

    def around(self, paper: Paper, shape: FloatArray, margin_m: float) -> tuple["Sheet", Paper]:
        """Return the part of sheet and paper about a shape; painting on it paints on the whole."""
        low = np.floor((shape.min(0) - margin_m - [self.left_m, self.top_m]) * self.px_per_m).astype(int)
        high = np.ceil((shape.max(0) + margin_m - [self.left_m, self.top_m]) * self.px_per_m).astype(int)
        left, top = max(0, int(low[0])), max(0, -int(high[1]))
        part = paper[top : max(0, -int(low[1])), left : max(0, int(high[0]))]
        x_m, y_m = self.left_m + left / self.px_per_m, self.top_m - top / self.px_per_m
        right_m, bottom_m = x_m + part.shape[1] / self.px_per_m, y_m - part.shape[0] / self.px_per_m
        return Sheet(x_m, right_m, bottom_m, y_m, self.px_per_m), part

    def grid(self) -> tuple[Paper, Paper]:
        """Return x and y of every pixel's middle, metres."""
        wide, high = self.size
        x_m = self.left_m + (np.arange(wide, dtype=np.float32) + 0.5) / self.px_per_m
        y_m = self.top_m - (np.arange(high, dtype=np.float32) + 0.5) / self.px_per_m
        across, down = np.meshgrid(x_m, y_m)
        return across.astype(np.float32), down.astype(np.float32)

    def mask(self, points: FloatArray, soft_m: float = 0.0) -> Paper:
        """Return the cover of a filled shape, its edge blurred by ``soft_m``."""
        wide, high = self.size
        cover = np.zeros((high, wide), np.uint8)
        cv2.fillPoly(cover, [self.pixels(points)], 255, cv2.LINE_AA, SHIFT)
        return _blurred(cover.astype(np.float32) / 255, soft_m * self.px_per_m)

    def line(self, points: FloatArray, width_m: float, soft_m: float = 0.0) -> Paper:
        """Return the cover of a line of constant width."""
        wide, high = self.size
        cover = np.zeros((high, wide), np.uint8)
        thick = max(1, round(width_m * self.px_per_m))
        cv2.polylines(cover, [self.pixels(points)], False, 255, thick, cv2.LINE_AA, SHIFT)
        return _blurred(cover.astype(np.float32) / 255, soft_m * self.px_per_m)

    def fill(self, paper: Paper, cover: Paper, colour: Colour | Paper, strength: float = 1.0) -> None:
        """Lay paint over the paper where ``cover`` says, adding to what it covers."""
        part = _inked(cover)
        paint = colour[part] if isinstance(colour, np.ndarray) else np.asarray(colour, np.float32) / 255
        share = (cover[part] * strength)[..., None]
        under, bare = paper[part], 1 - share
        total = share + under[..., 3:] * bare
        mixed = paint * share + under[..., :3] * under[..., 3:] * bare
        paper[part] = np.concatenate([mixed / np.maximum(total, 1e-6), total], axis=2)

    def tint(self, paper: Paper, cover: Paper, colour: Colour, strength: float = 1.0) -> None:
        """Lay paint only where there is some already."""
        part = _inked(cover)
        share = (cover[part] * strength)[..., None]
        under = paper[part][..., :3]
        under += (np.asarray(colour, np.float32) / 255 - under) * share

    def roundness(self, cover: Paper, radius_m: float, soft_m: float, bumps: Paper | None = None) -> Paper:
        """Return how a shape puffed up to ``radius_m`` catches the light, about 0.4 to 1.3."""
        inside = cv2.distanceTransform((cover > 0.5).astype(np.uint8), cv2.DIST_L2, 5) / self.px_per_m
        rise = 1 - np.minimum(inside / radius_m, 1)
        height = radius_m * np.sqrt(np.maximum(1 - rise**2, 0)).astype(np.float32)
        height = _blurred(height, soft_m * self.px_per_m)
        if bumps is not None:
            height = height + bumps
        return self._lit(height)

    def _lit(self, height: Paper) -> Paper:
        slope_x = np.gradient(height, axis=1) * self.px_per_m
        slope_y = -np.gradient(height, axis=0) * self.px_per_m
        size = np.sqrt(slope_x**2 + slope_y**2 + 1)
        facing = (-slope_x * LIGHT[0] - slope_y * LIGHT[1] + LIGHT[2]) / size
        sheen = np.maximum(facing, 0) ** 14
        return np.asarray(0.60 + 0.55 * np.maximum(facing, -0.30) + 0.22 * sheen, np.float32)

    def hair(self, paper: Paper, strands: Iterable[tuple[FloatArray, Colour]], width_m: float) -> None:
        """Lay strands of hair, each a line with its colour, one over the other."""
        wide, high = self.size
        canvas, thick = np.zeros((high, wide, 4), np.uint8), max(1, round(width_m * self.px_per_m))
        for points, (red, green, blue) in strands:
            ink = (min(red, 255), min(green, 255), min(blue, 255), 255)
            cv2.polylines(canvas, [self.pixels(points)], False, ink, thick, cv2.LINE_AA, SHIFT)
        cover = canvas[..., 3].astype(np.float32) / 255
        self.fill(paper, cover, canvas[..., :3] / np.maximum(canvas[..., 3:], 1).astype(np.float32))

    def shade(self, paper: Paper, light: Paper, cover: Paper | None = None) -> None:
        """Darken and brighten what is painted by ``light`` (1 leaves it), where ``cover`` says."""
        factor = light if cover is None else 1 + (light - 1) * cover
        paper[..., :3] *= factor[..., None]
        np.clip(paper[..., :3], 0, 1, out=paper[..., :3])


def closed_curve(points: ArrayLike, per_piece: int = 8) -> FloatArray:
    """Return a smooth closed curve through ``points``, shape (n × per_piece, 2), metres."""
    knots = np.asarray(points, np.float64)
    return _spline(np.roll(knots, 1, 0), knots, np.roll(knots, -1, 0), np.roll(knots, -2, 0), per_piece)


def open_curve(points: ArrayLike, per_piece: int = 8) -> FloatArray:
    """Return a smooth open curve through ``points``, metres."""
    knots = np.asarray(points, np.float64)
    padded = np.vstack([2 * knots[0] - knots[1], knots, 2 * knots[-1] - knots[-2]])
    curve = _spline(padded[:-3], padded[1:-2], padded[2:-1], padded[3:], per_piece)
    return np.vstack([curve, knots[-1:]])


def spots(sheet: Sheet, centres: list[tuple[float, float, float, float, float]]) -> Paper:
    """Return the sum of soft hills, each given as x, y, reach along x, reach along y and height, metres."""
    x_m, y_m = sheet.grid()
    total = np.zeros_like(x_m)
    for x, y, wide, high, rise in centres:
        total += rise * np.exp(-(((x_m - x) / wide) ** 2) - ((y_m - y) / high) ** 2)
    return total


def _spline(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray, n: int) -> FloatArray:
    """Catmull-Rom pieces from ``b`` to ``c``, ``n`` points each."""
    t = (np.arange(n) / n)[None, :, None]
    a, b, c, d = (knots[:, None, :] for knots in (a, b, c, d))
    curve = 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
    return np.asarray(curve.reshape(-1, 2))


def _inked(cover: Paper) -> tuple[slice, slice]:
    """Return the rows and columns outside which nothing is covered."""
    left, top, wide, high = cv2.boundingRect((cover > 0.001).astype(np.uint8))
    return slice(top, top + high), slice(left, left + wide)


def _blurred(image: Paper, sigma_px: float) -> Paper:
    if sigma_px < 0.3:
        return image
    return np.asarray(cv2.GaussianBlur(image, (0, 0), sigma_px), np.float32)
