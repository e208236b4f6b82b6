"""How sure a contact is: the chance that this foot did this about then, by what the film showed of it.

The odds are multiplied by one factor for each sign. The weights were fitted to eleven thousand contacts of 214 drawn
films; the contacts of the eight ridden walks were not among them, and are told as truly. See docs/methods/film.md.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from evenfall.contacts.film.stances import Moment, Stance

__all__ = ["Feet", "coarse", "steady_s", "sureness"]

STEADY, STEADY_S = 0.02, 0.012
"""How far a steady horse's moments lie from its run: of a stride, and at least in seconds; two thirds of a picture's
interval where that is more (our choice)."""

MOST, MOST_COARSE = 0.99, 0.93
"""The surest a contact is called at 30 pictures a second and more, and at 15."""

LEVEL = 5.5
"""Log odds of a contact that was seen, by no look, just where it was expected, in the quickest stride."""

BY_LOOKS, ENOUGH_LOOKS = 2.3, 8
"""Log odds more with so many looks."""

NOT_SEEN, ALONE = -1.8, -0.9
"""Log odds where it was only inferred, and where its foot's other moment was not seen."""

OFF, SCATTER, MOST_STEADY = -1.35, -0.85, 4.0
"""Log odds for each time a steady horse's scatter that it lies off its run, and that the run scatters; no farther."""

SPREAD, SPREAD_PICTURES, MOST_SPREAD = -1.4, 0.6, 3.0
"""Log odds for each so many pictures by which its looks differ; no farther."""

HIDDEN = -2.1
"""Log odds times the share of the pair's moments of this kind that were not seen."""

QUICK_S, SLOW = 0.7, -3.5
"""Log odds for each second by which the stride is longer: hooves are set down, and leave, slowly. At 15 pictures a second
nothing, as hardly a hoof takes longer than a picture."""


@dataclass(frozen=True)
class Feet:
    """What is known of all feet of a ride.

    Parameters
    ----------
    stride_s, fps : float
        Real seconds, and pictures looked at in one.
    stances : sequence of Stance
    """

    stride_s: float
    fps: float
    stances: Sequence[Stance]

    def hidden(self, hind: bool, which: int) -> float:
        """Share of a pair's landings (0) or lift-offs (1) that were not seen."""
        kind = [stance.moments[which] for stance in self.stances if stance.hind is hind]
        return sum(not math.isfinite(moment.time_s) for moment in kind) / max(1, len(kind))


def coarse(fps: float) -> float:
    """0 at 30 pictures a second and more, 1 at 15."""
    return min(max((1 / fps - 1 / 30) * 30, 0.0), 1.0)


def steady_s(stride_s: float, fps: float) -> float:
    """How far a steady horse's moments lie from its run, real seconds."""
    return max(STEADY * stride_s, STEADY_S, 0.7 / fps)


def sureness(feet: Feet, stance: Stance, which: int, moment: Moment) -> float:
    """Return the probability that a contact is right, if its foot is.

    Parameters
    ----------
    feet : Feet
    stance : Stance
    which : int
        0 for its landing, 1 for its lift-off.
    moment : Moment
        The one that is told; its time is NaN where it was inferred.
    """
    steady = steady_s(feet.stride_s, feet.fps)
    odds = LEVEL + HIDDEN * feet.hidden(stance.hind, which)
    odds += SCATTER * min(moment.scatter_s / steady, MOST_STEADY)
    odds += SLOW * max(0.0, feet.stride_s - QUICK_S) * (1 - coarse(feet.fps))
    odds += ALONE * (not math.isfinite(stance.moments[1 - which].time_s))
    if math.isfinite(moment.time_s):
        odds += OFF * min(abs(moment.time_s - moment.expected_s) / steady, MOST_STEADY)
        odds += BY_LOOKS * min(moment.looks, ENOUGH_LOOKS) / ENOUGH_LOOKS
        odds += SPREAD * min(moment.spread_s * feet.fps / SPREAD_PICTURES, MOST_SPREAD)
    else:
        odds += NOT_SEEN
    return min(1 / (1 + math.exp(-odds)), MOST + (MOST_COARSE - MOST) * coarse(feet.fps))
