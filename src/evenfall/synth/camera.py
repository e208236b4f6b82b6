"""The camera: where it stands, how it follows and shakes, and where a point of the world falls in the picture.

Conventions: the world is x forward along the horse's way, y up, z away from the camera with 0 at the
middle of the horse; metres. The picture is pixels from the upper left corner. The horse always goes to
the right here; a horse facing left is mirrored at the very end. A camera that turns is drawn as one that
looks straight at the way, and its lens takes the turned picture from that.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from evenfall.synth.brush import Image
from evenfall.synth.lens import Lens
from evenfall.synth.motion import Motion
from evenfall.synth.scene import Scene
from evenfall.timebase import FloatArray

__all__ = ["Camera", "View", "set_up_camera"]

DISTANCE_M = 9.0  # from the camera to the horse's way
EYE_M = 1.5  # height of the camera
AHEAD_M = 0.16  # the camera looks this far ahead of the trunk's middle, so that the head has room
DRIFTS_M = (0.10, 0.05)  # it follows the horse no better than this
MOST_SWING = math.tan(math.radians(38))  # it turns no farther: it stands farther off instead


@dataclass(frozen=True)
class View:
    """Where the camera looks at one moment.

    Parameters
    ----------
    x_m : float
        Along the way, where the horse goes, metres.
    shake_x, shake_y : float
        The hand's shake, pixels.
    swing_m : float
        How far ahead of itself a turning camera looks, metres along the way; 0 for any other.
    """

    x_m: float
    shake_x: float = 0.0
    shake_y: float = 0.0
    swing_m: float = 0.0

    def middle_m(self, away: FloatArray | float) -> FloatArray:
        """Return what is in the middle, metres along the way, ``away`` times the distance behind the horse."""
        return np.asarray(self.x_m + self.swing_m * away)


@dataclass(frozen=True)
class Camera:
    """A camera that looks at right angles to the horse's way.

    Parameters
    ----------
    width, height : int
        Size of what is drawn, pixels: the picture, or the sheet from which the lens takes it.
    px_per_m : float
        Pixels to a metre where the horse goes.
    horizon_px : float
        Row of the horizon.
    shakes_px : ndarray, shape (n, 4)
        Amplitudes and phases of the unsteady hand.
    follows : bool
        Whether it goes or turns with the horse.
    still_x_m : float
        Where it looks when it does not follow, and where it stands when it turns.
    distance_m : float
        From where it stands to the horse's way.
    lens : Lens or None
        Of a camera that turns.
    """

    width: int
    height: int
    px_per_m: float
    horizon_px: float
    shakes_px: FloatArray
    follows: bool
    still_x_m: float
    distance_m: float = DISTANCE_M
    lens: Lens | None = None

    def scale(self, z_m: float) -> float:
        """Return pixels to a metre at the distance ``z_m`` behind the horse."""
        return self.px_per_m * self.distance_m / (self.distance_m + z_m)

    def ground_row(self, z_m: float) -> float:
        """Return the row in which the ground at ``z_m`` is seen."""
        return self.horizon_px + self.scale(z_m) * EYE_M

    def seen(self, points: FloatArray, z_m: float, view: View) -> FloatArray:
        """Return the pixels of points (x, y), shape (n, 2), all at the same ``z_m``."""
        scale = self.scale(z_m)
        corner = [self.width / 2 + view.shake_x, self.horizon_px + scale * EYE_M + view.shake_y]
        middle_m = float(view.middle_m(z_m / self.distance_m))
        return np.asarray((points - [middle_m, 0]) * [scale, -scale] + corner)

    def view_at(self, time_s: float, motion: Motion) -> View:
        """Return where the camera looks at ``time_s``, real seconds."""
        drift = DRIFTS_M[0] * math.sin(0.9 * time_s) + DRIFTS_M[1] * math.sin(2.3 * time_s + 1)
        x_m = motion.way_at(time_s) + AHEAD_M + drift if self.follows else self.still_x_m
        size, rate, phase_x, phase_y = self.shakes_px.T
        shake_x = float(np.sum(size * np.sin(rate * time_s + phase_x)))
        shake_y = float(np.sum(size * np.sin(rate * time_s + phase_y)))
        return self._turned(View(x_m, shake_x, shake_y)) if self.lens else View(x_m, shake_x, shake_y)

    def taken(self, drawn: Image, view: View) -> Image:
        """Return the picture that is taken of what was drawn."""
        return self.lens.taken(drawn, view.swing_m / self.distance_m) if self.lens else drawn

    def _turned(self, view: View) -> View:
        """Return the view of a camera that turns; the lens shrinks the shake, so it is drawn larger."""
        swing_m = view.x_m - self.still_x_m
        stretch = 1 + (swing_m / self.distance_m) ** 2
        return View(view.x_m, view.shake_x * stretch, view.shake_y * math.sqrt(stretch), swing_m)


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
    camera = Camera(
        scene.width,
        scene.height,
        px_per_m,
        horizon,
        shakes,
        scene.camera != "still",
        motion.way_at(middle_s),
    )
    return _made_to_turn(camera, scene, motion) if scene.camera == "turned" else camera


def _made_to_turn(camera: Camera, scene: Scene, motion: Motion) -> Camera:
    """Return the camera as a person's who stands at the rail, as near as the turn and the picture's width allow."""
    reach_m = max(abs(motion.way_at(end_s) - camera.still_x_m) for end_s in (0, scene.duration_s))
    reach_m += AHEAD_M + sum(DRIFTS_M)
    distance_m = max(DISTANCE_M, reach_m / MOST_SWING, camera.width / camera.px_per_m)
    focal_px = camera.px_per_m * distance_m
    lens = Lens(camera.width, camera.height, camera.horizon_px, focal_px, reach_m / distance_m)
    width, height, horizon = lens.sheet
    return replace(camera, width=width, height=height, horizon_px=horizon, distance_m=distance_m, lens=lens)


def _shakes(scene: Scene) -> FloatArray:
    """Return size (pixels), rate (radians a second) and two phases of each part of the shake."""
    if not scene.shake_px:
        return np.zeros((0, 4))
    rng, n = np.random.default_rng([scene.seed, 3]), 7
    rate = 2 * np.pi * rng.uniform(0.6, 7, n)
    size = 1 / np.sqrt(rate)
    size *= scene.shake_px * math.sqrt(2) / float(np.sqrt(np.sum(size**2)))
    return np.column_stack([size, rate, rng.uniform(0, 2 * np.pi, (n, 2))])
