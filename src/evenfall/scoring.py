"""Contacts against a reference: how far two readers of one film, or a person and a machine, agree.

Conventions: A is the reference, B the other; times are seconds on the clip's clock, differences are B minus A
in milliseconds on that clock. A and B are matched one to one within a window, foot by foot, landings and
lift-offs apart.

::

    A   |       |       |            |
    B    |       |          |       |       window ±100 ms
        pair    pair  missed extra  pair
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Literal, get_args

import numpy as np

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.errors import WrongSetting
from evenfall.timebase import FloatArray

__all__ = [
    "Agreement",
    "Differences",
    "Pair",
    "Part",
    "ScoreSettings",
    "Spread",
    "SwappedPair",
    "TooFew",
    "match_times",
    "score_contacts",
]

LEAST = 4
"""Pairs under which neither a swapped pair of legs nor another clock is suspected (our choice)."""

CLEARLY_BETTER = 0.5
"""Swapping must leave at most this share of the mismatch (our choice)."""

NS_IN_S = 1_000_000_000
NS_IN_MS = 1_000_000
LIMITS_SD = 1.96

Legs = Literal["fores", "hinds"]


@dataclass(frozen=True)
class ScoreSettings:
    """How to compare.

    Parameters
    ----------
    window_ms : float
        The most that two marks of one contact may lie apart, milliseconds on the clip's clock. 100 is our
        choice: six pictures at 60 a second, and under half of the shortest stride.

    Raises
    ------
    WrongSetting
        If it is not from 1 to 10000.
    """

    window_ms: float = 100.0

    def __post_init__(self) -> None:
        if not 1 <= self.window_ms <= 10_000:
            raise WrongSetting(
                f"the window must be 1 to 10000 ms, not {self.window_ms:g}. It is the most that two marks of the same "
                "contact may lie apart; 100 is usual. Was it given in seconds?"
            )


@dataclass(frozen=True, slots=True)
class Pair:
    """A contact of A and the one of B that was matched to it."""

    a: Contact
    b: Contact

    @property
    def difference_ms(self) -> float:
        """B minus A, milliseconds on the clip's clock; exact to a nanosecond."""
        return (_ns(self.b) - _ns(self.a)) / NS_IN_MS


@dataclass(frozen=True)
class TooFew:
    """A number that so few pairs do not carry, with the reason."""

    reason: str


@dataclass(frozen=True)
class Spread:
    """How the differences scatter; two pairs or more.

    Parameters
    ----------
    sd_ms : float
        Standard deviation of the differences, n - 1 in the divisor.
    bias_ci95_ms : tuple of float
        95 % interval of the bias, Student's t.
    limits_ms : tuple of float
        Bland and Altman's 95 % limits of agreement: bias ± 1.96 SD.
    limits_within_ms : float
        Half the 95 % interval of either limit: t √(3/n) SD.
    """

    sd_ms: float
    bias_ci95_ms: tuple[float, float]
    limits_ms: tuple[float, float]
    limits_within_ms: float


@dataclass(frozen=True)
class Differences:
    """The differences of matched pairs, B minus A.

    Parameters
    ----------
    n : int
        Pairs, one or more.
    bias_ms : float
        Their mean.
    spread : Spread or TooFew
    median_absolute_ms, p95_absolute_ms : float
        Median and 95th percentile of the absolute difference.
    """

    n: int
    bias_ms: float
    spread: Spread | TooFew
    median_absolute_ms: float
    p95_absolute_ms: float


@dataclass(frozen=True)
class Part:
    """The agreement on one foot and event, on one event, or on everything.

    Parameters
    ----------
    limb : Limb or None
        None for all four feet.
    event : Event or None
        None for landings and lift-offs together.
    matched, missed, extra : int
        Pairs; contacts in A only; contacts in B only.
    differences : Differences or TooFew
    """

    limb: Limb | None
    event: Event | None
    matched: int
    missed: int
    extra: int
    differences: Differences | TooFew


@dataclass(frozen=True)
class SwappedPair:
    """Left and right of a pair of legs that match clearly better the other way round, throughout.

    Parameters
    ----------
    legs : str
        ``"fores"`` or ``"hinds"``.
    as_named, if_swapped : int
        Pairs of that pair of legs matched under their own names, and with left and right of B swapped.
    """

    legs: Legs
    as_named: int
    if_swapped: int


