"""The rhythm of hoofbeats that carry no feet.

Conventions: beats come in seconds on the clip's clock; lengths of a `Rhythm` are real seconds, gaps % of the stride.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Literal

import numpy as np

from evenfall.contacts.hearing import Beats
from evenfall.errors import TooLittleEvidence
from evenfall.timebase import FloatArray

__all__ = ["HeardReading", "Rhythm", "Spread", "Unevenness", "heard_rhythm"]

STRIDES_S: Mapping[int, tuple[float, float]] = {4: (0.35, 1.7), 2: (0.35, 1.0)}
"""Strides a horse can have, real seconds; two beats a stride are a trot or pace, which no horse does slower."""

HALVES_PCT = 10.0
"""Left and right of a pair land half a stride apart, to this many points (Schmitt 2006); two beats further off are not
the two of a trot or pace."""

STRAYS = 0.08
"""Strides further than this share from those about them hold a beat too many or too few; the least gap that is heard as
two beats is about as long (our choice)."""

CLEARER = 0.6
"""A pattern is seen if beats repeat by it this much closer than by any shorter one (our choice)."""

JOINS, BRIDGED = 0.3, 4
"""A break of at most so many strides is bridged if it fits the pattern to this share of an even gap (our choice)."""


@dataclass(frozen=True)
class Spread:
    """A mean with its standard deviation from stride to stride, and the strides it was measured on."""

    mean: float
    sd: float
    n: int


@dataclass(frozen=True)
class Unevenness:
    """How far the beats are from even, % of the stride.

    Parameters
    ----------
    pct : float
        Four beats: half the difference of one gap and the next, alternately, so 0 is even and 25 two beats; for a
        symmetrical gait it is how far the lateral phase lies from 25, to either side. Two beats: how far the second
        beat lies from the middle of the stride.
    low, high : float
        95 % interval, Student's t over strides; what the attack leaves open does not average out in it.
    n : int
        Strides.
    """

    pct: float
    low: float
    high: float
    n: int


@dataclass(frozen=True)
class HeardReading:
    """The beats read as four or as two a stride.

    Parameters
    ----------
    beats_per_stride : {4, 2}
        Two means that feet land in pairs, as in a trot or a pace.
    stride_s : Spread
        Real seconds.
    gaps_pct : tuple of Spread
        From beat to beat, % of the stride, in order of time. Which foot begins is unknown: the shortest stands first.
    unevenness : Unevenness
    """

    beats_per_stride: Literal[4, 2]
    stride_s: Spread
    gaps_pct: tuple[Spread, ...]
    unevenness: Unevenness


@dataclass(frozen=True)
class Rhythm:
    """What beats alone tell.

    Parameters
    ----------
    readings : tuple of HeardReading
        One, or two where sound cannot say whether four beats or two make a stride.
    told : tuple of str
        How to understand them, in plain words.
    cannot_tell : tuple of str
        What no sound can tell, in plain words.
    """

    readings: tuple[HeardReading, ...]
    told: tuple[str, ...]
    cannot_tell: tuple[str, ...]

    @property
    def ambiguous(self) -> bool:
        """Whether the beats fit four a stride as well as two."""
        return len(self.readings) > 1


CANNOT_TELL = (
    "which foot makes which beat",
    "left from right",
    "fore from hind, so toward the pace from toward the trot: patterns that mirror each other sound alike",
    "when feet leave the ground: stance, swing, duty and support",
)


def heard_rhythm(beats: Beats, playback_factor: float = 1.0) -> Rhythm:
    """Read the rhythm of beats that carry no feet.

    Parameters
    ----------
    beats : Beats
    playback_factor : float
        Seconds of the clip's clock in one real second.

    Returns
    -------
    Rhythm

    Raises
    ------
    TooLittleEvidence
        If there are not two strides, the beats come in threes, or no horse has strides of that length.
    """
    if len(beats) < 5:
        raise TooLittleEvidence(f"{len(beats)} beats are under two strides. {_MORE}")
    times_s = beats.times_s / playback_factor
    _refuse_threes(np.diff(times_s))
    sd_s = float(np.median([beat.sd_s for beat in beats])) / playback_factor
    read = [_reading(times_s, k, sd_s) for k in _possible(times_s)]
    readings = tuple(reading for reading in read if reading is not None and not _lopsided(reading))
    if not readings:
        raise TooLittleEvidence(_why_no_strides(times_s))
    return Rhythm(readings, tuple(_told(readings)), CANNOT_TELL)


_MORE = "Film at least three strides in a row, on firm ground, with nothing else to hear."


def _repeats_s(gaps_s: FloatArray, k: int) -> float:
    """How far a gap lies from the k-th after it, median."""
    return float(np.median(np.abs(gaps_s[k:] - gaps_s[:-k]))) if len(gaps_s) > k + 2 else float("inf")


def _refuse_threes(gaps_s: FloatArray) -> None:
    if len(gaps_s) >= 9 and _repeats_s(gaps_s, 3) < CLEARER * min(_repeats_s(gaps_s, k) for k in (1, 2, 4)):
        raise TooLittleEvidence(
            "the beats come in threes, as in a canter, and even or uneven has no meaning there. Film the horse in the gait "
            "you want to know about."
        )


def _possible(times_s: FloatArray) -> list[Literal[4, 2]]:
    """Beats a stride that give a stride a horse can have; four alone if only each fourth gap is alike."""
    found: list[Literal[4, 2]] = []
    for k in (4, 2):
        low, high = STRIDES_S[k]
        if len(times_s) > 2 * k and low <= float(np.median(times_s[k:] - times_s[:-k])) <= high:
            found.append(4 if k == 4 else 2)
    gaps_s = np.diff(times_s)
    fours = len(gaps_s) >= 12 and _repeats_s(gaps_s, 4) < CLEARER * _repeats_s(gaps_s, 2)
    return [4] if fours and 4 in found else found


def _lopsided(reading: HeardReading) -> bool:
    return reading.beats_per_stride == 2 and reading.unevenness.low > HALVES_PCT


def _reading(times_s: FloatArray, k: Literal[4, 2], sd_s: float) -> HeardReading | None:
    """Read the beats as ``k`` a stride; None under two strides."""
    gaps_s = _strides(times_s, k)
    if len(gaps_s) < 2:
        return None
    strides_s = gaps_s.sum(axis=1)
    shares = 100 * gaps_s / strides_s[:, None]
    shares = np.roll(shares, -int(np.argmin(shares.mean(axis=0))), axis=1)
    return HeardReading(
        beats_per_stride=k,
        stride_s=_spread(strides_s),
        gaps_pct=tuple(_spread(gap) for gap in shares.T),
        unevenness=_unevenness(shares, 100 * sd_s / float(strides_s.mean())),
    )


def _spread(values: FloatArray) -> Spread:
    return Spread(float(values.mean()), float(values.std(ddof=1)), len(values))


def _unevenness(shares: FloatArray, sd_pct: float) -> Unevenness:
    """Alternate gaps against each other; ``sd_pct`` of one beat stays however many strides there are."""
    from scipy.special import stdtrit  # noqa: PLC0415 - half a second, and only needed here

    n, k = shares.shape
    signs = np.where(np.arange(k) % 2, 1.0, -1.0) / k
    values = shares @ signs
    middle = float(values.mean())
    half = hypot(float(stdtrit(n - 1, 0.975)) * float(values.std(ddof=1)) / sqrt(n), 1.96 * sd_pct)
    ends = sorted((abs(middle - half), abs(middle + half)))
    return Unevenness(abs(middle), 0.0 if abs(middle) <= half else ends[0], ends[1], n)


def _strides(times_s: FloatArray, k: int) -> FloatArray:
    """Gaps of whole strides one after the other, shape (n_strides, k); the first beat of each is the same foot's."""
    runs = _unbroken(times_s, k)
    if not runs:
        return np.empty((0, k))
    longest = max(runs, key=len)
    pattern = _gaps(longest, k).mean(axis=0)
    lined_up = [run if run is longest else _lined_up(run, longest, pattern) for run in runs]
    return np.concatenate([_gaps(run, k) for run in lined_up])


