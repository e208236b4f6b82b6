"""The true contacts of a made-up ride, drawn stride by stride with a seeded spread.

Conventions: times are real seconds from the first picture on; a slow-motion clock comes later.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from evenfall.contacts.model import Contact, Contacts, Event, Limb
from evenfall.errors import WrongSetting
from evenfall.synth.gaits import GaitTiming, Segment
from evenfall.timebase import FloatArray

__all__ = ["Footfalls", "GaitOrSegments", "as_segments", "gait_at", "made_contacts", "made_footfalls"]

GaitOrSegments = GaitTiming | Sequence[Segment]

MARGIN_STRIDES = 3  # strides before the first and after the last picture, so every swing has two ends
LEAST_SWING = 0.10  # of a stride
LEAST_STANCE = 0.10  # of a stride


@dataclass(frozen=True, eq=False)
class Footfalls:
    """The stances of one foot, some of them before and after the film.

    Parameters
    ----------
    on_s, off_s : ndarray, shape (n,)
        Landing and lift-off of each stance, real seconds, each lift-off before the next landing.
    """

    on_s: FloatArray
    off_s: FloatArray


def made_contacts(gait_or_segments: GaitOrSegments, duration_s: float, seed: int = 0) -> Contacts:
    """Return every landing and lift-off within ``duration_s`` real seconds, sorted, source ``"truth"``.

    Parameters
    ----------
    gait_or_segments : GaitTiming or sequence of Segment
        One gait throughout, or gaits one after the other.
    duration_s : float
        Length of the ride, real seconds.
    seed : int
        The same seed gives the same contacts.

    Raises
    ------
    WrongSetting
        If there is no gait or no time to go in.
    """
    footfalls = made_footfalls(gait_or_segments, duration_s, seed)
    marks = (mark for limb, falls in footfalls.items() for mark in _marks(limb, falls))
    return Contacts(mark for mark in marks if 0 <= mark.time_s < duration_s)


def made_footfalls(
    gait_or_segments: GaitOrSegments, duration_s: float, seed: int
) -> Mapping[Limb, Footfalls]:
    """Return the stances of all four feet, a few strides beyond the film at either end."""
    segments = as_segments(gait_or_segments)
    if not duration_s > 0:
        raise WrongSetting(f"a ride lasts longer than 0 s, not {duration_s:g}")
    rng = np.random.default_rng([seed, 1])
    strides = list(_strides(segments, duration_s, rng))
    return {limb: _footfalls(limb, strides, rng) for limb in Limb}


def as_segments(gait_or_segments: GaitOrSegments) -> Sequence[Segment]:
    """Return one gait as a list of one segment, and a list as it is."""
    if isinstance(gait_or_segments, GaitTiming):
        return [Segment(gait_or_segments, 1.0)]
    if not gait_or_segments or any(segment.duration_s <= 0 for segment in gait_or_segments):
        raise WrongSetting("give at least one gait, each held for longer than 0 s")
    return gait_or_segments


def gait_at(segments: Sequence[Segment], time_s: float) -> GaitTiming:
    """Return the gait of the segment that ``time_s`` falls into."""
    for segment in segments:
        time_s -= segment.duration_s
        if time_s < 0:
            return segment.gait
    return segments[-1].gait


Stride = tuple[float, float, GaitTiming]  # LH landing in real seconds, stride time in seconds, gait


def _strides(segments: Sequence[Segment], duration_s: float, rng: np.random.Generator) -> Iterator[Stride]:
    first, last = segments[0].gait, gait_at(segments, duration_s)
    start_s = -(MARGIN_STRIDES + rng.uniform()) * first.stride_s
    while start_s < duration_s + MARGIN_STRIDES * last.stride_s:
        gait = gait_at(segments, start_s)
        length_s = gait.stride_s * (1 + _spread(rng, gait.stride_sd_pct))
        yield start_s, length_s, gait
        start_s += length_s


def _footfalls(limb: Limb, strides: Sequence[Stride], rng: np.random.Generator) -> Footfalls:
    on_s, off_s = [], []
    for start_s, length_s, gait in strides:
        stray = 0.0 if limb is Limb.LH else _spread(rng, gait.phase_sd_pct)
        on_s.append(start_s + (gait.offset_pct[limb] / 100 + stray) * length_s)
        off_s.append(on_s[-1] + (gait.duty_pct[limb] / 100 + _spread(rng, gait.duty_sd_pct)) * length_s)
    return _kept_apart(on_s, off_s, [length_s for _, length_s, _ in strides])


def _kept_apart(on_s: list[float], off_s: list[float], length_s: list[float]) -> Footfalls:
    """Shorten a stance, or put off a landing, where a change of gait would have a foot land twice."""
    for k in range(1, len(on_s)):
        earliest = on_s[k - 1] + (LEAST_STANCE + LEAST_SWING) * length_s[k - 1]
        on_s[k] = max(on_s[k], earliest)
        off_s[k] = max(off_s[k], on_s[k] + LEAST_STANCE * length_s[k])
        off_s[k - 1] = min(off_s[k - 1], on_s[k] - LEAST_SWING * length_s[k - 1])
    return Footfalls(np.asarray(on_s), np.asarray(off_s))


def _spread(rng: np.random.Generator, sd_pct: float) -> float:
    """Draw a share of the stride around zero, cut off at three standard deviations."""
    return float(np.clip(rng.normal(), -3, 3)) * sd_pct / 100


def _marks(limb: Limb, falls: Footfalls) -> Iterator[Contact]:
    for on_s, off_s in zip(falls.on_s, falls.off_s, strict=True):
        yield Contact(limb, Event.ON, float(on_s), source="truth")
        yield Contact(limb, Event.OFF, float(off_s), source="truth")