@dataclass(frozen=True)
class Agreement:
    """How far B agrees with A.

    Parameters
    ----------
    settings : ScoreSettings
    n_a, n_b : int
        Contacts in each.
    pairs : tuple of Pair
        In order of A's time.
    missed, extra : tuple of Contact
        In A only, in B only.
    parts : tuple of Part
        Each foot and event, then each event, then everything.
    swapped : tuple of SwappedPair
        Pairs of legs swapped throughout B.
    swapped_contacts : tuple of Pair
        An extra contact of B and the missed contact of A's foot across that it fits; of the pairs of legs that are
        not swapped throughout.
    offset_ms : float or None
        Median difference, if it is over half the window and explains most of the difference: another film or clock?
    too_little : str
        Why nothing could be matched; empty if something was.
    """

    settings: ScoreSettings
    n_a: int
    n_b: int
    pairs: tuple[Pair, ...]
    missed: tuple[Contact, ...]
    extra: tuple[Contact, ...]
    parts: tuple[Part, ...]
    swapped: tuple[SwappedPair, ...]
    swapped_contacts: tuple[Pair, ...]
    offset_ms: float | None
    too_little: str

    def part(self, limb: Limb | None = None, event: Event | None = None) -> Part:
        """Return the part of one foot and event, of one event, or of everything.

        Raises
        ------
        KeyError
            If there is none: of one foot, landings and lift-offs are told apart.
        """
        for part in self.parts:
            if (part.limb, part.event) == (limb, event):
                return part
        raise KeyError((limb, event))


def score_contacts(a: Contacts, b: Contacts, settings: ScoreSettings | None = None) -> Agreement:
    """Match the contacts of B to those of the reference A, and say how far they agree.

    Parameters
    ----------
    a, b : Contacts
        Of the same film, seconds on its clock.
    settings : ScoreSettings, optional

    Returns
    -------
    Agreement
        With ``too_little`` set where nothing could be matched.

    Examples
    --------
    >>> a = Contacts([Contact(Limb.LF, Event.ON, 0.50), Contact(Limb.LF, Event.ON, 1.10)])
    >>> everything = score_contacts(a, a.shifted(0.012)).part()
    >>> everything.matched, everything.differences.bias_ms
    (2, 12.0)

    Notes
    -----
    Limits of agreement: Bland JM, Altman DG 1986, Lancet i:307-310 (from memory).
    """
    settings = settings or ScoreSettings()
    pairs = _pairs(a, b, settings.window_ms)
    missed = _left_over(a, (pair.a for pair in pairs))
    extra = _left_over(b, (pair.b for pair in pairs))
    swapped = tuple(_swapped(a, b, settings.window_ms))
    return Agreement(
        settings=settings,
        n_a=len(a),
        n_b=len(b),
        pairs=pairs,
        missed=missed,
        extra=extra,
        parts=tuple(_parts(pairs, missed, extra)),
        swapped=swapped,
        swapped_contacts=_swapped_contacts(missed, extra, swapped, settings.window_ms),
        offset_ms=_offset_ms(pairs, settings.window_ms),
        too_little="" if pairs else _why_none(a, b, swapped, settings.window_ms),
    )


def match_times(a_ns: Sequence[int], b_ns: Sequence[int], window_ns: int) -> list[tuple[int, int]]:
    """Match two rows of times one to one: as many as the window allows, then as close as can be.

    Parameters
    ----------
    a_ns, b_ns : sequence of int
        Whole nanoseconds, in order; whole numbers, so that equals are equal.
    window_ns : int
        The most that two may lie apart, itself included.

    Returns
    -------
    list of (int, int)
        Places in ``a_ns`` and ``b_ns``, in order. Of equally many and equally close, the earliest.

    Notes
    -----
    Uncrossing two crossed pairs makes neither the wider one wider nor their sum larger, so a best matching exists
    that keeps the order. It is found by going through both rows once, as in aligning two texts, and only where the
    window reaches: time grows with the length of the rows and the number of candidates inside the window. An
    assignment solver finds as good a sum, but may cross pairs of equal sum, which changes their spread.
    """
    reached, row = 0, [_NONE]  # row[k]: the best of the a's so far with the first reached + k b's
    for i, time in enumerate(a_ns):
        low, high = bisect_left(b_ns, time - window_ns), bisect_right(b_ns, time + window_ns)
        before = [row[min(j - reached, len(row) - 1)] for j in range(low, high + 1)]
        reached, row = low, before[:1]
        for k, other in enumerate(b_ns[low:high]):
            row.append(max(before[k + 1], row[k], _joined(before[k], i, low + k, (time, other)), key=_merit))
    return _unrolled(row[-1][3])


