"""Two films locked by the stride: which picture of each is shown when, so that both are at the same part of it.

Conventions: ``begins_s`` are seconds on each film's own clock; a phase is strides from where both begin, the whole part
counting strides, the rest the part of one.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from evenfall.clip.writing import CLOCK_HZ, ticks_of
from evenfall.contacts import Contact, Limb
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.flow.in_step import LEAST_STRIDES, longest_run
from evenfall.flow.showing.settings import LONGEST_S, ShowSettings
from evenfall.flow.showing.span import thinned
from evenfall.reading import Reading
from evenfall.report.progress import say_too_few_marks
from evenfall.report.showing.places import Places
from evenfall.timebase import FloatArray, Timebase

__all__ = ["Lock", "Side", "lock"]


@dataclass(frozen=True)
class Side:
    """One of two films.

    Parameters
    ----------
    reading : Reading
    title : str
        What is written above it, such as ``before, 3 May``.
    places : Places, optional
        As in `show_film`.
    """

    reading: Reading
    title: str = ""
    places: Places | None = None


@dataclass(frozen=True, eq=False)
class Lock:
    """What is shown of two films.

    Parameters
    ----------
    indices : two lists of int
        The picture of each film, for every picture that is shown.
    ticks : list of int
        When each is shown, and last when the last one ends.
    begins_s : two ndarrays
        Of the strides shown and the last one's end.
    shown_s : ndarray
        The same in the film to show.
    slow : tuple of float
        How many times slower each is, on the whole.
    cut : bool
        Whether strides were left out since the film would be too long.
    """

    indices: tuple[list[int], list[int]]
    ticks: list[int]
    begins_s: tuple[FloatArray, FloatArray]
    shown_s: FloatArray
    slow: tuple[float, float] = (1.0, 1.0)
    cut: bool = False

    @property
    def duration_s(self) -> float:
        """Length of the film to show."""
        return self.ticks[-1] / CLOCK_HZ

    def heard_s(self, which: int, landings: Iterable[Contact]) -> Iterator[tuple[float, Contact]]:
        """When each landing of a film is heard in the film to show; those outside are left out."""
        begins = self.begins_s[which]
        for mark in landings:
            if begins[0] <= mark.time_s <= begins[-1]:
                yield float(np.interp(mark.time_s, begins, self.shown_s)), mark


def lock(before: Side, after: Side, settings: ShowSettings) -> Lock:
    """Lock two films by the stride.

    The film with more pictures in a stride gives the clock: it is shown as many times slower as is asked for, and the
    other is stretched or pressed stride by stride. Each picture of the clock's film is shown beside the other's nearest in
    phase.

    Raises
    ------
    TooLittleEvidence
        If either has too few strides in a row.
    WrongSetting
        If the part asked for holds none.
    """
    sides = (before, after)
    begins = _chosen(_common(sides), settings)
    bases = [side.reading.clip.timebase for side in sides]
    rates = [_rate(base.times_s, each) for base, each in zip(bases, begins, strict=True)]
    number = int(rates[1] > rates[0])
    stretch = settings.slow / bases[number].playback_factor
    count = _fitting(begins[number], stretch)
    cut = count < len(begins[0]) - 1
    locked = _locked(bases, [each[: count + 1] for each in begins], number, stretch)
    real_s = [
        (each[-1] - each[0]) / b.playback_factor for each, b in zip(locked.begins_s, bases, strict=True)
    ]
    slow = [settings.slow * real_s[number] / each for each in real_s]
    return replace(locked, slow=(slow[0], slow[1]), cut=cut)


def _locked(bases: Sequence[Timebase], begins: Sequence[FloatArray], clock: int, stretch: float) -> Lock:
    """Lay the films' pictures beside each other; ``clock`` is the film whose own times are kept."""
    times_s, strides = bases[clock].times_s, np.arange(len(begins[0]))
    own = _during(times_s, begins[clock])
    own = own[thinned((times_s[own] - times_s[own[0]]) * stretch)]
    phases = np.interp(times_s[own], begins[clock], strides)
    theirs = _nearest(bases[1 - clock].times_s, np.interp(phases, strides, begins[1 - clock]))
    shown_s = (begins[clock] - times_s[own[0]]) * stretch
    ticks = ticks_of((times_s[own] - times_s[own[0]]) * stretch)
    chosen = (own.tolist(), theirs.tolist())
    return Lock(
        indices=chosen if clock == 0 else (chosen[1], chosen[0]),
        ticks=[*ticks, max(ticks[-1] + 1, round(float(shown_s[-1]) * CLOCK_HZ))],
        begins_s=(begins[0], begins[1]),
        shown_s=shown_s,
    )


def _common(sides: Sequence[Side]) -> list[FloatArray]:
    """Where the strides of each film's longest run begin, counted from the hind foot of which both have most."""
    runs = {
        hind: [longest_run(side.reading.strides.trusted_cycles(hind)) for side in sides]
        for hind in (Limb.LH, Limb.RH)
    }
    best = max(runs.values(), key=lambda each: min(len(run) for run in each))
    for side, run in zip(sides, best, strict=True):
        if len(run) < LEAST_STRIDES:
            raise TooLittleEvidence(say_too_few_marks(side.title or side.reading.clip.path.name, len(run)))
    return [np.array([*(c.start_s for c in run), run[-1].next_landing.time_s]) for run in best]


def _chosen(begins: Sequence[FloatArray], settings: ShowSettings) -> list[FloatArray]:
    """As many strides of each, from the part of the first film that is asked for."""
    count = min(len(each) for each in begins)
    first = begins[0][:count]
    low = -np.inf if settings.start_s is None else settings.start_s
    high = np.inf if settings.end_s is None else settings.end_s
    inside = np.flatnonzero((first >= low) & (first <= high))
    if len(inside) < 2:
        raise WrongSetting(
            f"a film to show: expected a part with a whole stride of the first film, whose strides run from "
            f"{first[0]:.2f} to {first[-1]:.2f} s, found {low:.2f} to {high:.2f} s."
        )
    return [each[inside[0] : inside[-1] + 1] for each in begins]


def _rate(times_s: FloatArray, begins: FloatArray) -> float:
    """Pictures in a stride."""
    return float(len(_during(times_s, begins)) / (len(begins) - 1))


def _during(times_s: FloatArray, begins: FloatArray) -> NDArray[np.intp]:
    return np.flatnonzero((times_s >= begins[0]) & (times_s < begins[-1]))


def _fitting(begins: FloatArray, stretch: float) -> int:
    """How many strides fit into the longest film to show."""
    fits = int(np.searchsorted((begins - begins[0]) * stretch, LONGEST_S, side="right")) - 1
    if fits < 1:
        raise WrongSetting(
            f"one stride shown so slowly takes longer than {LONGEST_S:.0f} s, which is the most. Choose less slow."
        )
    return min(fits, len(begins) - 1)


def _nearest(times_s: FloatArray, wanted_s: FloatArray) -> NDArray[np.intp]:
    after = np.clip(np.searchsorted(times_s, wanted_s), 1, len(times_s) - 1)
    return np.asarray(after - (wanted_s - times_s[after - 1] < times_s[after] - wanted_s), np.intp)
