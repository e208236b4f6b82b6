"""Novelty: the first passes after a change are set apart.

A horse lifts its feet at anything new. With a bracelet of 55 g round the pastern the fore hoof went higher in the
first six passes of ten, highest in the very first and falling quickly up to the fourth (Clayton 2008, abstract). Three
passes set apart by default take most of that; six would be surer, but many outings have no more than four films. Our
choice: it was touch on trotting horses in hand, not shoes under a rider, and nobody has measured how long a shoe is new.
"""

from collections.abc import Iterable

from evenfall.progress.passes import Pass

__all__ = ["FIRST", "set_apart"]

FIRST = 3


def set_apart(passes: Iterable[Pass], first: int = FIRST) -> tuple[tuple[Pass, ...], tuple[Pass, ...]]:
    """Part the passes to count from those that may only show novelty.

    Parameters
    ----------
    passes : iterable of Pass
    first : int
        How many passes after a change are set apart; 0 for none.

    Returns
    -------
    counted, apart : tuple of Pass
        A pass whose novelty is not known counts. Where nothing would be left, all count and none is apart: the
        caller sees that by the novelty of what counts.

    Examples
    --------
    >>> from datetime import date
    >>> made = [Pass(i, 1, 1, date(2026, 5, 3), novelty=i) for i in range(5)]
    >>> [len(part) for part in set_apart(made)]
    [2, 3]
    """
    every = tuple(passes)
    counted = tuple(each for each in every if not is_new(each, first))
    if not counted:
        return every, ()
    return counted, tuple(each for each in every if is_new(each, first))


def is_new(each: Pass, first: int = FIRST) -> bool:
    """Whether a pass lies among the first after a change."""
    return each.novelty is not None and each.novelty < first
