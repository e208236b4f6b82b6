"""The beat of a film to show: a click for each landing, at the time the film gives it.

Conventions: times are seconds of the film to show, from its first picture; samples are float32, -1 to 1, shape (2, n):
left and right.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenfall.clip.sound import Samples, Sound
from evenfall.contacts import Limb
from evenfall.timebase import FloatArray

__all__ = ["RATE_HZ", "Beat", "beaten", "slowed"]

RATE_HZ = 48_000
PITCH_HZ: Mapping[Limb, float] = {Limb.LH: 392.0, Limb.RH: 466.0, Limb.LF: 784.0, Limb.RF: 932.0}
"""Hinds low, fores high, as on the film's page, an octave up: a phone's speaker has little below (our choice)."""

EVEN_HZ = 2400.0
CLICK_S, EVEN_S, ATTACK_S = 0.09, 0.02, 0.001
FALL_S = 0.004
"""By how much the tone runs ahead as it begins higher: a knock rather than a whistle."""

LOUD, EVEN_LOUD = 0.6, 0.22
NEAR, FAR = 1.0, 0.3
"""How loud a beat is on its own side, and on the other: a telephone that plays one side only misses none."""

Side = Literal["left", "right", "middle"]
SIDES: Mapping[Side, tuple[float, float]] = {"left": (NEAR, FAR), "right": (FAR, NEAR), "middle": (0.7, 0.7)}


@dataclass(frozen=True)
class Beat:
    """One sound.

    Parameters
    ----------
    time_s : float
    limb : Limb or None
        Whose landing; None for a beat of the even four.
    side : {"left", "right", "middle"}
        Where it is heard.
    """

    time_s: float
    limb: Limb | None
    side: Side


def beaten(beats: Iterable[Beat], length_s: float) -> Samples:
    """Sound every beat, each beginning on its own sample.

    Parameters
    ----------
    beats : iterable of Beat
        Those before 0 or after the end are left out.
    length_s : float

    Returns
    -------
    ndarray of float32, shape (2, n)
    """
    sound = np.zeros((2, round(length_s * RATE_HZ)), np.float32)
    for beat in beats:
        begin = round(beat.time_s * RATE_HZ)
        if 0 <= begin < sound.shape[1]:
            click = _click(beat.limb)[: sound.shape[1] - begin]
            sound[:, begin : begin + len(click)] += np.outer(SIDES[beat.side], click)
    return np.asarray(np.clip(sound, -1, 1), np.float32)


def slowed(sound: Sound, start_s: float, stretch: float, length_s: float) -> Samples:
    """The film's own sound played slower, and so lower.

    Parameters
    ----------
    sound : Sound
        On the clip's clock.
    start_s : float
        Of the clip, where the film to show begins.
    stretch : float
        Seconds of the film to show in one of the clip.
    length_s : float
    """
    wanted_s = start_s + np.arange(round(length_s * RATE_HZ)) / RATE_HZ / stretch
    there_s = sound.start_s + np.arange(len(sound.samples)) / sound.rate_hz
    heard = np.interp(wanted_s, there_s, sound.samples, left=0, right=0).astype(np.float32)
    return np.stack([heard, heard])


def _click(limb: Limb | None) -> FloatArray:
    """A short falling tone with a hard beginning."""
    long_s, pitch, loud = (EVEN_S, EVEN_HZ, EVEN_LOUD) if limb is None else (CLICK_S, PITCH_HZ[limb], LOUD)
    time_s = np.arange(round(long_s * RATE_HZ)) / RATE_HZ
    swell = np.minimum(1.0, time_s / ATTACK_S) * np.exp(-5 * time_s / long_s)
    turn = 2 * np.pi * pitch * (time_s + FALL_S * (1 - np.exp(-time_s / 0.01)))
    return np.asarray(loud * swell * (0.8 * np.sin(turn) + 0.2 * np.sin(3 * turn)))
