"""The joints of a leg, found from where its foot is.

Conventions: metres in the plane of the leg, x forward, y up; angles in radians, counter-clockwise.
A chain of joints runs from the top down, shape (5, 2): elbow, knee, fetlock, coronet, toe in front;
hip, stifle, hock, fetlock, coronet, toe behind, shape (6, 2).
"""

import math
from dataclasses import dataclass

import numpy as np

from evenfall.synth.motion import FootState
from evenfall.timebase import FloatArray

__all__ = ["ELBOW", "HIP", "Leg", "fore_leg", "hind_leg"]

# Resting places in the trunk's own frame: metres ahead of its middle and above the ground.
ELBOW, SHOULDER_TURN = np.array([0.36, 0.885]), np.array([0.30, 1.40])
HIP = np.array([-0.54, 1.15])
FOREARM, CANNON, PASTERN_FORE = 0.42, 0.275, 0.15
FEMUR, TIBIA, HIND_CANNON, PASTERN_HIND = 0.38, 0.43, 0.365, 0.15
CORONET = np.array([-0.078, 0.066])  # from the toe, in a foot that stands flat
THIGH_BEND = math.radians(40)  # femur ahead of the hind cannon: hock and stifle bend as one
BREAK_OVER = 0.86  # of the stance; from then on the heel rises about the toe


@dataclass(frozen=True, eq=False)
class Leg:
    """The joints of one leg, and the angle of its hoof (0 flat, negative heel up)."""

    joints: FloatArray
    hoof_rad: float


def fore_leg(foot: FootState, top: FloatArray, pivot: FloatArray, lengthen: float = 0.6) -> Leg:
    """Return a fore leg.

    Parameters
    ----------
    foot : FootState
    top : ndarray, shape (2,)
        Where the elbow would be if the leg hung straight, metres.
    pivot : ndarray, shape (2,)
        The point of the shoulder blade the whole limb turns about, metres.
    lengthen : float
        How much of the limb's turn the shoulder blade takes part in.
    """
    toe = np.array([foot.x_m, foot.y_m])
    hoof = _hoof_angle(foot, fold=1.35)
    coronet = toe + _turned(CORONET, hoof)
    turn = lengthen * (math.atan2(toe[0] - 0.14 - pivot[0], pivot[1] - toe[1] * 0.5))
    elbow = _within(pivot + _turned(top - pivot, turn), coronet, FOREARM + CANNON + PASTERN_FORE - 0.004)
    pastern = _standing_pastern(elbow, coronet, FOREARM + CANNON - 0.001, PASTERN_FORE)
    if not foot.down:
        pastern += _bump(foot.share) * 1.25
    fetlock = coronet + PASTERN_FORE * np.array([-math.cos(pastern), math.sin(pastern)])
    knee = _bent(elbow, fetlock, FOREARM, CANNON, forward=True)
    return Leg(np.array([elbow, knee, fetlock, coronet, toe]), hoof)


def hind_leg(foot: FootState, hip: FloatArray) -> Leg:
    """Return a hind leg hanging from ``hip``, shape (2,), metres."""
    toe = np.array([foot.x_m, foot.y_m])
    hoof = _hoof_angle(foot, fold=1.0)
    coronet = toe + _turned(CORONET, hoof)
    pastern = _hind_pastern(foot)
    fetlock = coronet + PASTERN_HIND * np.array([-math.cos(pastern), math.sin(pastern)])
    bent = FEMUR * np.array([math.sin(THIGH_BEND), -math.cos(THIGH_BEND)]) + np.array([0.0, -HIND_CANNON])
    long_m, lean = float(np.hypot(*bent)), math.atan2(bent[0], -bent[1])
    straight_m = math.sqrt(long_m**2 + TIBIA**2 + 2 * long_m * TIBIA * math.cos(lean))  # hock straight
    hip = _within(hip, fetlock, straight_m - 0.004)
    corner = _bent(hip, fetlock, long_m, TIBIA, forward=True)
    cannon = math.atan2(corner[0] - hip[0], hip[1] - corner[1]) - lean
    thigh = cannon + THIGH_BEND
    stifle = hip + FEMUR * np.array([math.sin(thigh), -math.cos(thigh)])
    hock = fetlock - HIND_CANNON * np.array([math.sin(cannon), -math.cos(cannon)])
    return Leg(np.array([hip, stifle, hock, fetlock, coronet, toe]), hoof)


def _hoof_angle(foot: FootState, fold: float) -> float:
    """Return the hoof's angle: flat, then rolling over the toe, then folded, then flat to land."""
    rolled = -0.42
    if foot.down:
        late = max(0.0, (foot.share - BREAK_OVER) / (1 - BREAK_OVER))
        return rolled * late**2
    return rolled * (1 - foot.share) ** 2 * (1 + 2 * foot.share) - fold * _bump(foot.share)


def _bump(share: float) -> float:
    """Return a smooth bump over the swing, 1 at its highest at 0.36, flat at both ends."""
    return math.sin(math.pi * share**0.68) ** 2


def _hind_pastern(foot: FootState) -> float:
    if foot.down:
        return math.radians(50 + 14 * (2 * foot.share - 1) ** 2 + 16 * max(0.0, foot.share - 0.7) / 0.3)
    return math.radians(80 - 16 * foot.share + 62 * _bump(foot.share))


def _standing_pastern(elbow: FloatArray, coronet: FloatArray, straight_m: float, pastern_m: float) -> float:
    """Return the pastern's slope with the leg above it straight, so that the fetlock sinks under load."""
    apart = coronet - elbow
    gap = float(np.hypot(*apart))
    cosine = (gap**2 + pastern_m**2 - straight_m**2) / (2 * gap * pastern_m)
    inner = math.acos(min(max(cosine, -1.0), 1.0))
    up = math.atan2(-apart[1], apart[0])  # slope from the coronet back to the elbow
    return min(max(up - inner, math.radians(34)), math.radians(112))


def _within(top: FloatArray, foot: FloatArray, reach_m: float) -> FloatArray:
    """Return ``top``, drawn towards ``foot`` if it is out of reach."""
    apart = top - foot
    gap = float(np.hypot(*apart))
    return top if gap <= reach_m else foot + apart * (reach_m / gap)


def _bent(top: FloatArray, foot: FloatArray, upper_m: float, lower_m: float, *, forward: bool) -> FloatArray:
    """Return the joint between two bones, bent forward or backward."""
    apart = foot - top
    gap = min(max(float(np.hypot(*apart)), abs(upper_m - lower_m) + 1e-6), upper_m + lower_m - 1e-6)
    inner = math.acos((gap**2 + upper_m**2 - lower_m**2) / (2 * gap * upper_m))
    swing = math.atan2(apart[0], -apart[1]) + (inner if forward else -inner)
    return np.asarray(top + upper_m * np.array([math.sin(swing), -math.cos(swing)]))


def _turned(vector: FloatArray, angle: float) -> FloatArray:
    cosine, sine = math.cos(angle), math.sin(angle)
    return np.array([cosine * vector[0] - sine * vector[1], sine * vector[0] + cosine * vector[1]])
