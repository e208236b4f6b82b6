"""One picture of the film: scenery, shadow and horse, taken by the camera at one time.

A picture belongs to the middle of its exposure: with an open shutter the exposure reaches as far before
the picture's own time as after it.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.synth.backdrop import Backdrop, prepared_backdrop
from evenfall.synth.brush import Image
from evenfall.synth.camera import Camera, set_up_camera
from evenfall.synth.figure import Figure, prepared_figure
from evenfall.synth.layers import Layer, lay_in, mean_image
from evenfall.synth.motion import Motion
from evenfall.synth.pose import posed
from evenfall.synth.scene import Scene
from evenfall.synth.shadow import cast_shadow

__all__ = ["Studio", "built_studio"]

MOST_EXPOSURES = 6


@dataclass(frozen=True, eq=False)
class Studio:
    """Everything that is ready before the first picture."""

    scene: Scene
    motion: Motion
    camera: Camera
    figure: Figure
    backdrop: Backdrop
    grain: NDArray[np.int16]

    def picture(self, time_s: float, number: int) -> Image:
        """Return the picture taken at ``time_s`` real seconds, shape (height, width, 4).

        The last of the four parts means nothing; the others are blue, green and red.
        """
        view = self.camera.view_at(time_s, self.motion)
        picture = self.backdrop.drawn(view)
        open_s = self.scene.shutter / self.scene.fps
        self._blur_scenery(picture, time_s, open_s)
        cast_shadow(picture, posed(self.motion, time_s), view, self.figure)
        self._place_horse(picture, time_s, open_s)
        picture = self.camera.taken(picture, view)
        if self.scene.facing == "left":
            picture = np.ascontiguousarray(picture[:, ::-1])
        return self._grained(picture, number)

    def _blur_scenery(self, picture: Image, time_s: float, open_s: float) -> None:
        if not (open_s and self.camera.follows):
            return
        moved_m = self.motion.way_at(time_s + open_s / 2) - self.motion.way_at(time_s - open_s / 2)
        width = round(moved_m * self.camera.px_per_m)
        if width > 1:
            cv2.blur(picture, (width, 1), picture)

    def _place_horse(self, picture: Image, time_s: float, open_s: float) -> None:
        moved_px = 2.4 * self.motion.speed_at(time_s) * open_s * self.camera.px_per_m
        n = int(np.clip(np.ceil(moved_px / 3), 1, MOST_EXPOSURES)) if open_s else 1
        if n == 1:
            view = self.camera.view_at(time_s, self.motion)
            self.figure.draw(picture, posed(self.motion, time_s), view, (0, 0))
            return
        corner = self.figure.corner(posed(self.motion, time_s), self.camera.view_at(time_s, self.motion))
        canvases = []
        for moment in time_s + ((np.arange(n) + 0.5) / n - 0.5) * open_s:
            canvases.append(self.figure.blank_canvas())
            view = self.camera.view_at(float(moment), self.motion)
            self.figure.draw(canvases[-1], posed(self.motion, float(moment)), view, corner)
        lay_in(picture, Layer(mean_image(canvases), *corner))

    def _grained(self, picture: Image, number: int) -> Image:
        if not self.scene.noise:
            return picture
        rng = np.random.default_rng([self.scene.seed, 31, number])
        high, wide = picture.shape[:2]
        top, left = rng.integers(0, self.grain.shape[0] - high), rng.integers(0, self.grain.shape[1] - wide)
        grain = self.grain[top : top + high, left : left + wide]
        return np.asarray(cv2.add(picture, grain, dtype=cv2.CV_8U), np.uint8)


def built_studio(scene: Scene, motion: Motion) -> Studio:
    """Paint everything that is painted once."""
    camera = set_up_camera(scene, motion)
    rng = np.random.default_rng([scene.seed, 32])
    shape = (scene.height + 64, scene.width + 64, 4) if scene.noise else (1, 1, 4)
    grain = np.round(rng.normal(0, scene.noise or 1, shape)).astype(np.int16)
    return Studio(
        scene, motion, camera, prepared_figure(scene, camera), prepared_backdrop(camera, scene.seed), grain
    )
