"""The whole horse at one moment, on a clear canvas.

The trunk is a painting bent by smooth fields: nod of the head, rise fore and hind, and the near shoulder
and thigh, which go with their legs. The legs are drawn anew each time; the near ones fade into it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np

from evenfall.contacts.model import Limb
from evenfall.synth.brush import Image, Paper, Sheet
from evenfall.synth.camera import Camera, View
from evenfall.synth.coats import COATS
from evenfall.synth.layers import Layer, faded, lay_in
from evenfall.synth.legs import FORE, HIND, LegPaint, drawn_leg, drawn_thigh, leg_paint
from evenfall.synth.pose import Pose, bending, thigh_outline
from evenfall.synth.rider import painted_bridle, painted_rider
from evenfall.synth.scene import Scene
from evenfall.synth.trunk import TAIL_ROOT, painted_tail, painted_trunk
from evenfall.timebase import FloatArray

__all__ = ["Figure", "prepared_figure"]

BOX_M = (
    -1.75,
    1.75,
    -0.30,
    2.75,
)  # what the canvas shows, about the trunk's middle: left, right, bottom, top
HALF_WIDTH_M = 0.15  # of the horse: its near feet are this much nearer than its middle
GIVE_M = 0.14  # the trunk bends no farther than this
COARSE = 8  # the bending is worked out on every eighth pixel


@dataclass(frozen=True, eq=False)
class Figure:
    """A horse ready to be drawn.

    Parameters
    ----------
    camera : Camera
    trunk, tail : ndarray
        Their paintings, uint8, colours multiplied by the cover.
    sheets : (Sheet, Sheet)
        What the two paintings show.
    near_is_left : bool
        Whether the horse's left side is seen.
    paints : mapping of Limb to LegPaint
    """

    camera: Camera
    trunk: Image
    tail: Image
    sheets: tuple[Sheet, Sheet]
    near_is_left: bool
    paints: Mapping[Limb, LegPaint]

    def corner(self, pose: Pose, view: View) -> tuple[int, int]:
        """Return the pixel of the picture where the canvas has its upper left corner."""
        left, _, _, top = BOX_M
        x_px, y_px = self.camera.seen(np.array([[pose.trunk.x_m + left, top]]), 0.0, view)[0]
        return int(np.floor(x_px)), int(np.floor(y_px))

    def blank_canvas(self) -> Image:
        """Return a clear canvas on which the horse fits."""
        left, right, bottom, top = BOX_M
        high, wide = (round(length_m * self.camera.px_per_m) + 2 for length_m in (top - bottom, right - left))
        return np.zeros((high, wide, 4), np.uint8)

    def draw(self, canvas: Image, pose: Pose, view: View, corner: tuple[int, int]) -> None:
        """Draw the horse on a canvas whose upper left corner is at ``corner`` of the picture."""
        at = self.camera.seen(np.array([[pose.trunk.x_m, 0.0]]), 0.0, view)[0] - corner
        parts = {limb: self._layers(limb, pose, view, corner) for limb in Limb}
        far_hind, far_fore, near_hind, near_fore = self._far_then_near()
        for layer in (*parts[far_hind], *parts[far_fore]):
            lay_in(canvas, layer)
        self._lay_tail(canvas, pose, at)
        near = parts[near_hind] + parts[near_fore]
        for layer in near:
            lay_in(canvas, layer)
        lay_in(canvas, self._bent_trunk(pose, at))
        # Once more, over the trunk: each near part grows out of it, with no seam.
        rows = self._ramps(near_hind, pose, view, corner) + self._ramps(near_fore, pose, view, corner)
        for layer, ramp in zip(near, rows, strict=True):
            lay_in(canvas, faded(layer, ramp))

    def _far_then_near(self) -> list[Limb]:
        left, right = [Limb.LH, Limb.LF], [Limb.RH, Limb.RF]
        return right + left if self.near_is_left else left + right

    def depth(self, limb: Limb) -> float:
        """Return how far behind the horse's middle a leg is, metres."""
        return -HALF_WIDTH_M if limb.is_left == self.near_is_left else HALF_WIDTH_M

    def _layers(self, limb: Limb, pose: Pose, view: View, corner: tuple[int, int]) -> list[Layer]:
        """Return the parts of one leg from the top down: the thigh, if it is a hind leg, and the rest."""
        leg, depth, paint = pose.legs[limb], self.depth(limb), self.paints[limb]
        scale = self.camera.scale(depth)
        leaning = _leaning(leg.joints, view.swing_m * depth / self.camera.distance_m)
        joints = self.camera.seen(leaning, depth, view) - corner
        if not limb.is_hind:
            return [drawn_leg(joints, leg.hoof_rad, paint, FORE, scale)]
        outline = self.camera.seen(thigh_outline(leaning), depth, view) - corner
        return [drawn_thigh(outline, paint), drawn_leg(joints, leg.hoof_rad, paint, HIND, scale)]

    def _ramps(self, limb: Limb, pose: Pose, view: View, corner: tuple[int, int]) -> list[tuple[int, int]]:
        """Return between which rows each part of a near leg grows out of what lies under it."""
        joints = pose.legs[limb].joints
        if limb.is_hind:
            heights = [(joints[0, 1] - 0.02, joints[0, 1] - 0.26), (joints[1, 1] + 0.03, joints[1, 1] - 0.12)]
        else:
            heights = [(joints[0, 1] + 0.07, joints[0, 1] - 0.09)]
        points = np.array([(0.0, y_m) for pair in heights for y_m in pair])
        rows = np.round(self.camera.seen(points, self.depth(limb), view)[:, 1] - corner[1]).astype(int)
        return [(int(first), int(last)) for first, last in rows.reshape(-1, 2)]

    def _lay_tail(self, canvas: Image, pose: Pose, at: FloatArray) -> None:
        sheet, scale = self.sheets[1], self.camera.px_per_m
        sway = 0.07 * pose.trunk.sway + 0.06
        root = np.array(TAIL_ROOT)
        root_px = at + scale * np.array([root[0], -root[1] - pose.trunk.rise_hind_m])
        in_sheet = np.array([root[0] - sheet.left_m, sheet.top_m - root[1]]) * scale
        turn = np.array([[1.0, -sway], [0.0, 1.0]])
        matrix = np.column_stack([turn, root_px - turn @ in_sheet])
        corner = np.floor(root_px - in_sheet).astype(int) - [round(0.2 * in_sheet[1]), 2]
        matrix[:, 2] -= corner
        size = (self.tail.shape[1] + round(0.4 * in_sheet[1]), self.tail.shape[0] + 4)
        moved = cv2.warpAffine(self.tail, matrix, size, flags=cv2.INTER_LINEAR)
        lay_in(canvas, Layer(np.asarray(moved, np.uint8), int(corner[0]), int(corner[1])))

    def _bent_trunk(self, pose: Pose, at: FloatArray) -> Layer:
        sheet, scale = self.sheets[0], self.camera.px_per_m
        left, top = np.floor(at + scale * np.array([sheet.left_m - GIVE_M, -sheet.top_m - GIVE_M])).astype(
            int
        )
        high, wide = (
            length // COARSE + 2 + int(2 * GIVE_M * scale) // COARSE for length in self.trunk.shape[:2]
        )
        columns, rows = (
            np.arange(n) * COARSE + COARSE / 2 + start for n, start in ((wide, left), (high, top))
        )
        x_m, y_m = np.meshgrid((columns - at[0]) / scale, (at[1] - rows) / scale)
        shift_x, shift_y = bending(x_m, y_m, pose, self.near_is_left)
        coarse = (x_m - shift_x - sheet.left_m) * scale - 0.5, (sheet.top_m - y_m + shift_y) * scale - 0.5
        full = (wide * COARSE, high * COARSE)
        map_x, map_y = (
            cv2.resize(m.astype(np.float32), full, interpolation=cv2.INTER_LINEAR) for m in coarse
        )
        bent = cv2.remap(self.trunk, map_x, map_y, cv2.INTER_LINEAR)
        return Layer(np.asarray(bent, np.uint8), int(left), int(top))


