"""Each stance of the pattern with the bars that show it, and the moments of landing and lift-off.

A moment is the weighted median of what the several looks at its bars say; where none says it, it is
inferred from the foot's other strides and called so. Every moment is checked against the pair's own run,
a line through its moments with a place for a left-right difference and a slow change of pace.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.pattern import Pattern, overlap
from evenfall.timebase import FloatArray

__all__ = ["Moment", "Stance", "stances_of"]

LEAST_OVERLAP = 0.3
NEAR, NEAR_S, RUN_WIDTHS = 0.15, 0.02, (3.0, 4.0)
"""How near to its run a look is trusted: at most this part of a half stride, at least so many seconds, and between
them so many times the run's own scatter, more where pictures are far apart; beyond twice that it is not listened to (our
choice)."""
CLOSE_S = (1 / 30, 1 / 15)
"""Pictures no further apart than the first are close, those as far apart as the second are not."""

ROUGH_WEIGHTS = (0.0, 0.15)
"""What a look that only parted one foot from another counts where pictures are far apart; where they are close, nothing."""

LEAST_OF_A_SIDE = 2
LEAST_SCATTER_S = 0.004
EDGE, LEAST_OF_STANCE = 0.03, 0.4


@dataclass
class Moment:
    """A landing or a lift-off.

    Parameters
    ----------
    expected_s : float
        Where the pair's run puts it.
    time_s : float
        Where the bars put it; NaN where they do not say.
    looks : int
        How many looks said so.
    spread_s : float
        Their weighted median distance from it.
    scatter_s : float
        Of the pair's moments of this kind about their run.
    rough : bool
        Whether every look only parted it from another foot's.
    """

    expected_s: float
    time_s: float = float("nan")
    looks: int = 0
    spread_s: float = 0.0
    scatter_s: float = 0.03
    rough: bool = False


@dataclass
class Stance:
    """One foot down once.

    Parameters
    ----------
    hind : bool
    number : int
        Within its pair; odd and even are the two sides.
    on, off : Moment
    bars : list of (float, Bar)
        How well each fits, and the bar.
    """

    hind: bool
    number: int
    on: Moment
    off: Moment
    bars: list[tuple[float, Bar]] = field(default_factory=list)

    @property
    def middle_s(self) -> float:
        """Expected middle."""
        return (self.on.expected_s + self.off.expected_s) / 2


def stances_of(
    pattern: Pattern,
    bars: Sequence[Bar],
    visible: tuple[tuple[float, float], tuple[float, float]],
    fps: float,
) -> list[Stance]:
    """Lay the bars onto the pattern's stances.

    Parameters
    ----------
    pattern : Pattern
    bars : sequence of Bar
    visible : tuple of (float, float)
        From when to when the fores, and the hinds, are in the picture.
    fps : float
        Pictures looked at in a real second.

    Returns
    -------
    list of Stance
        Those in which that part of the horse is in the picture, in order of pair and time.
    """
    stances = [stance for hind in (False, True) for stance in _expected(pattern, hind, visible[hind])]
    for bar in bars:
        _give(bar, stances, visible)
    trust = _Trust.at_rate(fps, pattern.half_s)
    for stance in stances:
        _date(stance, trust)
    for _ in range(2):
        for hind in (False, True):
            _run([stance for stance in stances if stance.hind is hind])
        for stance in stances:
            _date(stance, trust)
    for stance in stances:
        _put_right(stance)
    return stances


def _expected(pattern: Pattern, hind: bool, visible: tuple[float, float]) -> list[Stance]:
    pair, half = pattern.pairs[hind], pattern.half_s
    first, last = visible
    low = int((first - pair.phase_s - pair.stance_s) / half) - 1
    high = int((last - pair.phase_s) / half) + 2
    stances = []
    for number in range(low, high):
        on = pair.phase_s + number * half
        off = on + pair.stance_s
        if off >= first + EDGE * pair.stance_s and on <= last - EDGE * pair.stance_s:
            stances.append(Stance(hind, number, Moment(on), Moment(off)))
    return stances


def _give(bar: Bar, stances: list[Stance], visible: tuple[tuple[float, float], tuple[float, float]]) -> None:
    """Give the bar to the stance it fits best, if any."""
    fits = []
    for stance in stances:
        first, last = visible[stance.hind]
        begin, end = max(stance.on.expected_s, first), min(stance.off.expected_s, last)
        fit = float(overlap(begin, end, bar.from_s, bar.to_s)) if stance.hind is bar.is_hind else 0.0
        fits.append(fit)
    if fits and max(fits) > LEAST_OVERLAP:
        best = int(np.argmax(fits))
        stances[best].bars.append((fits[best], bar))


@dataclass(frozen=True)
class _Trust:
    """How far looks are trusted: the half stride, how many scatters from the run, and what a rough one counts."""

    half_s: float
    run_widths: float
    rough_weight: float

    @staticmethod
    def at_rate(fps: float, half_s: float) -> "_Trust":
        widths, rough = (float(np.interp(1 / fps, CLOSE_S, values)) for values in (RUN_WIDTHS, ROUGH_WEIGHTS))
        return _Trust(half_s, widths, rough)


def _date(stance: Stance, trust: _Trust) -> None:
    for moment, which in ((stance.on, "on"), (stance.off, "off")):
        said = [
            (time, weight, rough)
            for _, bar in stance.bars
            for look in bar.looks
            for time, weight, rough in [_said(look, which, moment, trust)]
            if weight > 0
        ]
        moment.looks, moment.rough = len(said), bool(said) and all(rough for *_, rough in said)
        if said:
            times, weights = np.array([(time, weight) for time, weight, _ in said]).T
            moment.time_s = weighted_median(times, weights)
            moment.spread_s = weighted_median(np.abs(times - moment.time_s), weights)
        else:
            moment.time_s = float("nan")


def _said(look: Bar, which: str, moment: Moment, trust: _Trust) -> tuple[float, float, bool]:
    """What one look says of the moment, its weight (0 for nothing), and whether it is rough.

    The steadier the foot's run, the nearer to it a look must lie to be trusted.
    """
    time, rough = (look.on_s, look.rough_on) if which == "on" else (look.off_s, look.rough_off)
    near = float(np.clip(trust.run_widths * moment.scatter_s, NEAR_S, NEAR * trust.half_s))
    off = (time - moment.expected_s) / near
    if not abs(off) < 2:
        return time, 0.0, rough
    weight = np.sqrt(look.contrast) * min(look.held_s, 0.3) * np.exp(-0.5 * off**2)
    return time, float(weight * (trust.rough_weight if rough else 1.0)), rough


def _put_right(stance: Stance) -> None:
    """Where what was seen leaves hardly a stance, it is not believed, neither the landing nor the lift-off."""
    expected_s = stance.off.expected_s - stance.on.expected_s
    if stance.off.time_s - stance.on.time_s < LEAST_OF_STANCE * expected_s:
        stance.on.time_s = stance.off.time_s = float("nan")


def _run(pair: list[Stance]) -> None:
    """Fit the pair's landings, and its lift-offs, by their number; set where each is expected."""
    for which in ("on", "off"):
        moments = [getattr(stance, which) for stance in pair]
        numbers = np.array([stance.number for stance in pair], float)
        times = np.array([moment.time_s for moment in moments])
        known = np.isfinite(times)
        if known.sum() < 4:
            continue
        design = _design(numbers, known)
        expected, scatter = _robust_line(design, times, known)
        for moment, time in zip(moments, expected, strict=True):
            moment.expected_s, moment.scatter_s = float(time), scatter


