"""What stands behind the horse: sky, hills, trees, a rail fence and the ground.

Everything is painted once, as bands that repeat along the way, and moved past the camera by fractions of
a pixel. Each band keeps one distance, the ground has its true perspective row by row.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from evenfall.synth.brush import Image, Paper
from evenfall.synth.camera import Camera, View
from evenfall.synth.ground import Ground, painted_ground
from evenfall.synth.layers import lay_over
from evenfall.synth.scenery import FENCE_Z_M, TREES_Z_M, painted_fence, painted_sky, painted_trees

__all__ = ["Backdrop", "prepared_backdrop"]

SKY_Z_M = 260.0
MARGIN_PX = 40  # rows beyond the picture, for the shake


@dataclass(frozen=True, eq=False)
class Band:
    """A strip of scenery at one distance.

    Parameters
    ----------
    paint : ndarray, shape (rows, width of one repeat + picture + 4, 4)
        Blue, green, red and cover, multiplied by the cover.
    repeat_px : int
    top_px : int
        Row of the picture where it begins.
    px_per_m : float
        How fast it goes by.
    away : float
        How far behind the horse it stands, as a multiple of the camera's distance to the horse.
    """

    paint: Image
    repeat_px: int
    top_px: int
    px_per_m: float
    away: float

    def laid(self, picture: Image, view: View) -> None:
        """Lay the strip over the picture, in place."""
        top = max(0, self.top_px)
        rows = max(0, min(len(picture), self.top_px + len(self.paint)) - top)
        shift_x = (float(view.middle_m(self.away)) * self.px_per_m - view.shake_x) % self.repeat_px
        matrix = np.array([[1.0, 0.0, shift_x], [0.0, 1.0, top - self.top_px - view.shake_y]])
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        size = (picture.shape[1], rows)
        moved = cv2.warpAffine(self.paint, matrix, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
        lay_over(picture[top : top + rows], np.asarray(moved, np.uint8))


@dataclass(frozen=True, eq=False)
class Backdrop:
    """All the scenery of a film."""

    bands: tuple[Band, ...]
    ground: Ground

    def drawn(self, view: View) -> Image:
        """Return the picture without the horse, shape (height, width, 4); the last part means nothing."""
        camera = self.ground.camera
        picture = np.zeros((camera.height, camera.width, 4), np.uint8)
        self.bands[0].laid(picture, view)
        self.ground.laid(picture, view)
        for band in self.bands[1:]:
            band.laid(picture, view)
        return picture


def prepared_backdrop(camera: Camera, seed: int) -> Backdrop:
    """Paint the scenery for a camera."""
    sky = painted_sky(camera, MARGIN_PX, np.random.default_rng([seed, 21]))
    trees, trees_top = painted_trees(camera, np.random.default_rng([seed, 22]))
    fence, fence_top = painted_fence(camera, np.random.default_rng([seed, 23]))
    bands = (
        _band(sky, -MARGIN_PX, camera, SKY_Z_M),
        _band(trees, trees_top, camera, TREES_Z_M),
        _band(fence, fence_top, camera, FENCE_Z_M),
    )
    return Backdrop(bands, painted_ground(camera, np.random.default_rng([seed, 24])))


def _band(paper: Paper, top_px: int, camera: Camera, z_m: float) -> Band:
    """Make a band of one repeat of painted paper, red, green, blue and cover."""
    repeat_px = paper.shape[1]
    times = 2 + (camera.width + 2) // repeat_px
    wide = np.tile(paper, (1, times, 1))[:, : repeat_px + camera.width + 4]
    premultiplied = np.concatenate([wide[..., 2::-1] * wide[..., 3:], wide[..., 3:]], axis=2)
    paint = np.round(np.clip(premultiplied, 0, 1) * 255).astype(np.uint8)
    return Band(np.ascontiguousarray(paint), repeat_px, top_px, camera.scale(z_m), z_m / camera.distance_m)
