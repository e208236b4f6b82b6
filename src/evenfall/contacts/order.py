"""Is this an order in which a horse can set down its feet? Slips of marking are told apart from contradictions.

Conventions: times are seconds on the clip's clock. The yardstick is the stride time of the other feet
at the same moment: every foot lands once in each stride, so a foot that lands again much sooner than
the others do has a mark too many.

::

    RF   ▔▔▔▔▔▔╷___╷▔▔╷___╷▔▔▔      one stance torn in two: the brief lift inside it is a slip
    LF   ___╷▔▔▔▔▔▔▔▔╷____╷▔▔▔      the others need a whole stride from landing to landing
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from evenfall.contacts.model import Contact, Contacts, Limb
from evenfall.errors import ContactsError
from evenfall.timebase import FloatArray

__all__ = ["SHORT", "Reviewed", "Slip", "StrideYardstick", "review_order"]

SHORT = 0.65
"""A foot that lands again within this share of a stride has a mark too many (our choice)."""

HALF_A_STRIDE = (0.35, 0.65)
ALONE = 0.4
"""A landing this share of a stride away from every landing of the foot across may be that foot's (our choice)."""

ALIKE = 0.15
"""Times from landing to landing that differ by less than this share are alike (our choice)."""

Interval = tuple[Contact, Contact]


@dataclass(frozen=True)
class Slip:
    """A mark set aside, and why.

    Parameters
    ----------
    marks : tuple of Contact
        The landing and the lift-off that were left out.
    reason : str
        In words for the person who marked them.
    """

    marks: tuple[Contact, ...]
    reason: str


@dataclass(frozen=True)
class Reviewed:
    """Contacts in a possible order, and the slips that were set aside to get there."""

    contacts: Contacts
    slips: tuple[Slip, ...]


def review_order(contacts: Contacts) -> Reviewed:
    """Set slips aside and refuse contradictions.

    Parameters
    ----------
    contacts : Contacts

    Returns
    -------
    Reviewed

    Raises
    ------
    ContactsError
        If a foot lands twice within part of a stride with no lift-off between: a double mark, or a
        left and right foot taken for each other.
    """
    slips: list[Slip] = []
    yardstick = StrideYardstick(contacts)
    while pair := _shortest_impossible(contacts, yardstick):
        slip = _slip(contacts, yardstick, *pair)
        slips.append(slip)
        contacts = contacts.without(slip.marks)
        yardstick = StrideYardstick(contacts)
    return Reviewed(contacts, tuple(slips))


class StrideYardstick:
    """How long a stride lasts at any moment, by the other feet.

    Parameters
    ----------
    contacts : Contacts
    """

    def __init__(self, contacts: Contacts) -> None:
        self._landings = {limb: np.array([m.time_s for m in contacts.landings(limb)]) for limb in Limb}

    def usual_s(self, limb: Limb, start_s: float, end_s: float, *, reach: float = 0.0) -> float | None:
        """Landing-to-landing time of the other feet around a span, or of the whole clip where they are silent.

        It is the median, each time weighted by how much of the span it covers, so that at a change of tempo
        the feet that have changed already speak for the new one. A foot that misses marks seems to take
        two strides or more; its time counts as the strides it holds, by the lower quartile of all.

        Parameters
        ----------
        limb : Limb
            The foot in question; the others speak.
        start_s, end_s : float
        reach : float
            How far to look beyond either end, in lengths of the span.

        Returns
        -------
        float or None
            Seconds on the clip's clock; None if no other landing-to-landing time exists.
        """
        beyond = reach * (end_s - start_s)
        near = [self._spans(foot, start_s - beyond, end_s + beyond) for foot in Limb if foot is not limb]
        times, covered = (np.concatenate(parts) for parts in zip(*near, strict=True))
        if len(times):
            quartile = _weighted_quantile(times, covered, 0.25)
            whole = times / np.maximum(1, np.round(times / quartile))
            return _weighted_quantile(whole, covered, 0.5)
        own = np.concatenate([np.diff(landings) for landings in self._landings.values()])
        others = own[~np.isclose(own, end_s - start_s)]
        return float(np.median(others)) if len(others) else None

    def shared(self, limb: Limb, start_s: float, end_s: float) -> bool:
        """Whether the other feet twice take as long to land again, then or a stride and a half before or after.

        Where all the others miss a mark at once, the yardstick is two strides long, and only their times
        around it show the true one.
        """
        length = end_s - start_s
        others = (foot for foot in Limb if foot is not limb)
        near = [self._spans(foot, start_s - 1.5 * length, end_s + 1.5 * length)[0] for foot in others]
        return int(np.sum(np.abs(np.concatenate(near) / length - 1) < ALIKE)) >= 2

    def _spans(self, foot: Limb, start_s: float, end_s: float) -> tuple[FloatArray, FloatArray]:
        """Landing-to-landing times of one foot that overlap a span, and by how much."""
        landings = self._landings[foot]
        first = max(int(np.searchsorted(landings, start_s, side="right")) - 1, 0)
        last = int(np.searchsorted(landings, end_s, side="left")) + 1
        near = landings[first:last]
        covered = np.minimum(near[1:], end_s) - np.maximum(near[:-1], start_s)
        return np.diff(near)[covered > 0], covered[covered > 0]


