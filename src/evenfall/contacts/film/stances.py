"""Each stance of the pattern with the bars that show it, and the moments of landing and lift-off.

A moment is the weighted median of what the several looks at its bars say; where none says it, it is
inferred from the horse's other strides, and from the foot's own other moment, and called so. Every moment
is checked against the run of all four feet.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.clock import Moments, expected_times
from evenfall.contacts.film.pattern import Pattern, overlap
from evenfall.timebase import FloatArray

__all__ = ["Moment", "Stance", "stances_of"]

LEAST_OVERLAP = 0.3
NEAR, NEAR_S, RUN_WIDTHS = 0.15, (0.02, 0.05), (2.5, 4.0)
"""How near to its run a look is trusted: at most this part of a half stride, at least so many seconds, and between
them so many times the run's own scatter, both more where pictures are far apart; beyond twice that it is not listened to (our
choice)."""
LAST_TO_LEAVE = (0.5, 0.85)
"""The share of looks that have left by the lift-off. Where pictures are far apart the looks at heel and toe differ: the
heel rises first, the toe stands to the last (our choice, seen in ridden walks)."""
CLOSE_S, ALL_S = (1 / 30, 1 / 15), (1 / 60, 1 / 30, 1 / 15)
"""Pictures no further apart than the first are close, those as far apart as the second are not."""

ROUGH_WEIGHTS = (0.0, 0.15)
"""What a look that only parted one foot from another counts where pictures are far apart; where they are close, nothing."""

TOGETHER = 0.7
"""By how much of a foot's lateness at landing its lift-off is expected later, and the other way round (our choice: seven
to nine tenths in feet of two drawing programs; of real ones it is not known)."""

SLOWLY, QUICKLY_S = (0.5, 0.8, 0.0), 0.02
"""How much later a horse's landings are than they look, of the time by which its hooves take longer than this to arrive: what
feet of two drawing programs show at 60 and 30 pictures a second; at 15 nothing is known of it."""

HINDS_LATER_S = (0.004, 0.004, 0.0)
"""How much later still a hind lands than it looks: it comes in lower than a fore, and covers its place earlier (of feet of two
drawing programs; at 15 pictures a second it is nothing)."""

NARROW_EARLY_S, NARROW_LATE_S = (0.0045, 0.0), (0.0, 0.007)
"""How much too early fores and hinds seem to land, and too late to leave, where only what is bright or narrow is looked at: the
least of a hoof counts there (the middle of feet of two drawing programs, 30 pictures a second and more; at 15 it is not known)."""

ARRIVED_NEAR_S, LEAST_ARRIVALS = 0.015, 3

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
    hidden : bool
        Whether another leg hides this foot's moments of this kind, so that no look at them is believed.
    """

    expected_s: float
    time_s: float = float("nan")
    looks: int = 0
    spread_s: float = 0.0
    scatter_s: float = 0.03
    rough: bool = False
    hidden: bool = False


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
    def moments(self) -> tuple[Moment, Moment]:
        """Landing and lift-off."""
        return self.on, self.off

    @property
    def middle_s(self) -> float:
        """Expected middle."""
        return (self.on.expected_s + self.off.expected_s) / 2


