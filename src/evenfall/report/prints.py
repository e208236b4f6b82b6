"""The prints the feet leave, as far as the film shows them: where, in what order, and how far apart.

Conventions: as in `evenfall.report.ground`; lengths are widths of the horse in the picture, since the film
alone does not tell how long the horse is.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from evenfall.contacts import Limb
from evenfall.contacts.film import FilmFeet, Ride
from evenfall.report.ground import standings, way

__all__ = ["Print", "overstrides", "prints", "stride_lengths"]

NEXT = (0.6, 1.4)
"""Strides from one print of a foot to its next; more, and one between was not seen."""

BEFORE = 1.2
"""Strides within which a fore's print counts as the one a hind steps to."""


@dataclass(frozen=True)
class Print:
    """One foot's print.

    Parameters
    ----------
    limb : Limb
    near : bool
        Whether it is of the track on the camera's side.
    ground : float
        Widths ahead.
    time_s : float
        When the foot landed, seconds on the clip's clock.
    """

    limb: Limb
    near: bool
    ground: float
    time_s: float


def prints(feet: FilmFeet, ride: Ride, playback_factor: float = 1.0) -> list[Print]:
    """Return the prints of one ride that the film shows, in order of time; none where no foot is told."""
    found = standings(feet, ride, way(feet.seen), playback_factor)
    near = "R" if ride.heading > 0 else "L"
    left = [Print(s.limb, s.limb.value[0] == near, s.ground, s.on_s) for s in found if s.limb and s.shown]
    return sorted(left, key=lambda each: each.time_s)


def stride_lengths(of: Sequence[Print], stride_s: float) -> list[float]:
    """Return how far each foot goes from print to print.

    Parameters
    ----------
    of : sequence of Print
        In order of time.
    stride_s : float
        Clip seconds in a stride.
    """
    return [
        after.ground - before.ground
        for limb in Limb
        for before, after in pairwise(each for each in of if each.limb is limb)
        if NEXT[0] * stride_s < after.time_s - before.time_s < NEXT[1] * stride_s
    ]


def overstrides(of: Sequence[Print], stride_s: float) -> list[float]:
    """Return how far each hind steps past the fore print of its own side; negative where it stays short.

    The fore print is the nearest on the ground of those that were there before the hind landed.
    """
    lengths = stride_lengths(of, stride_s)
    farthest = sum(lengths) / len(lengths) / 2 if lengths else 0.0
    return [past for past in _past(of, stride_s) if abs(past) < farthest]


def _past(of: Sequence[Print], stride_s: float) -> Iterator[float]:
    for hind in (each for each in of if each.limb.is_hind):
        there = [
            hind.ground - fore.ground
            for fore in of
            if fore.limb is hind.limb.same_side and 0 < hind.time_s - fore.time_s < BEFORE * stride_s
        ]
        if there:
            yield min(there, key=abs)
