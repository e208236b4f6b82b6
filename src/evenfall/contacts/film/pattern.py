"""One stride period for all four feet: which half-stride, and which moment in it, the bars fit best.

In a symmetrical gait the fores land by turns, half a stride apart, and so do the hinds. For every half
stride from the literature's range the bars of each pair are laid against evenly spaced stances; what fits
best, as many stances found as possible and as few bars left over, is the pattern.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.bars import Bar
from evenfall.timebase import FloatArray

__all__ = ["PairPattern", "Pattern", "fit_pattern", "overlap"]

Times = NDArray[np.floating]

HALF_STRIDES_S = (0.18, 0.85)
"""Strides of 0.36 to 1.7 s: from a racing trot to a slow walk (gait_timing.md, section A, with room)."""

STANCES = (0.6, 0.75, 0.9, 1.05, 1.2, 1.35, 1.5)
"""Stance in half strides: duty 30 to 75 %."""

FARTHEST_U = 0.55
REACH, REACH_SLACK, REACH_COST = (0.30, 0.60), 0.15, 0.3
"""The way a horse goes over one standing foot, in widths of its picture, in any gait: about a metre of the two
and a half from nose to tail (common practice, no source), and what departing from it costs (our choice)."""


@dataclass(frozen=True)
class PairPattern:
    """The stances of the fores, or of the hinds.

    Parameters
    ----------
    score : float
        Balance of stances found and bars used, 0 to 1.
    phase_s : float
        Start of stance number 0.
    stance_s : float
    """

    score: float
    phase_s: float
    stance_s: float


@dataclass(frozen=True)
class Pattern:
    """The best fit.

    Parameters
    ----------
    half_s : float
        Half a stride, real seconds.
    pairs : tuple of PairPattern
        Fores and hinds.
    """

    half_s: float
    pairs: tuple[PairPattern, PairPattern]


@dataclass(frozen=True, eq=False)
class _Evidence:
    """The bars of one pair as arrays, and for how long that part of the horse is in the picture.

    Times count from when it comes in: half the digits do, in half the time.
    """

    start: Times
    end: Times
    weight: Times
    first_s: float
    lasts_s: float
    speed: float


def fit_pattern(
    bars: Sequence[Bar], visible: tuple[tuple[float, float], tuple[float, float]], speed: float
) -> Pattern | None:
    """Fit one half stride to the bars of fores and hinds.

    Parameters
    ----------
    bars : sequence of Bar
    visible : tuple of (float, float)
        From when to when the fores, and the hinds, are in the picture.
    speed : float
        Of the horse, its widths a second.

    Returns
    -------
    Pattern or None
        None with fewer than two bars of either pair.
    """
    evidence = [_evidence(bars, hind, visible[hind], speed) for hind in (0, 1)]
    if min(len(pair.start) for pair in evidence) < 2:
        return None
    halves = np.geomspace(*HALF_STRIDES_S, 110)
    half = _best(halves, evidence, STANCES, 20)
    for step in (0.02, 0.006):
        half = _best(half * (1 + step * np.linspace(-1, 1, 7)), evidence, np.linspace(0.5, 1.6, 12), 28)
    fores, hinds = (_fit(pair, half, np.linspace(0.45, 1.7, 26), 40) for pair in evidence)
    return Pattern(half, (fores, hinds))


def _evidence(bars: Sequence[Bar], hind: int, visible: tuple[float, float], speed: float) -> _Evidence:
    pair = [bar for bar in bars if bar.is_hind == bool(hind) and abs(sum(bar.along)) / 2 < FARTHEST_U]
    weight = np.array([bar.weight for bar in pair])
    spans = np.array([(bar.from_s, bar.to_s) for bar in pair]).reshape(-1, 2) - visible[0]
    start, end = spans.T.astype(np.float32)
    weight = (weight / weight.max() if pair else weight).astype(np.float32)
    return _Evidence(start, end, weight, visible[0], visible[1] - visible[0], speed)


def _best(
    halves: FloatArray, evidence: Sequence[_Evidence], stances: Sequence[float] | FloatArray, phases: int
) -> float:
    scores = [sum(_fit(pair, float(half), stances, phases).score for pair in evidence) for half in halves]
    return float(halves[int(np.argmax(scores))])


def _fit(pair: _Evidence, half: float, stances: Sequence[float] | FloatArray, phases: int) -> PairPattern:
    """The best phase and stance of one pair for a given half stride."""
    best = PairPattern(-1.0, pair.first_s, half)
    shifts = np.arange(phases) / phases * half
    for share in stances:
        stance = float(share) * half
        number = np.arange(-2, int((pair.lasts_s + stance) / half) + 2)
        starts = (shifts[:, None] + number * half).astype(np.float32)
        scores = _balance(pair, starts, stance) * _reach_weight(pair.speed * stance)
        k = int(np.argmax(scores))
        if scores[k] > best.score:
            best = PairPattern(float(scores[k]), float(pair.first_s + shifts[k]), stance)
    return best


def _reach_weight(reach: float) -> float:
    """How likely a foot stays down for so much way, in widths of the horse: 1 for what legs reach."""
    least, most = REACH
    short, far = (least - reach) / REACH_SLACK, (reach - most) / REACH_SLACK
    return 1 - REACH_COST * float(np.clip(max(short, far), 0, 1))


def _balance(pair: _Evidence, starts: Times, stance: float) -> Times:
    """Harmonic mean of the share of stances found and the share of bars used; shape (phases,)."""
    middle = starts + stance / 2
    expected = (middle > 0) & (middle < pair.lasts_s)
    begin, end = np.clip(starts, 0, pair.lasts_s), np.clip(starts + stance, 0, pair.lasts_s)
    fits = overlap(begin[..., None], end[..., None], pair.start, pair.end)
    found = np.where(expected, (fits * np.sqrt(pair.weight)).max(axis=2), 0).sum(axis=1)
    found = found / np.maximum(expected.sum(axis=1), 1)
    used = (fits.max(axis=1) * pair.weight).sum(axis=1) / pair.weight.sum()
    return np.asarray(2 * found * used / (found + used + 1e-9))


def overlap(
    start: Times | float, end: Times | float, other_start: Times | float, other_end: Times | float
) -> Times:
    """Share of two stretches of time that they have in common: 1 for equal ones, 0 for apart."""
    both = np.clip(np.minimum(end, other_end) - np.maximum(start, other_start), 0, None)
    either = np.maximum(end, other_end) - np.minimum(start, other_start)
    return np.asarray(both / np.maximum(either, 1e-6))
