"""The sound track: a thud at each landing over a breath of wind.

Conventions: samples are float32 between -1 and 1, one channel, `RATE_HZ` a second, on the clip's clock.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.model import Contacts, Limb

__all__ = ["RATE_HZ", "HoofSound"]

RATE_HZ = 48_000
THUD_S = 0.12
PITCH_HZ: Mapping[Limb, float] = {Limb.LF: 150.0, Limb.RF: 168.0, Limb.LH: 112.0, Limb.RH: 126.0}
WIND = 0.004
Samples = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class HoofSound:
    """What is heard of a ride; the samples are made as they are asked for, the same each time.

    Parameters
    ----------
    truth : Contacts
        Contacts on the clip's clock.
    seed : int
    """

    truth: Contacts
    seed: int

    def block(self, number: int, size: int) -> Samples:
        """Return the samples of one block, shape (size,)."""
        first = number * size
        sound = np.random.default_rng([self.seed, 41, number]).normal(0, WIND, size).astype(np.float32)
        for limb in Limb:
            thud = _thud(limb)
            for landing in self.truth.landings(limb):
                begin = round(landing.time_s * RATE_HZ) - first
                if -len(thud) < begin < size:
                    start, end = max(begin, 0), min(begin + len(thud), size)
                    sound[start:end] += thud[start - begin : end - begin]
        return np.clip(sound, -1, 1)


def _thud(limb: Limb) -> Samples:
    """Return one hoofbeat: a click of the rim and a short, falling hum of the ground."""
    time_s = np.arange(round(THUD_S * RATE_HZ)) / RATE_HZ
    pitch = PITCH_HZ[limb]
    hum = np.sin(2 * np.pi * pitch * (time_s - 1.2 * time_s**2)) * np.exp(-time_s / 0.022)
    click = np.random.default_rng(int(pitch)).normal(size=len(time_s)) * np.exp(-time_s / 0.004)
    return np.asarray(0.42 * hum + 0.20 * click, np.float32)
