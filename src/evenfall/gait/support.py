"""Which feet stand together, as shares of the stride, named by kind.

Conventions: times are seconds on the clip's clock; shares are % of a stride and add up to 100. Kinds
follow the literature's words: suspension, single, lateral and diagonal bipedal, tripedal, quadrupedal.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from itertools import pairwise

from evenfall.contacts import Contact, Contacts, Event, Limb

__all__ = ["KINDS", "duty_and_phase_from", "kind_of_support", "model_shares", "shares_between"]

KINDS = (
    "suspension",
    "single_hind",
    "single_fore",
    "lateral",
    "diagonal",
    "two_hinds",
    "two_fores",
    "tripedal_two_hinds",
    "tripedal_two_fores",
    "quadrupedal",
)


LONGEST = 1.5
"""A foot that takes longer than this many strides to land again missed a stance."""


def kind_of_support(standing: frozenset[Limb] | set[Limb]) -> str:
    """Name the kind of support that a set of standing feet makes.

    Examples
    --------
    >>> kind_of_support({Limb.LH, Limb.LF}), kind_of_support({Limb.LH, Limb.RH, Limb.LF})
    ('lateral', 'tripedal_two_hinds')
    """
    hinds = sum(limb.is_hind for limb in standing)
    fores = len(standing) - hinds
    if hinds == fores == 1:
        return "lateral" if len({limb.is_left for limb in standing}) == 1 else "diagonal"
    return {
        (0, 0): "suspension",
        (1, 0): "single_hind",
        (0, 1): "single_fore",
        (2, 0): "two_hinds",
        (0, 2): "two_fores",
        (2, 1): "tripedal_two_hinds",
        (1, 2): "tripedal_two_fores",
        (2, 2): "quadrupedal",
    }[hinds, fores]


def shares_between(contacts: Contacts, start_s: float, end_s: float) -> dict[str, float] | None:
    """Share of a span spent on each kind of support.

    Parameters
    ----------
    contacts : Contacts
    start_s, end_s : float
        One stride.

    Returns
    -------
    dict of str to float, or None
        % of the span by kind, every kind named; None if a foot's stance or swing is not known for all of it.
    """
    feet = {limb: _known(contacts.of(limb), start_s, end_s) for limb in Limb}
    if any(marks is None for marks in feet.values()):
        return None
    known: dict[Limb, Sequence[Contact]] = {limb: marks for limb, marks in feet.items() if marks is not None}
    inside = {m.time_s for marks in known.values() for m in marks if start_s < m.time_s < end_s}
    edges = [start_s, *sorted(inside), end_s]
    shares = dict.fromkeys(KINDS, 0.0)
    for begin, end in pairwise(edges):
        standing = {limb for limb, marks in known.items() if _stands(marks, (begin + end) / 2)}
        shares[kind_of_support(standing)] += 100 * (end - begin) / (end_s - start_s)
    return shares


def model_shares(duty_fore_pct: float, duty_hind_pct: float, lateral_phase_pct: float) -> dict[str, float]:
    """Support shares of a perfectly symmetrical stride.

    Parameters
    ----------
    duty_fore_pct, duty_hind_pct, lateral_phase_pct : float
        % of the stride.

    Returns
    -------
    dict of str to float
        % of the stride by kind.

    Examples
    --------
    >>> shares = model_shares(54.45, 54.45, 34.75)
    >>> [round(shares[kind], 1) for kind in ("tripedal_two_hinds", "diagonal", "lateral")]
    [8.9, 60.6, 21.6]
    """
    landing = {Limb.LH: 0.0, Limb.LF: lateral_phase_pct, Limb.RH: 50.0, Limb.RF: lateral_phase_pct + 50}
    duty: Mapping[Limb, float] = {limb: duty_hind_pct if limb.is_hind else duty_fore_pct for limb in Limb}
    marks = [
        Contact(limb, event, turn * 100 + landing[limb] + (duty[limb] if event is Event.OFF else 0.0))
        for limb in Limb
        for event in Event
        for turn in range(-2, 4)
    ]
    shares = shares_between(Contacts(marks), 0.0, 100.0)
    if shares is None:
        raise ValueError(
            f"duty factors must lie between 0 and 100 %, not {duty_fore_pct} and {duty_hind_pct}"
        )
    return shares


def duty_and_phase_from(shares: Mapping[str, float]) -> tuple[float, float]:
    """Duty factor and lateral phase of the symmetrical lateral-sequence stride that has these support shares.

    Parameters
    ----------
    shares : mapping of str to float
        % by kind; kinds left out count as 0.

    Returns
    -------
    duty_pct, lateral_phase_pct : float

    Raises
    ------
    ValueError
        If suspension or quadrupedal support occurs: those strides are not told apart by their shares.

    Notes
    -----
    With one duty d for all feet and phase p, neither suspension nor four feet down (50 − d ≤ p ≤ d in a
    running, d − 50 ≤ p ≤ 100 − d in a walking stride): tripedal − single = 4 (d − 50) and
    diagonal − lateral = 4 (p − 25), derived from the overlaps of the four stances.
    """
    if shares.get("suspension", 0.0) or shares.get("quadrupedal", 0.0):
        raise ValueError("shares with suspension or four feet down do not fix duty and phase")
    tripedal = shares.get("tripedal_two_hinds", 0.0) + shares.get("tripedal_two_fores", 0.0)
    single = shares.get("single_hind", 0.0) + shares.get("single_fore", 0.0)
    tilt = shares.get("diagonal", 0.0) - shares.get("lateral", 0.0)
    return 50 + (tripedal - single) / 4, 25 + tilt / 4


def _known(marks: Sequence[Contact], start_s: float, end_s: float) -> Sequence[Contact] | None:
    """The marks of one foot from the last before a span to the first after it, if they take turns throughout."""
    first = bisect_right(marks, start_s, key=_time_s) - 1
    last = bisect_right(marks, end_s, key=_time_s)
    if first < 0 or (last == len(marks) and marks[-1].time_s < end_s):
        return None
    around = marks[max(first - 1, 0) : last + 2]
    takes_turns = all(a.event is not b.event for a, b in pairwise(around))
    landings = [mark.time_s for mark in around if mark.event is Event.ON]
    no_hole = all(b - a < LONGEST * (end_s - start_s) for a, b in pairwise(landings))
    return around if takes_turns and no_hole else None


def _stands(marks: Sequence[Contact], time_s: float) -> bool:
    return marks[bisect_right(marks, time_s, key=_time_s) - 1].event is Event.ON


def _time_s(mark: Contact) -> float:
    return mark.time_s
