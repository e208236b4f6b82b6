"""The shadow of the horse on the ground."""

import cv2
import numpy as np

from evenfall.synth.brush import Image
from evenfall.synth.camera import Camera, View
from evenfall.synth.figure import Figure
from evenfall.synth.pose import Pose
from evenfall.timebase import FloatArray

__all__ = ["cast_shadow"]

SHADOW = 0.55
SUN_X, SUN_Z = 0.22, -0.42  # where the shadow of a point one metre up falls
COARSE = 4  # shadows are soft: drawn at a quarter of the size
TURN = np.linspace(0, 2 * np.pi, 32, endpoint=False)
TRUNK = np.column_stack([-0.04 + 0.80 * np.cos(TURN), 1.16 + 0.30 * np.sin(TURN)])
NECK = np.array([(0.45, 1.2), (0.95, 1.7), (1.25, 1.5), (1.2, 1.9), (0.9, 2.0), (0.3, 1.5)])
LEG_WIDTHS = np.array([0.10, 0.07, 0.04, 0.04, 0.05, 0.05])


def cast_shadow(picture: Image, pose: Pose, view: View, figure: Figure) -> None:
    """Darken the ground where trunk and legs keep the sun off, in place."""
    camera, here = figure.camera, np.array([pose.trunk.x_m, 0.0])
    cover = np.zeros((picture.shape[0] // COARSE, picture.shape[1] // COARSE), np.uint8)
    for shape in (TRUNK, NECK):
        _shade(cover, _on_ground(camera, shape + here, 0.0, view))
    for limb, leg in pose.legs.items():
        side = np.column_stack([LEG_WIDTHS[-len(leg.joints) :], np.zeros(len(leg.joints))])
        outline = np.vstack([leg.joints - side, (leg.joints + side)[::-1]])
        _shade(cover, _on_ground(camera, outline, figure.depth(limb), view))
    soft = cv2.GaussianBlur(cover, (0, 0), max(0.6, 0.022 * camera.px_per_m / COARSE))
    _darken(picture, np.asarray(soft, np.uint8))


def _on_ground(camera: Camera, points: FloatArray, z_m: float, view: View) -> FloatArray:
    """Return where the shadows of points fall in the picture, pixels, shape (n, 2)."""
    x_m, depth = points[:, 0] + SUN_X * points[:, 1], z_m + SUN_Z * points[:, 1]
    feet = [camera.seen(np.array([[x, 0.0]]), float(z), view) for x, z in zip(x_m, depth, strict=True)]
    return np.vstack(feet)


def _shade(cover: Image, outline: FloatArray) -> None:
    cv2.fillPoly(cover, [np.round(outline / COARSE * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)


def _darken(picture: Image, cover: Image) -> None:
    rows = np.flatnonzero(cover.any(axis=1))
    if not len(rows):
        return
    first, last = int(rows[0]), int(rows[-1]) + 1
    dark = (cover[first:last] * SHADOW).astype(np.uint8)
    part = picture[first * COARSE : last * COARSE]
    full = cv2.resize(255 - dark, (part.shape[1], part.shape[0]), interpolation=cv2.INTER_LINEAR)
    cv2.multiply(part, cv2.merge([full] * 4), part, 1 / 255)
