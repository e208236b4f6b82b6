"""Which foot comes next, by the rhythm of the marks made so far.

Conventions: times are seconds on the clip's clock. Two ways of marking are known. *Beat by beat*: the feet in the
order they land; the next is the one that followed in the strides before, by the median of how long after. *Foot by
foot*: one foot through the whole film; the next is the same foot a stride later.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median, mode

from evenfall.contacts.model import Contact, Limb

__all__ = ["Expected", "next_expected"]

ORDER = (Limb.LH, Limb.LF, Limb.RH, Limb.RF)
"""The order in which the feet of every symmetrical gait land; the first stride of a film is offered by it."""


@dataclass(frozen=True)
class Expected:
    """What is likely to be marked next.

    Parameters
    ----------
    contact : Contact
        Its foot and event, and about when.
    known : bool
        Whether the rhythm tells the time; else it is that of the last mark, and only the foot is offered.
    """

    contact: Contact
    known: bool


def next_expected(made: Sequence[Contact]) -> Expected | None:
    """Return what is likely to be marked next.

    Parameters
    ----------
    made : sequence of Contact
        In the order in which they were made.

    Returns
    -------
    Expected or None
        None before the first mark.

    Examples
    --------
    >>> from evenfall.contacts import Event
    >>> marks = [Contact(Limb.LH, Event.ON, 1.0), Contact(Limb.LH, Event.ON, 1.6)]
    >>> round(next_expected(marks).contact.time_s, 3)
    2.2
    """
    if not made:
        return None
    last = made[-1]
    alike = [mark for mark in made if mark.event is last.event]
    if len(alike) > 1 and alike[-2].limb is last.limb:
        return _same_foot(alike, last)
    return _next_foot(sorted(alike, key=lambda mark: mark.time_s), last)


def _same_foot(alike: Sequence[Contact], last: Contact) -> Expected:
    times = sorted(mark.time_s for mark in alike if mark.limb is last.limb)
    return Expected(replace(last, time_s=last.time_s + median(b - a for a, b in pairwise(times))), known=True)


def _next_foot(alike: Sequence[Contact], last: Contact) -> Expected:
    """The foot that followed this one in earlier strides, as long after it as then."""
    followed = [
        (after.limb, after.time_s - here.time_s)
        for here, after in pairwise(alike)
        if here.limb is last.limb and here.time_s < last.time_s
    ]
    if followed:
        foot = mode(limb for limb, _ in followed)
        later = median(gap for limb, gap in followed if limb is foot)
        return Expected(replace(last, limb=foot, time_s=last.time_s + later), known=True)
    gaps = [b.time_s - a.time_s for a, b in pairwise(alike)]
    following = ORDER[(ORDER.index(last.limb) + 1) % 4]
    known = bool(gaps)
    return Expected(replace(last, limb=following, time_s=last.time_s + (median(gaps) if known else 0)), known)
