"""Hoofbeats laid on the landings of a film: how late the sound is, and landings sharpened by their beats.

Conventions: times are seconds on the clip's clock. An offset is how much later the sound is than the picture::

    picture   LH    LF    RH    RF            landings, each to a picture
    sound       |     |     |     |           beats, each to about a millisecond
              →| |← offset: far away, or a camera that stores its sound late

A person's marks are measured against and never moved.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, log, sqrt

import numpy as np

from evenfall.contacts.hearing import Beats
from evenfall.contacts.model import Contact, Contacts, Event
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.timebase import FloatArray

__all__ = ["Offset", "OffsetSettings", "picture_offset", "sharpen"]

MISSED = 4.5  # the most that a landing without its beat can cost, as much as three standard deviations
FAR_S = 0.03  # lags further apart than this are two answers
CLEARLY = log(100)  # the better lag must be a hundred times as likely
FITTED = 0.6
AT_LEAST_S = 0.002  # nobody marks a landing better, whatever the mark says
GATE = 3.0
MEDIAN_COSTS = 1.2533  # √(π/2): how much more a median scatters than a mean
ALIKE = 2.0


@dataclass(frozen=True, kw_only=True)
class OffsetSettings:
    """How to look for the offset.

    Parameters
    ----------
    window_s : float
        Most that sound and picture may lie apart. 0.25 is our choice: a horse 50 m away is 0.15 s late, and cameras
        add a little. Give less if you stood near; then even beats cannot be taken for their neighbours.
    least_landings : int
        Landings within the sound that are needed (our choice).

    Raises
    ------
    WrongSetting
        If the window is not from 0.01 to 1 s, or fewer than 2 landings are asked for.
    """

    window_s: float = 0.25
    least_landings: int = 5

    def __post_init__(self) -> None:
        if not 0.01 <= self.window_s <= 1 or self.least_landings < 2:
            raise WrongSetting(
                f"the window must be 0.01 to 1 s and the landings 2 or more, not {self.window_s:g} s and "
                f"{self.least_landings}"
            )


@dataclass(frozen=True)
class Offset:
    """How much later the sound is than the picture.

    Parameters
    ----------
    offset_s : float
        Seconds on the clip's clock; positive if the sound is late.
    sd_s : float
        Its standard deviation. It is one error for all beats: more landings sharpened do not lessen it.
    n : int
        Beats it was measured on.
    """

    offset_s: float
    sd_s: float
    n: int


def picture_offset(landings: Contacts, beats: Beats, settings: OffsetSettings | None = None) -> Offset:
    """Measure how much later the sound is than the picture.

    Parameters
    ----------
    landings : Contacts
        From the film, each with its standard deviation; lift-offs are not looked at.
    beats : Beats
    settings : OffsetSettings, optional

    Returns
    -------
    Offset
        The median of beat minus landing, at the lag that explains the landings best.

    Raises
    ------
    TooLittleEvidence
        If too few landings lie within the sound, no lag explains them, or two lags explain them equally well.
    """
    settings = settings or OffsetSettings()
    marks = [mark for mark in landings if mark.event is Event.ON]
    inside = [
        m for m in marks if beats.start_s + settings.window_s <= m.time_s <= beats.end_s - settings.window_s
    ]
    marks = inside if len(inside) >= settings.least_landings else marks
    if len(marks) < settings.least_landings or not len(beats):
        raise TooLittleEvidence(
            f"{len(marks)} landings and {len(beats)} beats are too few to lay sound and picture over each other; "
            f"{settings.least_landings} landings are needed. Mark or film more strides."
        )
    lag_s = _best_lag(_Fit.of(marks, beats), settings.window_s)
    return _refined(_claims(marks, beats, Offset(lag_s, FAR_S / GATE, 0)), beats, settings.least_landings)


@dataclass(frozen=True, eq=False)
class _Fit:
    """Landings and beats as plain arrays."""

    marks_s: FloatArray
    sds_s: FloatArray
    beats_s: FloatArray

    @classmethod
    def of(cls, marks: Sequence[Contact], beats: Beats) -> "_Fit":
        heard = float(np.median([beat.sd_s for beat in beats]))
        sds = [hypot(max(mark.sd_s, AT_LEAST_S), heard) for mark in marks]
        return cls(np.array([mark.time_s for mark in marks]), np.array(sds), beats.times_s)

    def off_s(self, lag_s: float) -> FloatArray:
        """Distance from each landing, moved by a lag, to the nearest beat; shape (n_landings,)."""
        return np.abs(_to_nearest(self.beats_s, self.marks_s + lag_s))

    def cost(self, lag_s: float, wider: float = 1.0) -> float:
        """How badly a lag explains the landings: half the squares, capped."""
        return float(np.minimum((self.off_s(lag_s) / (wider * self.sds_s)) ** 2 / 2, MISSED).sum())


def _to_nearest(beats_s: FloatArray, times_s: FloatArray) -> FloatArray:
    """Nearest beat minus time, shape of ``times_s``."""
    after = np.clip(np.searchsorted(beats_s, times_s), 1, max(len(beats_s) - 1, 1))
    ends = np.stack([beats_s[after - 1], beats_s[np.minimum(after, len(beats_s) - 1)]]) - times_s
    return np.asarray(np.where(np.abs(ends[0]) <= np.abs(ends[1]), ends[0], ends[1]))


def _best_lag(fit: _Fit, window_s: float) -> float:
    """Try every millisecond; where errors are larger than the marks say, let them be."""
    lags = np.arange(-window_s, window_s + 5e-4, 1e-3)
    first = float(lags[np.argmin([fit.cost(lag) for lag in lags])])
    wider = max(1.0, 1.4826 * float(np.median(fit.off_s(first) / fit.sds_s)))
    costs = np.array([fit.cost(lag, wider) for lag in lags])
    best = float(lags[np.argmin(costs)])
    if np.mean(fit.off_s(best) < GATE * wider * fit.sds_s) < FITTED or wider * np.median(fit.sds_s) > FAR_S:
        raise TooLittleEvidence(
            f"no shift of the sound within {1000 * window_s:.0f} ms lays its beats on the landings of the film. Are the "
            "landings of this film, and is this horse the one that is heard?"
        )
    far = np.abs(lags - best) > FAR_S
    rival = float(lags[far][np.argmin(costs[far])]) if far.any() else best
    if far.any() and costs[far].min() - costs.min() < CLEARLY:
        raise TooLittleEvidence(
            f"the sound fits the picture equally well {1000 * best:+.0f} ms and {1000 * rival:+.0f} ms late, for the "
            "beats are even and repeat. Film more strides, or allow less than "
            f"{1000 * max(abs(best), abs(rival)):.0f} ms if you know that you stood near."
        )
    return best


def _claims(marks: Sequence[Contact], beats: Beats, offset: Offset) -> dict[int, list[Contact]]:
    """Return for each beat, by its place, the landings that lie nearest to it and within the gate."""
    claims: dict[int, list[Contact]] = {}
    heard_s = beats.times_s - offset.offset_s
    for mark in marks:
        place = int(np.argmin(np.abs(heard_s - mark.time_s)))
        spread = hypot(max(mark.sd_s, AT_LEAST_S), beats.beats[place].sd_s, offset.sd_s)
        if abs(heard_s[place] - mark.time_s) <= GATE * spread:
            claims.setdefault(place, []).append(mark)
    return claims


def _refined(claims: Mapping[int, Sequence[Contact]], beats: Beats, least: int) -> Offset:
    """Take the median over beats that one landing claims, or over all where those are too few."""
    alone = {place: marks for place, marks in claims.items() if len(marks) == 1}
    used = alone if len(alone) >= least else claims
    late = np.array([beats.beats[place].time_s - _pooled(marks)[0] for place, marks in used.items()])
    middle = float(np.median(late))
    scatter = 1.4826 * float(np.median(np.abs(late - middle)))
    own = float(
        np.median([hypot(_pooled(marks)[1], beats.beats[place].sd_s) for place, marks in used.items()])
    )
    split = float(np.median([_half_split(marks) for marks in used.values()]))
    sd_s = hypot(MEDIAN_COSTS * max(scatter, own) / sqrt(len(late)), split, beats.settings.own_sd_s)
    return Offset(middle, sd_s, len(late))


def _pooled(marks: Sequence[Contact]) -> tuple[float, float]:
    """Mean time of landings weighted by their certainty, and its standard deviation; seconds."""
    weights = np.array([1 / max(mark.sd_s, AT_LEAST_S) ** 2 for mark in marks])
    times = np.array([mark.time_s for mark in marks])
    return float(weights @ times / weights.sum()), 1 / sqrt(float(weights.sum()))


def _half_split(marks: Sequence[Contact]) -> float:
    """Half the time between the feet that share a beat: which of them is heard, or what between, is unknown."""
    times = [mark.time_s for mark in marks]
    return (max(times) - min(times)) / 2


def sharpen(landings: Contacts, beats: Beats, offset: Offset) -> Contacts:
    """Combine landings from the film with the beats that are theirs.

    Parameters
    ----------
    landings : Contacts
        From the film, each with its standard deviation. Lift-offs pass untouched, as do landings without a beat, a
        person's marks, and landings that share their beat with one.
    beats : Beats
    offset : Offset
        From `picture_offset`.

    Returns
    -------
    Contacts
        Film and sound weighted by the inverse of their variances, ``+sound`` added to the source.

    Notes
    -----
    With w the film's weight, the variance is w² film² + (1 − w)² (beat² + offset²). The last part is the same error
    for every foot: it does not lessen with more strides, and falls out of the times between feet.

    A beat that several landings claim belongs to the nearest, and to others as far as the picture cannot tell them
    from it (2 SD). They move together, to where the beat puts their weighted mean: sound says nothing of which came
    first, so the time between them stays the picture's.
    """
    better: dict[int, Contact] = {}
    marks = [mark for mark in landings if mark.event is Event.ON and mark.sd_s > 0]
    for place, claimed in (_claims(marks, beats, offset) if len(beats) else {}).items():
        beat = beats.beats[place]
        heard_s = beat.time_s - offset.offset_s
        sharing = _sharing(claimed, heard_s)
        if any(mark.source.startswith("person") for mark in sharing):
            continue
        variance = beat.sd_s**2 + offset.sd_s**2 + _half_split(sharing) ** 2
        better.update((id(mark), moved) for mark, moved in _moved(sharing, heard_s, variance))
    return Contacts(better.get(id(mark), mark) for mark in landings)


def _sharing(claimed: Sequence[Contact], heard_s: float) -> list[Contact]:
    nearest = min(claimed, key=lambda mark: abs(mark.time_s - heard_s))
    return [
        mark
        for mark in claimed
        if abs(mark.time_s - nearest.time_s) <= ALIKE * hypot(mark.sd_s, nearest.sd_s)
    ]


def _moved(marks: Sequence[Contact], heard_s: float, variance: float) -> Iterator[tuple[Contact, Contact]]:
    """Move landings together by as much as their mean is moved; only the mean's share of each spread shrinks."""
    weights = np.array([1 / mark.sd_s**2 for mark in marks])
    mean_s = float(weights @ [mark.time_s for mark in marks] / weights.sum())
    mean_var = 1 / float(weights.sum())
    gain = mean_var / (mean_var + variance)
    for mark in marks:
        yield (
            mark,
            replace(
                mark,
                time_s=mark.time_s + gain * (heard_s - mean_s),
                sd_s=sqrt(max(mark.sd_s**2 - gain * mean_var, 0.0)),
                source=f"{mark.source}+sound",
            ),
        )
