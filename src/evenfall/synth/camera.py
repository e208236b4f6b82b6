"""The camera: where it stands, how it pans and shakes, and where a point of the world falls in the picture.

Conventions: the world is x forward along the horse's way, y up, z away from the camera with 0 at the
middle of the horse; metres. The picture is pixels from the upper left corner. The horse always goes to
the right here; a horse facing left is mirrored at the very end.
"""

import math
from dataclasses import dataclass

import numpy as np

from evenfall.synth.motion import Motion
from evenfall.synth.scene import Scene
from evenfall.timebase import FloatArray

__all__ = ["Camera", "View", "set_up_camera"]

DISTANCE_M = 9.0  # from the camera to the horse
EYE_M = 1.5  # height of the camera
AHEAD_M = 0.16  # the camera looks this far ahead of the trunk's middle, so that the head has room


@dataclass(frozen=True)
class View:
    """Where the camera looks at one moment: along the way (metres), and the hand's shake (pixels)."""

    x_m: float
    shake_x: float = 0.0
    shake_y: float = 0.0


@dataclass(frozen=True)
class Camera:
    """A camera that looks at right angles to the horse's way.

    Parameters
    ----------
    width, height : int
        Size of the picture, pixels.
    px_per_m : float
        Pixels to a metre where the horse goes.
    horizon_px : float
        Row of the horizon.
    shakes_px : ndarray, shape (n, 4)
        Amplitudes and phases of the unsteady hand.
    follows : bool
        Whether it pans with the horse.
    still_x_m : float
        Where it looks when it does not.
    """

    width: int
    height: int
    px_per_m: float
    horizon_px: float
    shakes_px: FloatArray
    follows: bool
    still_x_m: float

    def scale(self, z_m: float) -> float:
        """Return pixels to a metre at the distance ``z_m`` behind the horse."""
        return self.px_per_m * DISTANCE_M / (DISTANCE_M + z_m)

    def ground_row(self, z_m: float) -> float:
        """Return the row in which the ground at ``z_m`` is seen."""
        return self.horizon_px + self.scale(z_m) * EYE_M

    def seen(self, points: FloatArray, z_m: float, view: View) -> FloatArray:
        """Return the pixels of points (x, y), shape (n, 2), all at the same ``z_m``."""
        scale = self.scale(z_m)
        corner = [self.width / 2 + view.shake_x, self.horizon_px + scale * EYE_M + view.shake_y]
        return np.asarray((points - [view.x_m, 0]) * [scale, -scale] + corner)

    def view_at(self, time_s: float, motion: Motion) -> View:
        """Return where the camera looks at ``time_s``, real seconds."""
        drift = 0.10 * math.sin(0.9 * time_s) + 0.05 * math.sin(2.3 * time_s + 1)
        x_m = motion.way_at(time_s) + AHEAD_M + drift if self.follows else self.still_x_m
        if not len(self.shakes_px):
            return View(x_m)
        size, rate, phase_x, phase_y = self.shakes_px.T
        shake_x = float(np.sum(size * np.sin(rate * time_s + phase_x)))
        return View(x_m, shake_x, float(np.sum(size * np.sin(rate * time_s + phase_y))))


def set_up_camera(scene: Scene, motion: Motion) -> Camera:
    """Place the camera so that horse and rider fit; one that stands still takes in more of the way."""
    tall_m = 2.62 if scene.rider else 2.30
    px_per_m = min(0.84 * scene.height / tall_m, scene.width / 3.15)
    middle_s = scene.duration_s / 2
    if scene.camera == "still":
        length_m = motion.way_at(scene.duration_s) - motion.way_at(0)
        px_per_m = max(min(px_per_m, scene.width / (0.85 * length_m + 2.6)), 0.38 * px_per_m)
    foot_row = max(0.5 * scene.height + 0.495 * tall_m * px_per_m, 0.70 * scene.height)
    horizon = foot_row - EYE_M * px_per_m
    shakes = _shakes(scene)
    return Camera(
        scene.width,
        scene.height,
        px_per_m,
        horizon,
        shakes,
        scene.camera == "panned",
        motion.way_at(middle_s),
    )


def _shakes(scene: Scene) -> FloatArray:
    """Return size (pixels), rate (radians a second) and two phases of each part of the shake."""
    if not scene.shake_px:
        return np.zeros((0, 4))
    rng, n = np.random.default_rng([scene.seed, 3]), 7
    rate = 2 * np.pi * rng.uniform(0.6, 7, n)
    size = 1 / np.sqrt(rate)
    size *= scene.shake_px * math.sqrt(2) / float(np.sqrt(np.sum(size**2)))
    return np.column_stack([size, rate, rng.uniform(0, 2 * np.pi, (n, 2))])