def stances_of(
    pattern: Pattern,
    bars: Sequence[Bar],
    visible: tuple[tuple[float, float], tuple[float, float]],
    fps: float,
    *,
    narrow: bool = False,
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
    narrow : bool
        Whether only what is bright or narrow was looked at.

    Returns
    -------
    list of Stance
        Those in which that part of the horse is in the picture, in order of pair and time.
    """
    stances = [stance for hind in (False, True) for stance in _expected(pattern, hind, visible[hind])]
    _give(bars, stances, visible)
    trust = _Trust.at_rate(fps, pattern.half_s)
    for stance in stances:
        _date(stance, trust)
    even_s = np.array([moment.expected_s for stance in stances for moment in stance.moments])
    for _ in range(2):
        _run(stances, even_s)
        for stance in stances:
            _date(stance, trust)
    for stance in stances:
        _move_together(stance)
        _put_right(stance)
    _put_later(stances, fps)
    if narrow:
        _shorten(stances, fps)
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


def _give(
    bars: Sequence[Bar], stances: list[Stance], visible: tuple[tuple[float, float], tuple[float, float]]
) -> None:
    """Give each bar to the stance it fits best, if any."""
    if not stances:
        return
    hind = np.array([stance.hind for stance in stances])
    first, last = np.array(visible)[hind.astype(int)].T
    begin = np.maximum([stance.on.expected_s for stance in stances], first)
    end = np.minimum([stance.off.expected_s for stance in stances], last)
    for bar in bars:
        fits = np.where(hind == bar.is_hind, overlap(begin, end, bar.from_s, bar.to_s), 0.0)
        best = int(np.argmax(fits))
        if fits[best] > LEAST_OVERLAP:
            stances[best].bars.append((float(fits[best]), bar))


@dataclass(frozen=True)
class _Trust:
    """How far looks are trusted.

    The half stride, how near at least, how many scatters from the run, what a rough one counts, and the share that has
    left by the lift-off.
    """

    half_s: float
    near_s: float
    run_widths: float
    rough_weight: float
    toe: float

    @staticmethod
    def at_rate(fps: float, half_s: float) -> "_Trust":
        by_rate = (NEAR_S, RUN_WIDTHS, ROUGH_WEIGHTS, LAST_TO_LEAVE)
        return _Trust(half_s, *(float(np.interp(1 / fps, CLOSE_S, values)) for values in by_rate))


def _date(stance: Stance, trust: _Trust) -> None:
    for moment, which, share in ((stance.on, "on", 0.5), (stance.off, "off", trust.toe)):
        said = [
            (time, weight, rough)
            for _, bar in stance.bars
            for look in bar.looks
            for time, weight, rough in [_said(look, which, moment, trust)]
            if weight > 0 and not moment.hidden
        ]
        moment.looks, moment.rough = len(said), bool(said) and all(rough for *_, rough in said)
        if said:
            times, weights = np.array([(time, weight) for time, weight, _ in said]).T
            moment.time_s = weighted_quantile(times, weights, share)
            moment.spread_s = weighted_median(np.abs(times - moment.time_s), weights)
        else:
            moment.time_s = float("nan")


def _said(look: Bar, which: str, moment: Moment, trust: _Trust) -> tuple[float, float, bool]:
    """What one look says of the moment, its weight (0 for nothing), and whether it is rough.

    The steadier the foot's run, the nearer to it a look must lie to be trusted.
    """
    time, rough = (look.on_s, look.rough_on) if which == "on" else (look.off_s, look.rough_off)
    near = float(np.clip(trust.run_widths * moment.scatter_s, trust.near_s, NEAR * trust.half_s))
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


def _run(stances: Sequence[Stance], even_s: FloatArray) -> None:
    """Fit the run of all four feet; set where each moment is expected."""
    moments = [moment for stance in stances for moment in stance.moments]
    told = expected_times(
        Moments(
            at_s=even_s,
            seen_s=np.array([moment.time_s for moment in moments]),
            hind=np.repeat([stance.hind for stance in stances], 2),
            off=np.tile([False, True], len(stances)),
            odd=np.repeat([stance.number % 2 == 1 for stance in stances], 2),
        )
    )
    if told is not None:
        for moment, time, scatter, hidden in zip(moments, *told, strict=True):
            moment.expected_s, moment.scatter_s = float(time), float(scatter)
            moment.hidden = moment.hidden or bool(hidden)


def _move_together(stance: Stance) -> None:
    """A foot that lands late leaves late: each moment is expected later by most of what the other came late."""
    late = [moment.time_s - moment.expected_s for moment in stance.moments]
    for moment, other in zip(stance.moments, reversed(late), strict=True):
        if np.isfinite(other):
            moment.expected_s += TOGETHER * other


def _put_later(stances: Sequence[Stance], fps: float) -> None:
    """A hoof that nears the ground slowly, or low, covers its place before it stands: landings are put later."""
    arrivals = [_arrivals(stances, hind) for hind in (False, True)]
    typical = [float(np.median(kind)) for kind in arrivals if len(kind) >= LEAST_ARRIVALS]
    slowly, low_s = (float(np.interp(1 / fps, ALL_S, values)) for values in (SLOWLY, HINDS_LATER_S))
    late_s = slowly * (float(np.mean(typical)) - QUICKLY_S) if typical else 0.0
    for stance in stances:
        stance.on.time_s += late_s + low_s * stance.hind
        stance.on.expected_s += late_s + low_s * stance.hind


def _shorten(stances: Sequence[Stance], fps: float) -> None:
    """What is seen of a narrow leg alone is there for too long: it lands later, and leaves earlier."""
    known = float(np.interp(1 / fps, ALL_S, (1.0, 1.0, 0.0)))
    for stance in stances:
        for moment, move_s in (
            (stance.on, NARROW_EARLY_S[stance.hind]),
            (stance.off, -NARROW_LATE_S[stance.hind]),
        ):
            moment.time_s += known * move_s
            moment.expected_s += known * move_s


def _arrivals(stances: Sequence[Stance], hind: bool) -> list[float]:
    """How long the hooves of one pair took to arrive, by the looks that dated their landings."""
    return [
        look.arriving_s
        for stance in stances
        for _, bar in stance.bars
        for look in bar.looks
        if stance.hind is hind
        and abs(look.on_s - stance.on.time_s) < ARRIVED_NEAR_S
        and np.isfinite(look.arriving_s)
    ]


def weighted_median(values: FloatArray, weights: FloatArray) -> float:
    """The value at which half of the weight is reached."""
    return weighted_quantile(values, weights, 0.5)


def weighted_quantile(values: FloatArray, weights: FloatArray, share: float) -> float:
    """The value at which this share of the weight is reached."""
    order = np.argsort(values)
    reached = np.cumsum(weights[order]) / weights.sum()
    return float(values[order][min(int(np.searchsorted(reached, share)), len(values) - 1)])
