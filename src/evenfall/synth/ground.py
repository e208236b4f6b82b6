"""The ground the horse goes on, in true perspective, with marks that a reader of the film can follow.

The ground is painted in its own paper: a row for each row of the picture, and a column for each fraction
of a metre along the way. A picture samples each row at that row's scale, so feet that stand stay still on it.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from evenfall.synth.brush import Image, Paper
from evenfall.synth.camera import EYE_M, Camera, View
from evenfall.synth.layers import mean_image
from evenfall.timebase import FloatArray

__all__ = ["Ground", "painted_ground"]

REPEAT_M = 24.0
MARGIN = 24  # rows beyond the picture, for the shake
SLICES = (-0.375, -0.125, 0.125, 0.375)  # of a row


@dataclass(frozen=True, eq=False)
class Ground:
    """Painted ground.

    Parameters
    ----------
    camera : Camera
    paint : ndarray, shape (rows, columns, 4)
        From the row ``top_px`` of the picture down; the columns cover `REPEAT_M` and repeat.
    top_px : int
    """

    camera: Camera
    paint: Image
    top_px: int

    def laid(self, picture: Image, view: View) -> None:
        """Lay the ground into the picture, in place.

        Seen aslant, each row lies far beside the next; taken in slices, what lies across the rows has no steps.
        """
        rows = np.arange(self.top_px + MARGIN, self.camera.height, dtype=np.float64)
        seen = [self._seen(rows + part, view) for part in (SLICES if view.swing_m else (0.0,))]
        picture[self.top_px + MARGIN :] = mean_image(seen) if len(seen) > 1 else seen[0]

    def _seen(self, rows: FloatArray, view: View) -> Image:
        columns = self.paint.shape[1]
        per_m = columns / REPEAT_M
        scale = _scale_at(self.camera, rows + 0.5 - view.shake_y)
        per_px = per_m / scale
        middle_m = view.middle_m(self.camera.px_per_m / scale - 1)
        offset = np.arange(self.camera.width) + 0.5 - self.camera.width / 2 - view.shake_x
        map_x = np.multiply.outer(per_px.astype(np.float32), offset.astype(np.float32))
        map_x += ((middle_m * per_m) % columns - 0.5).astype(np.float32)[:, None]
        map_y = np.broadcast_to((rows - self.top_px - view.shake_y)[:, None].astype(np.float32), map_x.shape)
        wrap = cv2.BORDER_WRAP
        seen = cv2.remap(self.paint, map_x, np.ascontiguousarray(map_y), cv2.INTER_LINEAR, borderMode=wrap)
        return np.asarray(seen, np.uint8)


def painted_ground(camera: Camera, rng: np.random.Generator) -> Ground:
    """Paint the ground from a little below the horizon to below the picture."""
    top_px = int(np.floor(camera.horizon_px)) + 3 - MARGIN
    rows = np.arange(top_px, camera.height + MARGIN) + 0.5
    scale = _scale_at(camera, rows)
    z_m = camera.distance_m * (camera.px_per_m / scale - 1)
    columns = int(min(16000, REPEAT_M * camera.px_per_m))
    paint = _painted(z_m, columns, rng)
    _litter(paint, camera, top_px, rng)
    paint = _softened(paint, scale, columns / REPEAT_M)
    whole = np.concatenate([paint, np.ones_like(paint[..., :1])], axis=2)
    image = np.round(np.clip(whole, 0, 1) * 255).astype(np.uint8)
    return Ground(camera, image, top_px)


def _scale_at(camera: Camera, rows: Paper) -> FloatArray:
    """Return pixels to a metre on the ground seen in each row."""
    return np.asarray(np.maximum(rows - camera.horizon_px, 1.5) / EYE_M, np.float64)


def _painted(z_m: FloatArray, columns: int, rng: np.random.Generator) -> Paper:
    """Return sand with harrow lines near by, a grassy verge, and the meadow beyond; blue, green, red."""
    z = z_m[:, None].astype(np.float32)
    fine = sum(
        _noise(rng, z_m, columns, size) * weight
        for size, weight in ((0.03, 0.45), (0.08, 0.4), (0.2, 0.4), (0.8, 0.4))
    )
    broad = _noise(rng, z_m, columns, 3.0)
    harrow = np.sin(z * 24 + 1.5 * _noise(rng, z_m, columns, 2.0)) * np.exp(-np.maximum(z, 0) / 4)
    sand = _bgr(186, 160, 124) * (1 + 0.085 * fine + 0.05 * broad + 0.035 * harrow)[..., None]
    grass = _bgr(112, 132, 66) * (1 + 0.13 * fine + 0.08 * broad)[..., None]
    meadow = _bgr(134, 150, 84) * (1 + 0.05 * fine + 0.10 * broad)[..., None]
    verge = np.clip((z - 6.6 - 0.8 * broad - 0.4 * fine) / 0.5, 0, 1)[..., None]
    far = np.clip((z - 11.5) / 2, 0, 1)[..., None]
    haze = np.clip((z - 20) / 120, 0, 0.6)[..., None]
    paint = sand + (grass - sand) * verge
    paint = paint + (meadow - paint) * far
    return np.asarray(paint + (_bgr(176, 190, 160) - paint) * haze, np.float32)


def _noise(rng: np.random.Generator, z_m: FloatArray, columns: int, size_m: float) -> Paper:
    """Return noise with grains of ``size_m`` on the ground, fading where they get finer than the paint."""
    across = max(4, round(REPEAT_M / size_m))
    cells = rng.normal(size=(256, across)).astype(np.float32)
    map_x = np.broadcast_to(np.arange(columns, dtype=np.float32) * across / columns, (len(z_m), columns))
    map_y = np.broadcast_to((z_m[:, None] / size_m % 256).astype(np.float32), (len(z_m), columns))
    noise = cv2.remap(cells, map_x.copy(), map_y.copy(), cv2.INTER_LINEAR, borderMode=cv2.BORDER_WRAP)
    coarsest_m = np.maximum(np.abs(np.gradient(z_m)), REPEAT_M / columns)
    return np.asarray(noise * np.clip(size_m / (1.5 * coarsest_m) - 0.3, 0, 1)[:, None], np.float32)


def _litter(paint: Paper, camera: Camera, top_px: int, rng: np.random.Generator) -> None:
    """Lay stones, old prints and tufts on the sand, each flattened as its distance asks."""
    columns = paint.shape[1]
    for kind, count in (("print", 150), ("stone", 460), ("tuft", 60)):
        for z_m in _places(camera, count, rng):
            row = camera.ground_row(z_m) - top_px
            flat = camera.scale(z_m) * EYE_M / (camera.distance_m + z_m)  # rows to a metre of depth
            if 2 < row < len(paint) - 2:
                at = (rng.uniform(8, columns - 8), row)
                _mark(paint, kind, at, (columns / REPEAT_M, flat), rng)


def _places(camera: Camera, count: int, rng: np.random.Generator) -> list[float]:
    """Return distances for marks, the farthest first: ``count`` about the horse, and some nearer, if seen."""
    lowest_px = camera.height + MARGIN - camera.horizon_px
    nearest_m = min(-2.2, camera.distance_m * (camera.px_per_m * EYE_M / lowest_px - 1))
    about = rng.uniform(-2.2, 7.5, count)
    nearer = rng.uniform(nearest_m, -2.2, round(count * (-2.2 - nearest_m) / 12))
    return [float(z_m) for z_m in np.sort(np.concatenate([about, nearer]))[::-1]]


def _mark(
    paint: Paper, kind: str, at: tuple[float, float], scale: tuple[float, float], rng: np.random.Generator
) -> None:
    size = {"print": 0.075, "stone": 0.026, "tuft": 0.06}[kind] * rng.uniform(0.6, 1.3)
    wide, high = max(1.0, size * scale[0]), max(0.6, size * scale[1] * (1.5 if kind == "print" else 2.2))
    light = rng.uniform(0.9, 1.15)
    if kind == "print":
        _spot(paint, (at[0], at[1] + 0.6 * high), (wide, high), _bgr(196, 171, 134))
        _spot(paint, at, (wide, high), _bgr(158, 133, 101))
    elif kind == "stone":
        _spot(paint, (at[0] + 0.5 * wide, at[1] + 0.5 * high), (wide * 1.2, high), _bgr(112, 94, 74))
        _spot(paint, at, (wide, high), _bgr(170, 166, 160) * light)
        _spot(
            paint,
            (at[0] - 0.2 * wide, at[1] - 0.3 * high),
            (wide * 0.5, high * 0.5),
            _bgr(208, 205, 198) * light,
        )
    else:
        _spot(paint, (at[0], at[1] + 0.4 * high), (wide * 1.1, high * 0.6), _bgr(120, 106, 78))
        for _ in range(16):  # short blades: they lie in the ground, and long ones would lean as they go by
            lean = rng.normal(0, 0.6) * wide
            blade = _bgr(98, 124, 58) * rng.uniform(0.75, 1.2)
            ends = [
                (round(at[0] + 0.75 * lean), round(at[1] + rng.uniform(0, 0.5) * high)),
                (round(at[0] + lean), round(at[1] - wide * rng.uniform(0.15, 0.4))),
            ]
            cv2.line(paint, ends[0], ends[1], blade.tolist(), max(1, round(0.01 * scale[0])), cv2.LINE_8)


def _spot(paint: Paper, centre: tuple[float, float], radii: tuple[float, float], colour: Paper) -> None:
    middle = (round(centre[0]), round(centre[1]))
    size = (max(1, round(radii[0])), max(0, round(radii[1])))
    cv2.ellipse(paint, middle, size, 0, 0, 360, colour.tolist(), -1)


def _softened(paint: Paper, scale: FloatArray, per_m: float) -> Paper:
    """Blur each row as much as it will be shrunk, so that nothing shimmers far away."""
    soft = cv2.GaussianBlur(paint, (0, 0), 0.7)
    for row, shrink in enumerate(per_m / scale):
        if shrink > 1.3:
            width = int(min(shrink, 200)) | 1
            soft[row : row + 1] = cv2.blur(soft[row : row + 1], (width, 1))
    return np.asarray(soft, np.float32)


def _bgr(red: float, green: float, blue: float) -> Paper:
    return np.asarray([blue / 255, green / 255, red / 255], np.float32)