def _design(numbers: FloatArray, known: NDArray[np.bool_]) -> FloatArray:
    """Columns: level and pace; the sides' difference if both are seen, from 6 moments on; a change of pace from 8 on."""
    columns = [np.ones_like(numbers), numbers]
    n, odd = int(known.sum()), int((numbers[known] % 2).sum())
    if n >= 6 and min(odd, n - odd) >= LEAST_OF_A_SIDE:
        columns.append(numbers % 2 * 2 - 1)
    if n >= 8:
        columns.append((numbers - numbers[known].mean()) ** 2)
    return np.stack(columns, axis=1)


def _robust_line(design: FloatArray, times: FloatArray, known: NDArray[np.bool_]) -> tuple[FloatArray, float]:
    """Least squares with far moments weighed down; every stance's expected time, and the scatter.

    It starts from the median of the slopes between all pairs of moments (Theil 1950, from memory).
    """
    rest = times[known] - _median_line(design[known, 1], times[known])
    for _ in range(8):
        scatter = max(1.4826 * float(np.median(np.abs(rest))), LEAST_SCATTER_S)
        weights = 1 / np.sqrt(1 + (rest / (1.5 * scatter)) ** 2)
        solution = np.linalg.lstsq(design[known] * weights[:, None], times[known] * weights, rcond=None)[0]
        rest = times[known] - design[known] @ solution
    return design @ solution, max(1.4826 * float(np.median(np.abs(rest))), LEAST_SCATTER_S)


def _median_line(numbers: FloatArray, times: FloatArray) -> FloatArray:
    one, two = np.triu_indices(len(numbers), 1)
    slope = np.median((times[two] - times[one]) / (numbers[two] - numbers[one]))
    level = np.median(times - slope * numbers)
    return np.asarray(level + slope * numbers)


def weighted_median(values: FloatArray, weights: FloatArray) -> float:
    """The value at which half of the weight is reached."""
    order = np.argsort(values)
    reached = np.cumsum(weights[order]) / weights.sum()
    return float(values[order][min(int(np.searchsorted(reached, 0.5)), len(values) - 1)])
