"""The ground's plane between two pictures, fitted to corners of which many belong to the horse.

Eight free numbers fitted at once follow whatever corners err, by half a pixel from picture to picture. So the plane is found in
two steps: what most corners agree on, as a shift, turn and shear of the plane of the picture before; from there all eight, by
least squares in which a corner counts the less the farther it lies off, the picture's tilt lightly held.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.timebase import FloatArray

__all__ = ["TOLERANCE_PX", "Corners", "agreed_plane", "fitted_plane", "fitting", "refined_plane"]

TOLERANCE_PX = 1.0
ROUNDS, SHARP_PX = 6, 0.3
"""How often the corners are weighed anew, and how far off one lies that counts by half (Cauchy's weights, from memory)."""

SIZE_PX, TILT = 240.0, 0.02
"""Half a picture's width; how much tilt between two key pictures is usual, of it (our choice)."""

HELD = np.array([1e-9] * 6 + [(SHARP_PX / SIZE_PX / TILT) ** 2] * 2)
"""How strongly each of the eight numbers is held near 0: the tilt lightly, the others only so that there is one answer."""

Corners = NDArray[np.float32]
"""Places in a picture, pixels; shape (n, 1, 2), as OpenCV has them."""


def fitted_plane(now: Corners, before: Corners, begun: FloatArray) -> tuple[FloatArray | None, float]:
    """Fit the homography that takes corners of one picture onto another.

    Parameters
    ----------
    now, before : ndarray of float32, shape (n, 1, 2)
        The same corners in both pictures, pixels; at least 4.
    begun : ndarray, shape (3, 3)
        About where it is sought: that of the picture before.

    Returns
    -------
    ndarray, shape (3, 3), or None
        None where no corners agree.
    float
        Share of the corners that fit within `TOLERANCE_PX`.
    """
    plane = agreed_plane(now, before, begun)
    if plane is None:
        return None, 0.0
    plane = refined_plane(now, before, plane)
    return plane, fitting(now, before, plane)


def agreed_plane(now: Corners, before: Corners, begun: FloatArray) -> FloatArray | None:
    """What most corners agree on, as a shift, turn and shear of ``begun``; None where none do."""
    there = cv2.perspectiveTransform(now, begun)
    affine, _ = cv2.estimateAffine2D(
        there, before, method=cv2.RANSAC, ransacReprojThreshold=TOLERANCE_PX, maxIters=2000
    )
    return None if affine is None else np.vstack([affine, [0.0, 0.0, 1.0]]) @ begun


def refined_plane(
    now: Corners, before: Corners, plane: FloatArray, believed: FloatArray | float = 1.0
) -> FloatArray:
    """All eight numbers from about ``plane``; ``believed``, shape (n,), says how far each corner is."""
    middle = before[:, 0].mean(axis=0)
    sized = np.array([[1, 0, -middle[0]], [0, 1, -middle[1]], [0, 0, SIZE_PX]]) / SIZE_PX
    design, wanted = _equations((now[:, 0] - middle) / SIZE_PX, (before[:, 0] - middle) / SIZE_PX)
    for _ in range(ROUNDS):
        trust = believed / np.sqrt(1 + (_off_px(now, before, plane) / SHARP_PX) ** 2)
        plane = np.linalg.inv(sized) @ _solved(design, wanted, np.r_[trust, trust]) @ sized
        plane = plane / plane[2, 2]
    return plane


def fitting(now: Corners, before: Corners, plane: FloatArray) -> float:
    """Share of the corners that the plane puts where they were, within `TOLERANCE_PX`; 0 for none."""
    return float((_off_px(now, before, plane) < TOLERANCE_PX).mean()) if len(now) else 0.0


def _equations(now: NDArray[np.float32], before: NDArray[np.float32]) -> tuple[FloatArray, FloatArray]:
    """The linear equations of the plane's eight numbers, across first, then down."""
    (x, y), (u, v) = now.T.astype(np.float64), before.T.astype(np.float64)
    one, none = np.ones_like(x), np.zeros_like(x)
    across = np.stack([x, y, one, none, none, none, -u * x, -u * y], axis=1)
    down = np.stack([none, none, none, x, y, one, -v * x, -v * y], axis=1)
    return np.concatenate([across, down]), np.concatenate([u, v])


def _solved(design: FloatArray, wanted: FloatArray, trust: FloatArray) -> FloatArray:
    """Weighted least squares, by its normal equations."""
    weighed = design.T * trust**2
    numbers = np.linalg.solve(weighed @ design + np.diag(HELD), weighed @ wanted)
    return np.append(numbers, 1.0).reshape(3, 3)


def _off_px(now: Corners, before: Corners, plane: FloatArray) -> FloatArray:
    """How far each corner lies from where the plane puts it."""
    return np.asarray(
        np.linalg.norm(cv2.perspectiveTransform(now, plane) - before, axis=-1)[:, 0], np.float64
    )
