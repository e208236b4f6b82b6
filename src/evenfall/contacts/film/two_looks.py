"""Two looks at one ride: which is believed, and what each still lends the other."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from evenfall.contacts.film.rides import UNTOLD, Ride, judged, tells
from evenfall.contacts.film.seeing import Seen
from evenfall.contacts.film.sides import Sides
from evenfall.contacts.film.stances import Moment, Stance

__all__ = ["surest"]

SAME_STANCE, LEAST_SAME, CLEARLY_SAME = 0.35, 3, 0.8
"""Two looks show one stance where its middles lie within this share of a half stride; so many of them, and such a share, must
agree on how one look's numbers go with the other's (our choice)."""

AGREED_SURENESS = 2.5
"""How sure of near and far two looks must be together where neither is by itself, and both say the same (our choice; in 113 rides
of drawn films in which both said the same it was right, as in all of the ridden walks, however altered)."""

LEAST_SHOWN = 0.0025
"""How far apart, in widths, a look must at least see two tracks to be told from another look which is near: one that sees none shows
the edge of a shade, and dates that (of seven such drawn rides the three under it were those with the phase off by 1.8 to 5.3)."""

SAME_MOMENT_S = 0.025
"""They show one moment where they date it no further apart: about as far as 95 % of the best marked camera's dates lie from a
force plate's (26 ms; Starke & Clayton 2015, abstract)."""


def surest(looks: Sequence[tuple[Seen, tuple[Ride, ...]]]) -> tuple[Seen, tuple[Ride, ...]]:
    """Of each ride the look that is surest; and which of the looks at the film most were taken from.

    Parameters
    ----------
    looks : sequence of (Seen, tuple of Ride)
        The film as it was looked at, and its rides, the same of each look; what is narrow last.

    Returns
    -------
    tuple of (Seen, tuple of Ride)
    """
    (seen, rides), *others = looks
    for other, again in others:
        told = [_told_by(ride, same, seen) for ride, same in zip(rides, again, strict=True)]
        rides = tuple(_surer(ride, same) for ride, same in zip(told, again, strict=True))
        if sum(ride is not was for ride, was in zip(rides, told, strict=True)) > len(rides) / 2:
            seen = other
    return seen, rides


def _surer(ride: Ride, other: Ride) -> Ride:
    """The look that is surer, dated with the other; where each tells the near feet and they differ, neither is believed."""
    if ride.sides and not (ride.refused or other.refused):
        sides = _sides_of(other, ride)
        if sides is not None and not sides.is_as(ride.sides):
            return replace(ride, refused=UNTOLD, sureness=0.0)
    return ride if ride.sureness >= other.sureness else _dated_with(other, ride)


def _told_by(ride: Ride, other: Ride, seen: Seen) -> Ride:
    """The ride with its near feet told as another look at it has them, where that is all it lacks."""
    if ride.refused != UNTOLD or ride.sides is None or ride.sides.gap < LEAST_SHOWN:
        return ride
    sides = _sides_of(other, ride)
    if sides is not None and not tells(sides, narrow=True):
        sides = _agreed(sides, ride.sides)
    return ride if sides is None else judged(replace(ride, sides=sides, refused=""), seen)


def _sides_of(other: Ride, ride: Ride) -> Sides | None:
    """The sides another look tells, by this ride's numbers; None if none, or where its stances are not clearly the same."""
    if other.sides is None or ride.pattern is None:
        return None
    moved = [_renumbered(ride.stances, other.stances, hind, ride.pattern.half_s) for hind in (False, True)]
    if None in moved:
        return None
    fores, hinds = (int(step or 0) for step in moved)
    return replace(
        other.sides,
        near_parity=(other.sides.near_parity + fores) % 2,
        hinds_shifted=bool((other.sides.hinds_shifted + fores + hinds) % 2),
    )


def _agreed(sides: Sides, others: Sides) -> Sides | None:
    """What two looks say together; None where they differ or are not sure enough."""
    together = float(np.hypot(sides.sureness, others.sureness))
    enough = sides.is_as(others) and together >= AGREED_SURENESS
    return replace(sides, sureness=together) if enough else None


def _renumbered(stances: Sequence[Stance], others: Sequence[Stance], hind: bool, half_s: float) -> int | None:
    """Whether the same stance has an odd number where the other look gave it an even one; None if that is not clear."""
    odd = [
        (stance.number - other.number) % 2
        for stance in stances
        for other in others
        if stance.hind is other.hind is hind and abs(stance.middle_s - other.middle_s) < SAME_STANCE * half_s
    ]
    share = float(np.mean(odd)) if len(odd) >= LEAST_SAME else 0.5
    return round(share) if abs(share - 0.5) > CLEARLY_SAME - 0.5 else None


def _dated_with(ride: Ride, other: Ride) -> Ride:
    """The ride with each moment that another look shows too put halfway between the two."""
    return replace(ride, stances=tuple(_halfway(stance, other.stances) for stance in ride.stances))


def _halfway(stance: Stance, others: Sequence[Stance]) -> Stance:
    pair = [other for other in others if other.hind is stance.hind]
    on, off = (
        _met(moment, [other.moments[which] for other in pair]) for which, moment in enumerate(stance.moments)
    )
    return replace(stance, on=on, off=off)


def _met(moment: Moment, others: Sequence[Moment]) -> Moment:
    apart = [other.time_s - moment.time_s for other in others if not (other.rough or moment.rough)]
    nearest = min((late_s for late_s in apart if abs(late_s) < SAME_MOMENT_S), key=abs, default=0.0)
    return replace(moment, time_s=moment.time_s + nearest / 2)
