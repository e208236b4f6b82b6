"""Which contact of one clock is which of the other: offsets on offer, and the line through the pairs.

Conventions: marks are kept by foot and event, as times and standard deviations in order, seconds. A line gives
film time from sensor time; its rate is known beforehand to within a drift.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.model import Contacts, Event, Limb
from evenfall.timebase import FloatArray

__all__ = ["Line", "Marks", "Offered", "fit_line", "marks_of", "mutual_pairs", "offered_offsets", "settle"]

# All our choice.
LEAST_SD_S = 0.005  # of a mark nobody has dated
VOTE_S = 0.03
MOST_OFFERED = 60
LEAST_VOTES = 0.25  # of the most

APART_S = 0.12  # offsets closer than this are one
GATE = 3.0  # standard deviations between two marks of one contact
ROUNDS = 4

Marks = Mapping[tuple[Limb, Event], tuple[FloatArray, FloatArray]]
Rate = tuple[float, float]
"""Rate as known beforehand, and its standard deviation."""


@dataclass(frozen=True)
class Line:
    """Film time = ``offset_s`` + ``rate`` × sensor time; ``sd_s`` is that of the film time at ``about_s``."""

    offset_s: float
    rate: float
    sd_s: float
    about_s: float
    rate_sd: float

    def at(self, sensor_s: FloatArray) -> FloatArray:
        """Return film times of sensor times."""
        return self.offset_s + self.rate * sensor_s


@dataclass(frozen=True)
class Offered:
    """One way to lay the clocks on each other.

    Parameters
    ----------
    line : Line
    pairs, kinds : int
        Contacts matched, and how many feet and events they are of.
    seen : int
        Marks of either side where the other was looking too.
    cost : float
        Sum over them of the squared difference in standard deviations, 9 where there is no match.
    usual_sd_s : float
        Root mean square of the standard deviations of the differences, seconds on the film's clock.
    """

    line: Line
    pairs: int
    kinds: int
    seen: int
    cost: float
    usual_sd_s: float


def marks_of(contacts: Contacts) -> Marks:
    """Return times and standard deviations by foot and event, those without any left out."""
    by_kind = {
        (limb, event): [mark for mark in contacts.of(limb) if mark.event is event]
        for limb in Limb
        for event in Event
    }
    return {
        kind: (np.array([m.time_s for m in marks]), np.maximum([m.sd_s for m in marks], LEAST_SD_S))
        for kind, marks in by_kind.items()
        if marks
    }


def offered_offsets(sensor: Marks, film: Marks, rate: float) -> list[float]:
    """Return the offsets, the likeliest first, at which many contacts fall on contacts of their kind."""
    apart = [
        (film[kind][0][:, None] - rate * sensor[kind][0][None, :]).ravel()
        for kind in film.keys() & sensor.keys()
    ]
    offsets = np.sort(np.concatenate(apart)) if apart else np.zeros(0)
    width = VOTE_S * rate
    votes = np.searchsorted(offsets, offsets + width) - np.searchsorted(offsets, offsets - width)
    least = LEAST_VOTES * votes.max(initial=0)
    kept: list[float] = []
    for place in np.argsort(-votes, kind="stable"):
        if len(kept) >= MOST_OFFERED or votes[place] < least:
            break
        if all(abs(offsets[place] - other) > APART_S * rate for other in kept):
            kept.append(float(offsets[place]))
    return kept


def settle(sensor: Marks, film: Marks, offset_s: float, rate: Rate) -> Offered:
    """Match and fit in turn from an offset on, until the pairs are settled."""
    line, n = Line(offset_s, rate[0], 0.0, 0.0, rate[1]), 0
    for _ in range(ROUNDS):
        matched = [_match(line, sensor[kind], film[kind]) for kind in sorted(film.keys() & sensor.keys())]
        there, here, sd = (np.concatenate([part[i] for part in matched]) for i in range(3))
        n = len(there)
        if not n:
            break
        line = fit_line(there, here, sd, rate)
    return _offered(line, sensor, film, n)


def fit_line(there: FloatArray, here: FloatArray, sd: FloatArray, rate: Rate) -> Line:
    """Return the line through pairs, few outliers pulling it little; the rate stays near what is known beforehand.

    Huber's weights, rounds of least squares (from memory).
    """
    weight = 1 / sd**2
    for _ in range(ROUNDS):
        about = float(np.average(there, weights=weight))
        from_about = there - about
        tied = 1 / rate[1] ** 2 if rate[1] else np.inf
        left = here - rate[0] * there
        middle = float(np.average(left, weights=weight))
        pull = float(np.sum(weight * from_about**2))
        drift = (
            float(np.sum(weight * from_about * (left - middle))) / (pull + tied) if np.isfinite(tied) else 0.0
        )
        strayed = np.abs(left - middle - drift * from_about) / sd
        weight = np.minimum(1, 1.5 / np.maximum(strayed, 1e-9)) / sd**2
    offset = middle - drift * about
    rate_sd = sqrt(1 / (pull + tied)) if np.isfinite(tied) else 0.0
    return Line(offset, rate[0] + drift, sqrt(1 / float(np.sum(weight))), about, rate_sd)


def mutual_pairs(a: FloatArray, b: FloatArray) -> NDArray[np.int64]:
    """Return the places in ``a`` and ``b`` of those that are each other's nearest, shape (n, 2)."""
    if not len(a) or not len(b):
        return np.zeros((0, 2), np.int64)
    to_b, to_a = _nearest(a, b), _nearest(b, a)
    mutual = np.flatnonzero(to_a[to_b] == np.arange(len(a)))
    return np.column_stack([mutual, to_b[mutual]])