_Chain = tuple["_Chain", tuple[int, int]] | None
_Best = tuple[int, int, int, _Chain]
_NONE: _Best = (0, 0, 0, None)


def _joined(best: _Best, i: int, j: int, times: tuple[int, int]) -> _Best:
    """One pair more: count up, closeness down, and how early they are to part equals."""
    count, closeness, earliness, chain = best
    return count + 1, closeness - abs(times[1] - times[0]), earliness - sum(times), (chain, (i, j))


def _merit(best: _Best) -> tuple[int, int, int]:
    return best[:3]


def _unrolled(chain: _Chain) -> list[tuple[int, int]]:
    pairs = []
    while chain:
        chain, pair = chain
        pairs.append(pair)
    return pairs[::-1]


def _pairs(a: Contacts, b: Contacts, window_ms: float, *, across: bool = False) -> tuple[Pair, ...]:
    """Match each foot and event by itself, to its own name or to that of the foot across."""
    found = [
        pair
        for limb in Limb
        for event in Event
        for pair in _matched(_row(a, limb, event), _row(b, limb.across if across else limb, event), window_ms)
    ]
    return tuple(sorted(found, key=lambda pair: pair.a.time_s))


def _matched(a: Sequence[Contact], b: Sequence[Contact], window_ms: float) -> list[Pair]:
    places = match_times([_ns(mark) for mark in a], [_ns(mark) for mark in b], round(window_ms * NS_IN_MS))
    return [Pair(a[i], b[j]) for i, j in places]


def _row(contacts: Contacts, limb: Limb, event: Event) -> tuple[Contact, ...]:
    return contacts.landings(limb) if event is Event.ON else contacts.lift_offs(limb)


def _ns(mark: Contact) -> int:
    return round(mark.time_s * NS_IN_S)


def _left_over(contacts: Contacts, matched: Iterable[Contact]) -> tuple[Contact, ...]:
    """Those not matched; told apart by being the same object, since equal marks are still two."""
    gone = {id(mark) for mark in matched}
    return tuple(mark for mark in contacts if id(mark) not in gone)


def _parts(pairs: Sequence[Pair], missed: Sequence[Contact], extra: Sequence[Contact]) -> Iterator[Part]:
    each: list[tuple[Limb | None, Event | None]] = [(limb, event) for limb in Limb for event in Event]
    for limb, event in [*each, *((None, event) for event in Event), (None, None)]:
        here = [pair for pair in pairs if _belongs(pair.a, limb, event)]
        alone = [sum(_belongs(mark, limb, event) for mark in marks) for marks in (missed, extra)]
        yield Part(limb, event, len(here), alone[0], alone[1], _differences(here))


def _belongs(mark: Contact, limb: Limb | None, event: Event | None) -> bool:
    return limb in (None, mark.limb) and event in (None, mark.event)


def _differences(pairs: Sequence[Pair]) -> Differences | TooFew:
    if not pairs:
        return TooFew("no pair was matched")
    values = np.array([pair.difference_ms for pair in pairs])
    absolute = np.abs(values)
    return Differences(
        n=len(pairs),
        bias_ms=float(values.mean()),
        spread=_spread(values) if len(pairs) > 1 else TooFew("one pair only; two or more are needed"),
        median_absolute_ms=float(np.median(absolute)),
        p95_absolute_ms=float(np.percentile(absolute, 95)),
    )


