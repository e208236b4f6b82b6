"""The pose of the horse at one moment: joints of all legs, and how the trunk gives with them.

Conventions: times are real seconds; metres, x along the way, y up.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from evenfall.contacts.model import Limb
from evenfall.synth.brush import closed_curve
from evenfall.synth.limbs import ELBOW, HIP, SHOULDER_TURN, Leg, fore_leg, hind_leg
from evenfall.synth.motion import HOME_M, FootState, Motion, TrunkState
from evenfall.timebase import FloatArray

__all__ = ["Pose", "bending", "posed", "thigh_outline"]

# Parts of the trunk that go along with a leg: middle x and y, reach along x and y, metres.
SHOULDER_AREA, THIGH_AREA = (0.44, 0.93, 0.20, 0.22), (-0.40, 0.98, 0.24, 0.20)


@dataclass(frozen=True, eq=False)
class Pose:
    """The horse at one moment: its trunk and the joints of its legs, metres in the world."""

    trunk: TrunkState
    legs: Mapping[Limb, Leg]


def posed(motion: Motion, time_s: float) -> Pose:
    """Return the horse at ``time_s``, real seconds."""
    trunk = motion.trunk(time_s)
    legs = {limb: _leg(limb, foot, trunk) for limb, foot in motion.feet(time_s).items()}
    return Pose(trunk, legs)


def _leg(limb: Limb, foot: FootState, trunk: TrunkState) -> Leg:
    if limb.is_hind:
        return hind_leg(foot, HIP + np.array([trunk.x_m, trunk.rise_hind_m]))
    shift = np.array([trunk.x_m, trunk.rise_fore_m])
    return fore_leg(foot, ELBOW + shift, SHOULDER_TURN + shift)


REST = TrunkState(0.0, 0.0, 0.0, 0.0, 0.0)
REST_FORE = _leg(Limb.LF, FootState(HOME_M[Limb.LF], 0.0, True, 0.5), REST).joints
REST_HIND = _leg(Limb.LH, FootState(HOME_M[Limb.LH], 0.0, True, 0.5), REST).joints


def bending(x: FloatArray, y: FloatArray, pose: Pose, near_is_left: bool) -> tuple[FloatArray, FloatArray]:
    """Return by how much each place of the trunk is moved, metres."""
    trunk, here = pose.trunk, np.array([pose.trunk.x_m, 0.0])
    ahead = np.clip((x + 0.55) / 0.95, 0, 1)
    along = np.clip((x - 0.40) / 0.60, 0, 1)
    nod = trunk.nod_rad * along**2 * (3 - 2 * along) * (y > 1.0)
    shift_x = nod * (y - 1.45)
    shift_y = trunk.rise_fore_m * ahead + trunk.rise_hind_m * (1 - ahead) - nod * (x - 0.45)
    elbow = pose.legs[Limb.LF if near_is_left else Limb.RF].joints[0] - here - REST_FORE[0]
    stifle = pose.legs[Limb.LH if near_is_left else Limb.RH].joints[1] - here - REST_HIND[1]
    for move, gain, (x0, y0, wide, tall) in ((elbow, 0.55, SHOULDER_AREA), (stifle, 0.45, THIGH_AREA)):
        near = gain * np.exp(-(((x - x0) / wide) ** 2) - ((y - y0) / tall) ** 2)
        shift_x, shift_y = shift_x + move[0] * near, shift_y + move[1] * near
    return shift_x, shift_y


def thigh_outline(joints: FloatArray) -> FloatArray:
    """Return the outline of the thigh from hip, stifle and hock, metres."""
    hip, stifle, hock = joints[:3]
    down = (hock - stifle) / float(np.hypot(*(hock - stifle)))
    ahead = np.array([-down[1], down[0]])
    low = stifle + 0.40 * (hock - stifle)
    fixed = hip + np.array([(0.02, 0.16), (-0.17, 0.08), (-0.215, -0.04)])
    behind = np.array([0.5 * (hip + low - 0.115 * ahead + np.array([-0.225, -0.10])), low - 0.092 * ahead])
    front = np.array([low + 0.080 * ahead, stifle + 0.02 * down + 0.105 * ahead])
    flank = np.array([stifle + np.array([0.075, 0.07]), 0.5 * (hip + stifle) + np.array([0.20, 0.06])])
    knots = np.vstack([fixed, behind, front, flank])
    return closed_curve(knots, 6)