def _nearest(of: FloatArray, among: FloatArray) -> NDArray[np.int64]:
    after = np.clip(np.searchsorted(among, of), 1, max(1, len(among) - 1))
    before = after - 1
    after = np.minimum(after, len(among) - 1)
    return np.where(np.abs(among[after] - of) < np.abs(of - among[before]), after, before)


def _match(
    line: Line, sensor: tuple[FloatArray, FloatArray], film: tuple[FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return sensor time, film time and standard deviation of the difference, of each pair within the gate."""
    laid = line.at(sensor[0])
    pairs = mutual_pairs(laid, film[0])
    sd = np.hypot(line.rate * sensor[1][pairs[:, 0]], film[1][pairs[:, 1]])
    close = np.abs(laid[pairs[:, 0]] - film[0][pairs[:, 1]]) <= GATE * sd
    return sensor[0][pairs[close, 0]], film[0][pairs[close, 1]], sd[close]


def _offered(line: Line, sensor: Marks, film: Marks, pairs: int) -> Offered:
    cost, seen, kinds, spreads = 0.0, 0, 0, np.zeros(0)
    for kind in sorted(film.keys() & sensor.keys()):
        there, here, sd = _match(line, sensor[kind], film[kind])
        both = _seen(line.at(sensor[kind][0]), film[kind][0])
        off = ((here - line.at(there)) / sd) ** 2
        cost += 2 * float(np.sum(off)) + GATE**2 * max(0, both - 2 * len(there))
        seen += max(both, 2 * len(there))
        kinds += bool(len(there))
        spreads = np.concatenate([spreads, sd])
    return Offered(
        line,
        pairs,
        max(kinds, 1),
        max(seen, 1),
        cost,
        float(np.sqrt(np.mean(spreads**2))) if len(spreads) else LEAST_SD_S,
    )


def _seen(laid: FloatArray, film: FloatArray) -> int:
    """Return how many marks of either side fall within the span of the other."""
    first, last = max(laid[0], film[0]), min(laid[-1], film[-1])
    return int(np.sum((laid >= first) & (laid <= last)) + np.sum((film >= first) & (film <= last)))
