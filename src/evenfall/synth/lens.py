"""The picture of a camera that turns where it stands, taken from a sheet that lies along the horse's way.

Conventions: pixels. The sheet is what a camera that never turns would see, drawn wide enough; both
pictures share one lens, and their axes meet the same horizon.

        sheet  ──────────┬───────────┬──  along the way
                         │        ╱          swing = length along the sheet / distance to it,
                         │     ╱             the tangent of the turn
                         │  ╱ turn
                       camera
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from evenfall.synth.brush import Image
from evenfall.timebase import FloatArray

__all__ = ["Lens"]

EVEN_PX = 4  # a sheet's sides are whole multiples of this: shadows are drawn at a quarter of the size


@dataclass(frozen=True)
class Lens:
    """What a turning camera takes.

    Parameters
    ----------
    width, height : int
        Size of the picture.
    horizon_px : float
        Row of its horizon.
    focal_px : float
        Pixels to a unit of tangent, straight ahead.
    most_swing : float
        Tangent of the widest turn it will make.
    """

    width: int
    height: int
    horizon_px: float
    focal_px: float
    most_swing: float

    @property
    def sheet(self) -> tuple[int, int, float]:
        """Width, height and row of the horizon of the smallest sheet that fills every picture."""
        corners = np.array([[self.width / 2, row - self.horizon_px, 1] for row in (0, self.height)])
        seen = corners @ _keystone(self.most_swing, self.focal_px).T
        half, (top, bottom) = float(seen[0, 0] / seen[0, 2]), seen[:, 1] / seen[:, 2]
        horizon = self.horizon_px + math.ceil(max(0.0, -float(top) - self.horizon_px))
        return _rounded_up(2 * half), _rounded_up(horizon + float(bottom)), horizon

    def onto_sheet(self, swing: float) -> FloatArray:
        """Return the homography, shape (3, 3), from the picture to a sheet whose middle is where it looks."""
        width, _, horizon = self.sheet
        centred = _keystone(swing, self.focal_px) @ _moved(-self.width / 2, -self.horizon_px)
        return _moved(width / 2, horizon) @ centred

    def taken(self, sheet: Image, swing: float) -> Image:
        """Return the picture taken from a sheet."""
        # OpenCV counts from the middles of pixels.
        between_middles = _moved(-0.5, -0.5) @ self.onto_sheet(swing) @ _moved(0.5, 0.5)
        flags, edge = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, cv2.BORDER_REPLICATE
        size = (self.width, self.height)
        taken = cv2.warpPerspective(sheet, between_middles, size, flags=flags, borderMode=edge)
        return np.asarray(taken, np.uint8)


def _keystone(swing: float, focal_px: float) -> FloatArray:
    """Return the homography from the picture to the sheet, both counted from where the camera looks.

    With c and t the cosine and tangent of the turn, a ray (a, b, f) of the picture meets the sheet at
    f·(c·a + s·f) / (c·f − s·a) along and f·b / (c·f − s·a) down; taking f·t away leaves this.
    """
    stretch = 1 + swing**2
    return np.array([[stretch, 0, 0], [0, math.sqrt(stretch), 0], [-swing / focal_px, 0, 1.0]])


def _moved(x_px: float, y_px: float) -> FloatArray:
    return np.array([[1.0, 0, x_px], [0, 1, y_px], [0, 0, 1]])


def _rounded_up(length_px: float) -> int:
    return EVEN_PX * math.ceil(length_px / EVEN_PX)
