"""Where the trunk and the four feet are at any time.

Conventions: times are real seconds; lengths are metres on the ground, x forward, y up. A foot is its
toe. While it stands its x does not change and its y is 0; in between it swings forward above the ground.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from evenfall.contacts.model import Limb
from evenfall.synth.gaits import GaitTiming, Segment
from evenfall.synth.steps import Footfalls, GaitOrSegments, as_segments, gait_at, made_footfalls
from evenfall.timebase import FloatArray

__all__ = ["FootState", "Motion", "TrunkState", "made_motion"]

# Where a foot stands at mid-stance, ahead of the middle of the trunk. Our choice, as all numbers here.
HOME_M = {Limb.LF: 0.52, Limb.RF: 0.52, Limb.LH: -0.49, Limb.RH: -0.49}
LIFT_FORE_M, LIFT_HIND_M = 0.17, 0.11
CHANGE_S = 0.8  # a change of speed takes this long
# The head nods deep where the hind feet walk, and hardly where they run: radians, and hind duty in %.
NOD_LEAST_RAD, NOD_DEEP_RAD = 0.006, 0.090
NOD_FROM_PCT, NOD_FULL_PCT = 47.0, 60.0


@dataclass(frozen=True)
class FootState:
    """One foot at one moment.

    Parameters
    ----------
    x_m, y_m : float
        Place of the toe.
    down : bool
        Whether it stands.
    share : float
        How much of this stance or swing has gone by, 0 to 1.
    """

    x_m: float
    y_m: float
    down: bool
    share: float


@dataclass(frozen=True)
class TrunkState:
    """The trunk at one moment: the place of its middle, its rise fore and hind, and the nod of the head.

    ``nod_rad`` is positive when the head is low; ``sway`` runs from -1 to 1 once a stride.
    """

    x_m: float
    rise_fore_m: float
    rise_hind_m: float
    nod_rad: float
    sway: float


@dataclass(frozen=True, eq=False)
class FootPath:
    """All stances of one foot with the place of each, how high the swing after it goes, and how deep the nod."""

    falls: Footfalls
    place_m: FloatArray
    lift_m: FloatArray
    spring: FloatArray
    nod_rad: FloatArray

    def at(self, time_s: float) -> FootState:
        """Return the foot at ``time_s``."""
        k = self.stance_before(time_s)
        on_s, off_s = self.falls.on_s[k], self.falls.off_s[k]
        if time_s < off_s:
            return FootState(
                float(self.place_m[k]), 0.0, True, max(0.0, float((time_s - on_s) / (off_s - on_s)))
            )
        share = min(1.0, float((time_s - off_s) / (self.falls.on_s[k + 1] - off_s)))
        x_m = self.place_m[k] + (self.place_m[k + 1] - self.place_m[k]) * share**2 * (3 - 2 * share)
        return FootState(float(x_m), float(self.lift_m[k]) * _arc(share), False, share)

    def stance_before(self, time_s: float) -> int:
        """Return the number of the last stance that began by ``time_s``, never the very last one."""
        found = int(np.searchsorted(self.falls.on_s, time_s, side="right")) - 1
        return min(max(found, 0), len(self.falls.on_s) - 2)

    def lift(self, time_s: float) -> float:
        """Return how much this foot lifts the trunk at ``time_s``, metres."""
        k = self.stance_before(time_s)
        share = (time_s - self.falls.on_s[k]) / (self.falls.off_s[k] - self.falls.on_s[k])
        return float(self.spring[k]) * math.sin(math.pi * share) ** 2 if 0 < share < 1 else 0.0

    def nod(self, time_s: float) -> float:
        """Return how much this foot lowers the head at ``time_s``, radians: most as it lands."""
        k, share = self.stride_at(time_s)
        if 0.25 < share < 0.75:
            return 0.0
        return float(self.nod_rad[k if share < 0.5 else k + 1]) * math.cos(2 * math.pi * share) ** 2

    def stride_at(self, time_s: float) -> tuple[int, float]:
        """Return the number of the last landing, and how much of the time to the next has gone by, 0 to 1."""
        k = self.stance_before(time_s)
        start_s, end_s = self.falls.on_s[k], self.falls.on_s[k + 1]
        return k, min(max(0.0, float((time_s - start_s) / (end_s - start_s))), 1.0)


def _arc(share: float) -> float:
    """Return the height of a swinging foot as a share of its highest, highest early in the swing."""
    return math.pow(max(0.0, math.sin(math.pi * share**0.85)), 0.9)


@dataclass(frozen=True, eq=False)
class Motion:
    """A horse going along: its way and its four feet."""

    grid_s: FloatArray
    way_m: FloatArray
    paths: Mapping[Limb, FootPath]

    def feet(self, time_s: float) -> Mapping[Limb, FootState]:
        """Return the four feet at ``time_s``."""
        return {limb: path.at(time_s) for limb, path in self.paths.items()}

    def way_at(self, time_s: float) -> float:
        """Return how far the trunk has come, metres."""
        return float(np.interp(time_s, self.grid_s, self.way_m))

    def speed_at(self, time_s: float) -> float:
        """Return how fast the trunk goes, metres a second."""
        return (self.way_at(time_s + 0.02) - self.way_at(time_s - 0.02)) / 0.04

    def trunk(self, time_s: float) -> TrunkState:
        """Return the trunk at ``time_s``."""
        rise = {True: 0.0, False: 0.0}
        for limb, path in self.paths.items():
            rise[limb.is_hind] += path.lift(time_s)
        nod = sum(path.nod(time_s) for limb, path in self.paths.items() if limb.is_hind)
        sway = math.sin(2 * math.pi * self.paths[Limb.LH].stride_at(time_s)[1])
        return TrunkState(self.way_at(time_s), rise[False], rise[True], nod, sway)


def made_motion(gait_or_segments: GaitOrSegments, duration_s: float, seed: int) -> Motion:
    """Return the motion that belongs to the contacts made from the same arguments."""
    segments = as_segments(gait_or_segments)
    footfalls = made_footfalls(segments, duration_s, seed)
    first_s = min(float(falls.on_s[0]) for falls in footfalls.values())
    last_s = max(float(falls.off_s[-1]) for falls in footfalls.values())
    grid_s = np.arange(first_s - 1, last_s + 1, 0.01)
    way_m = _way(segments, grid_s)
    paths = {limb: _path(limb, falls, segments, (grid_s, way_m)) for limb, falls in footfalls.items()}
    return Motion(grid_s, way_m, paths)


def _way(segments: Sequence[Segment], grid_s: FloatArray) -> FloatArray:
    speeds = np.array([gait_at(segments, float(time_s)).ground_speed_m_s for time_s in grid_s])
    width = int(CHANGE_S / 0.01)
    padded = np.pad(speeds, (width // 2, width - 1 - width // 2), mode="edge")
    smooth = np.convolve(padded, np.full(width, 1 / width), mode="valid")
    way_m = np.cumsum(smooth) * 0.01
    return way_m - float(np.interp(0.0, grid_s, way_m))


def _path(
    limb: Limb, falls: Footfalls, segments: Sequence[Segment], way: tuple[FloatArray, FloatArray]
) -> FootPath:
    middle_s = (falls.on_s + falls.off_s) / 2
    gaits = [gait_at(segments, float(time_s)) for time_s in middle_s]
    run = np.array([_run(gait, limb) for gait in gaits])
    lift_m = (LIFT_HIND_M if limb.is_hind else LIFT_FORE_M) * (0.75 + 0.35 * np.clip(run, -0.6, 1))
    spring = np.where(run > 0, -0.045 * run, -0.022 * run)
    nod_rad = np.array([_nod_depth(gait.duty_pct[limb]) for gait in gaits])
    return FootPath(falls, np.interp(middle_s, *way) + HOME_M[limb], lift_m, spring, nod_rad)


def _run(gait: GaitTiming, limb: Limb) -> float:
    """Return how much a limb runs: 1 at a duty of 38 %, 0 at 50 %, -1 (it walks) at 62 % and above."""
    return float(np.clip((50 - gait.duty_pct[limb]) / 12, -1, 1))


def _nod_depth(duty_pct: float) -> float:
    """Return how deep the head nods, radians, with a hind foot that stands for ``duty_pct`` of the stride."""
    share = float(np.clip((duty_pct - NOD_FROM_PCT) / (NOD_FULL_PCT - NOD_FROM_PCT), 0, 1))
    return NOD_LEAST_RAD + (NOD_DEEP_RAD - NOD_LEAST_RAD) * share**2 * (3 - 2 * share)