def _leaning(joints: FloatArray, top_m: float) -> FloatArray:
    """Return a leg moved at its top and not at its toe: seen aslant, it must still grow out of a flat trunk."""
    return joints + np.column_stack([np.linspace(top_m, 0, len(joints)), np.zeros(len(joints))])


def prepared_figure(scene: Scene, camera: Camera) -> Figure:
    """Paint the parts of the horse that stay the same all through the film."""
    coat, fine = COATS[scene.coat], float(np.clip(2 * camera.px_per_m, 100, 640))
    sheet, paper = painted_trunk(coat, fine, scene.seed)
    if scene.rider:
        painted_bridle(sheet, paper)
        painted_rider(sheet, paper, scene.seed)
    tail_sheet, tail = painted_tail(coat, fine, scene.seed)
    near_is_left = scene.facing == "left"
    paints = {
        limb: leg_paint(coat, sock=scene.socks, shade=1.0 if limb.is_left == near_is_left else 0.62)
        for limb in Limb
    }
    sheets = (_rescaled(sheet, camera.px_per_m), _rescaled(tail_sheet, camera.px_per_m))
    return Figure(camera, _ready(paper, sheets[0]), _ready(tail, sheets[1]), sheets, near_is_left, paints)


def _rescaled(sheet: Sheet, px_per_m: float) -> Sheet:
    return Sheet(sheet.left_m, sheet.right_m, sheet.bottom_m, sheet.top_m, px_per_m)


def _ready(paper: Paper, sheet: Sheet) -> Image:
    """Return a painting at the film's size: blue, green, red and cover, multiplied by the cover."""
    cover = paper[..., 3:]
    image = np.concatenate([paper[..., 2::-1] * cover, cover], axis=2)
    small = cv2.resize(image, sheet.size, interpolation=cv2.INTER_AREA)
    return np.round(np.clip(small, 0, 1) * 255).astype(np.uint8)