def _gaps(times_s: FloatArray, k: int) -> FloatArray:
    whole = (len(times_s) - 1) // k * k
    return np.diff(times_s[: whole + 1]).reshape(-1, k)


def _unbroken(times_s: FloatArray, k: int) -> list[FloatArray]:
    """Rows of beats in which none is missing and none too many."""
    strides_s = times_s[k:] - times_s[:-k]
    about_s = np.array([np.median(strides_s[max(i - 8, 0) : i + 9]) for i in range(len(strides_s))])
    good = np.concatenate([[False], np.abs(strides_s / about_s - 1) < STRAYS, [False]])
    begins, ends = (np.flatnonzero(np.diff(good.astype(int)) == step) for step in (1, -1))
    return [times_s[begin : end + k] for begin, end in zip(begins, ends, strict=True)]


def _lined_up(run: FloatArray, longest: FloatArray, pattern: FloatArray) -> FloatArray:
    """Cut off the beats before the foot that begins the strides of the longest run; all, if that is not clear."""
    k, stride_s = len(pattern), float(pattern.sum())
    after = run[0] > longest[0]
    nearest = 0 if after else len(run) - 1
    known_s = longest[(len(longest) - 1) // k * k] if after else longest[0]
    away_s = float(run[nearest] - known_s)
    places = np.concatenate([[0.0], np.cumsum(pattern)[:-1]])
    off_s = (away_s - places + stride_s / 2) % stride_s - stride_s / 2
    place = int(np.argmin(np.abs(off_s)))
    unclear = abs(away_s) > BRIDGED * stride_s or abs(off_s[place]) > JOINS * stride_s / k
    return run[:0] if unclear else run[(nearest - place) % k :]


def _why_no_strides(times_s: FloatArray) -> str:
    gap_s = float(np.median(np.diff(times_s)))
    return (
        f"{len(times_s)} beats, mostly {1000 * gap_s:.0f} ms apart, do not make two whole strides of four beats or two. "
        f"{_MORE} If the film is in slow motion, give its true rate."
    )


def _told(readings: Sequence[HeardReading]) -> Iterator[str]:
    for reading in readings:
        stride = f"a stride of {reading.stride_s.mean:.2f} s"
        if reading.beats_per_stride == 4:
            yield f"Read as four beats: {stride}, each foot heard by itself."
        else:
            yield f"Read as two beats: {stride}, the feet landing in pairs, as in a trot or a pace."
    if len(readings) > 1:
        yield "Sound alone cannot say which of the two it is. Count the beats of one foot in the film."
