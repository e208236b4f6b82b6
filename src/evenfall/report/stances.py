"""What the footfall bars show: which stretch of the clip, and when each foot stands in it.

Conventions: times are seconds on the clip's clock.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from evenfall.contacts import Contact, Event
from evenfall.gait import Gait

__all__ = ["shown_span", "stances"]


def shown_span(gait: Gait, n_strides: int) -> tuple[float, float]:
    """Start and end of a few strides from the first whole one on, or from any foot's first cycle if none is whole."""
    whole = [stride.hind for stride in gait.strides.strides if stride.complete]
    cycles = whole or [cycle for each in gait.strides.cycles.values() for cycle in each]
    first = min(cycles, key=lambda cycle: cycle.start_s)
    return first.start_s, first.start_s + n_strides * first.duration_s


def stances(marks: Sequence[Contact]) -> Iterator[tuple[float, float]]:
    """Landing and lift-off of each stance of one foot that has both marks."""
    for landing, following in pairwise(marks):
        if landing.event is Event.ON and following.event is Event.OFF:
            yield landing.time_s, following.time_s