def _spread(values: FloatArray) -> Spread:
    """Bland and Altman's limits and their errors; ``values`` in milliseconds, two or more."""
    from scipy.special import stdtrit  # noqa: PLC0415 - half a second, and only needed here

    n, bias, sd = len(values), float(values.mean()), float(values.std(ddof=1))
    t = float(stdtrit(n - 1, 0.975))
    half = t * sd / sqrt(n)
    return Spread(
        sd_ms=sd,
        bias_ci95_ms=(bias - half, bias + half),
        limits_ms=(bias - LIMITS_SD * sd, bias + LIMITS_SD * sd),
        limits_within_ms=sqrt(3) * half,
    )


def _swapped(a: Contacts, b: Contacts, window_ms: float) -> Iterator[SwappedPair]:
    """Fores and hinds are tried apart: a foot is matched to its own name only, so neither touches the other."""
    for legs in get_args(Legs):
        ours, theirs = _of_legs(a, legs), _of_legs(b, legs)
        as_named = _pairs(ours, theirs, window_ms)
        crossed = _pairs(ours, theirs, window_ms, across=True)
        most = max(len(as_named), len(crossed))
        better = _mismatch(crossed, most, window_ms) < CLEARLY_BETTER * _mismatch(as_named, most, window_ms)
        if better and len(crossed) >= LEAST:
            yield SwappedPair(legs, len(as_named), len(crossed))


def _of_legs(contacts: Contacts, legs: Legs) -> Contacts:
    return contacts.only(lambda mark: mark.limb.is_hind is (legs == "hinds"))


def _mismatch(pairs: Sequence[Pair], most: int, window_ms: float) -> float:
    """Sum of absolute differences; a pair that only the other way of naming finds counts as a window."""
    return sum(abs(pair.difference_ms) for pair in pairs) + window_ms * (most - len(pairs))


def _swapped_contacts(
    missed: Sequence[Contact], extra: Sequence[Contact], swapped: Sequence[SwappedPair], window_ms: float
) -> tuple[Pair, ...]:
    """Pair what B has too much with what A's foot across has too much."""
    pairs = _pairs(Contacts(missed), Contacts(extra), window_ms, across=True)
    throughout = {pair.legs for pair in swapped}
    return tuple(pair for pair in pairs if ("hinds" if pair.a.limb.is_hind else "fores") not in throughout)


def _offset_ms(pairs: Sequence[Pair], window_ms: float) -> float | None:
    """The median difference, where it is large and taking it off leaves less than half."""
    if len(pairs) < LEAST:
        return None
    values = np.array([pair.difference_ms for pair in pairs])
    median = float(np.median(values))
    rest = float(np.median(np.abs(values - median)))
    return median if abs(median) > window_ms / 2 and rest < abs(median) / 2 else None


def _why_none(a: Contacts, b: Contacts, swapped: Sequence[SwappedPair], window_ms: float) -> str:
    if not (a.marks and b.marks):
        which = "B holds" if a.marks else "A holds" if b.marks else "A and B hold"
        return f"{which} no contact. Mark the same strides of the film in both."
    if swapped:
        legs = " and of the ".join(pair.legs for pair in swapped)
        n = sum(pair.if_swapped for pair in swapped)
        return (
            f"nothing matches under its own name, and {n} contacts do with left and right of the {legs} swapped in B. "
            "Swap them in the file that is wrong, and compare again."
        )
    nearest = _nearest_ms(a, b)
    if nearest is None:
        return "A and B mark no foot's landings or lift-offs in common. Mark the same feet in both."
    return (
        f"no contact of B lies within {window_ms:g} ms of one of the same foot in A; the nearest is {nearest:.0f} ms "
        "away. Are the two of different films or clocks?"
    )


def _nearest_ms(a: Contacts, b: Contacts) -> float | None:
    """The least distance between two contacts of the same foot and event."""
    rows = [(_row(a, limb, event), _row(b, limb, event)) for limb in Limb for event in Event]
    times = [([mark.time_s for mark in ours], [mark.time_s for mark in theirs]) for ours, theirs in rows]
    distances = [1000 * np.abs(np.subtract.outer(*both)).min() for both in times if all(both)]
    return float(min(distances)) if distances else None