def _weighted_quantile(values: FloatArray, weights: FloatArray, share: float) -> float:
    order = np.argsort(values)
    reached = np.cumsum(weights[order]) >= share * weights.sum()
    return float(values[order][np.argmax(reached)])


def _shortest_impossible(contacts: Contacts, yardstick: StrideYardstick) -> Interval | None:
    """The landing-to-landing time that falls shortest of a stride, if any does by too much and alone."""
    found: list[tuple[float, Interval]] = []
    for limb in Limb:
        for first, second in pairwise(contacts.landings(limb)):
            span = (limb, first.time_s, second.time_s)
            usual = yardstick.usual_s(*span)
            share = (second.time_s - first.time_s) / usual if usual else 1.0
            if usual and share < SHORT and not yardstick.shared(*span):
                found.append((share, (first, second)))
    return min(found, key=lambda entry: entry[0])[1] if found else None


def _slip(contacts: Contacts, yardstick: StrideYardstick, first: Contact, second: Contact) -> Slip:
    """The landing of the two whose absence leaves the likelier stride, with the lift-off between them."""
    limb = first.limb
    between = [off for off in contacts.lift_offs(limb) if first.time_s < off.time_s < second.time_s]
    usual = yardstick.usual_s(limb, first.time_s, second.time_s) or 0.0
    if not between:
        raise ContactsError(_two_landings(contacts, first, second, usual), line=second.line)
    landings = contacts.landings(limb)
    false = min((second, first), key=lambda mark: _misfit(landings, mark, usual))
    side = "after" if false is first else "before"
    line = f" (line {false.line})" if false.line else ""
    reason = (
        f"{limb} lands at {first.time_s:.3f} s and again at {second.time_s:.3f} s, but the other feet take {usual:.2f} s "
        f"for a stride; the landing at {false.time_s:.3f} s{line} and the lift-off {side} it were set aside."
    )
    if _is_across(contacts, first, second, false, usual):
        reason = f"{reason} Is it {limb.across}'s?"
    return Slip((false, *between), reason)


def _misfit(landings: Sequence[Contact], without: Contact, usual: float) -> float:
    """How far the strides around a landing stray from the usual once that landing is gone."""
    place = landings.index(without)
    if 0 < place < len(landings) - 1:
        return abs(landings[place + 1].time_s - landings[place - 1].time_s - usual)
    inner = (place + 1, place + 2) if place == 0 else (place - 2, place - 1)
    if inner[0] >= 0 and inner[1] < len(landings):
        return abs(landings[inner[1]].time_s - landings[inner[0]].time_s - usual)
    return 0.0


def _two_landings(contacts: Contacts, first: Contact, second: Contact, usual: float) -> str:
    limb = first.limb
    told = (
        f"{limb} lands at {first.time_s:.3f} s and again at {second.time_s:.3f} s with no lift-off between; "
        f"a stride of this horse lasts about {usual:.2f} s."
    )
    swapped = [mark for mark in (second, first) if _is_across(contacts, first, second, mark, usual)]
    if not swapped:
        return f"{told} One of the two is probably marked twice; delete it."
    mark = max(
        swapped, key=lambda mark: round(_apart_s(contacts, mark) / usual, 1)
    )  # the later one where both fit
    line = f" on line {mark.line}" if mark.line else ""
    return (
        f"{told} The landing at {mark.time_s:.3f} s{line} is probably {limb.across}: left and right swapped, there or "
        "from there on?"
    )


def _is_across(contacts: Contacts, first: Contact, second: Contact, mark: Contact, usual: float) -> bool:
    """Whether one of two landings is likely the foot across: half a stride after the other, where that foot has none.

    ::

        LF  |       |   |       |     the third is RF's: it comes half a stride after the second,
        RF      |           |         and RF lands nowhere near it
    """
    half = (second.time_s - first.time_s) / usual if usual else 0.0
    alone = ALONE * usual < _apart_s(contacts, mark) < float("inf")
    return HALF_A_STRIDE[0] < half < HALF_A_STRIDE[1] and alone


def _apart_s(contacts: Contacts, mark: Contact) -> float:
    """Time from a landing to the nearest of the foot across; infinite if that foot has none."""
    times = (other.time_s for other in contacts.landings(mark.limb.across))
    return min((abs(time - mark.time_s) for time in times), default=float("inf"))
