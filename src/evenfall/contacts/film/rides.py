"""One pass of the horse: whose foot is whose, its contacts on the clip's clock and what they are worth, or why not."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import NormalDist

import numpy as np

from evenfall.contacts.film.halves import joined_halves
from evenfall.contacts.film.pattern import Pattern, fit_pattern
from evenfall.contacts.film.seeing import Seen
from evenfall.contacts.film.sides import LEAST_GAP, LEAST_LEAD, Sides, tell_sides
from evenfall.contacts.film.stances import Moment, Stance, stances_of
from evenfall.contacts.film.sureness import Feet, coarse, steady_s, sureness
from evenfall.contacts.model import Contact, Event, Limb

__all__ = [
    "INFERRED",
    "LEAST_RIDE_S",
    "SEEN_IN_FILM",
    "UNTOLD",
    "Ride",
    "contacts_of",
    "follows",
    "judged",
    "rides_of",
    "tells",
]

SEEN_IN_FILM = "film"
INFERRED = "film, inferred"

RIDE_S = 7.0
"""A longer ride is read in parts of about this length, so that its pace may change."""

LEAST_RIDE_S = 1.0
GAP_S = 0.5
LEAST_ADVANCE = 0.12
"""Widths a second under which a horse does not pass from side to side."""

FORE_U = 0.22
LEAST_LENGTH = 0.7
"""Width by height of a ridden horse from the side, about 1; less is a person, or a horse seen from the end."""

LEAST_SCORE, COARSE_MORE = 0.66, 0.1
"""How well its feet must follow one even pattern, and by what share they follow it less where pictures come 15 a second: stances then
begin and end between pictures (our choice; of eight ridden walks, altered in fifteen ways, none with less was told wrongly)."""

LEAST_SURENESS, LEAST_GAP_PX = 1.8, 0.9
NARROW_SURENESS = 3.5
"""What the first of them must be where only what is bright or narrow is looked at: of drawn horses one with white socks was told
wrongly with 2.8, and 151 rightly with 4 or more."""

MOST_NARROW_GAP = 0.045
"""Widths between the tracks beyond which such a look is not believed: under a near hoof lost in the shade, the end of the dark leg above
its white sock is taken for the sole (of ten drawn rides told wrongly, by up to 50 standard errors, eight had 0.047 to 0.151; rightly
told were 0.006 to 0.023, of ridden walks, altered, 0.014 to 0.043 and one 0.074)."""

LEAST_CONFIDENCE, COARSE_CONFIDENCE = 0.9, 0.75
"""A ride whose contacts are called less sure than this on the whole is not read, at 30 pictures a second and more, and
at 15, where none is called surer than 93 %: its feet are not seen clearly enough (of 248 drawn films read, the four under the
first had 66 to 86 % of their contacts found)."""

LEAST_WIDTH_PX = 150.0
"""Pixels from nose to tail, as the pictures are looked at, under which near feet are not told from far ones: at 120 a drawn film
came out with its sides exchanged, at 170 others are right."""

TOO_SMALL = "the horse is too small in the picture for its near feet to be told from the far ones"
UNTOLD = "which feet are the near ones cannot be told"
TOO_TALL = "what passes is taller than a horse from the side is for its length"

MEETING_S = 0.08
"""Where only what is narrow is looked at, two feet that stand side by side are no longer: so near together a fore must not leave
and a hind of the other side land, nor fore and hind of one side land. They do in a pace and a stepping pace (of drawn feet:
under 0.07 where such a look was wrong, over 0.09 in every other gait, where it was right; where both moments are wrong the
landings are nearer still)."""

ROUGH_SD_S = 0.03
END_S = 0.05
"""Nearer to the film's first or last picture nothing is seen to happen: what was there before, or comes after, is not known."""

OUTSIDE_S = 0.01
"""What is expected so near to them may as well lie outside the film, and is not told."""

QUICK_S, SLOW_SD = 0.7, 0.01
"""A stride longer than the first sets its hooves down slowly: how far a moment may lie off for each second more (of
drawn feet)."""

TOE_SD_S = 0.035
"""How far a lift-off may lie off where pictures are far apart: the toe that still stands is not told from a hoof gone
(by eye, on eight ridden walks at 15 pictures a second)."""


@dataclass(frozen=True, eq=False)
class Ride:
    """One pass of the horse, or a part of a long one.

    Parameters
    ----------
    start_s, end_s : float
        Real seconds.
    heading : int
        1 where it goes right in the picture, -1 where left.
    pattern : Pattern or None
    stances : tuple of Stance
    sides : Sides or None
    refused : str
        Why its feet are not told; empty if they are.
    sureness : float
        How sure its contacts are on the whole; 0 where they are not told.
    """

    start_s: float
    end_s: float
    heading: int
    pattern: Pattern | None
    stances: tuple[Stance, ...]
    sides: Sides | None
    refused: str
    sureness: float = 0.0

    @property
    def is_hopeless(self) -> bool:
        """Whether it is refused for what another look at the ground would not change."""
        return self.refused in {TOO_SMALL, TOO_TALL}

    def is_near(self, stance: Stance) -> bool:
        """Whether a stance's foot is on the camera's side."""
        return self.sides is not None and self.sides.is_near(stance)

    def limb(self, stance: Stance) -> Limb:
        """Which foot a stance is of: the near side is the right one of a horse that goes right."""
        right = self.is_near(stance) == (self.heading > 0)
        return Limb(("R" if right else "L") + ("H" if stance.hind else "F"))


def rides_of(seen: Seen, heading: int | None = None) -> tuple[Ride, ...]:
    """Tell whose feet the bars are, pass by pass.

    Parameters
    ----------
    seen : Seen
    heading : int, optional
        1 where the horse goes right in the picture, -1 where left, if a person says so; else as it is seen to go.
    """
    return tuple(_ride(seen, start, end, heading or way) for start, end, way in _spans(seen))


def _spans(seen: Seen) -> Iterator[tuple[float, float, int]]:
    """From when to when, and which way, the horse passes."""
    passing = seen.seen & (np.abs(np.nan_to_num(seen.advance)) >= LEAST_ADVANCE)
    indices = np.flatnonzero(passing)
    if not len(indices):
        return
    way = np.sign(seen.advance[indices])
    breaks = (np.diff(seen.times_s[indices]) > GAP_S) | (np.diff(way) != 0)
    for part in np.split(indices, np.flatnonzero(breaks) + 1):
        start, end = float(seen.times_s[part[0]]), float(seen.times_s[part[-1]])
        if end - start >= LEAST_RIDE_S:
            borders = np.linspace(start, end, max(1, round((end - start) / RIDE_S)) + 1)
            for a, b in pairwise(borders):
                yield float(a), float(b), int(np.sign(seen.advance[part[0]]))


def _ride(seen: Seen, start_s: float, end_s: float, heading: int) -> Ride:
    during = (seen.times_s >= start_s) & (seen.times_s <= end_s)
    speed = float(np.nanmedian(np.abs(seen.advance[during])))
    bars = [bar for bar in seen.bars if start_s <= (bar.from_s + bar.to_s) / 2 <= end_s]
    bars = joined_halves(bars, heading * speed, seen.camera, seen.width)
    visible = _visible(seen, start_s, end_s, heading)
    pattern = fit_pattern(bars, visible, speed)
    if pattern is None:
        reason = "hardly a foot is seen to stand still on the ground"
        return Ride(start_s, end_s, heading, None, (), None, reason)
    stances = tuple(stances_of(pattern, bars, visible, seen.fps, narrow=seen.pale))
    sides = tell_sides(stances, pattern.half_s, seen.camera, (seen.times_s, seen.width))
    return judged(Ride(start_s, end_s, heading, pattern, stances, sides, ""), seen)


def judged(ride: Ride, seen: Seen) -> Ride:
    """The ride with how sure its contacts are, or why they are not told; ``seen`` is what it was read in."""
    during = (seen.times_s >= ride.start_s) & (seen.times_s <= ride.end_s)
    px = float(np.nanmedian(seen.width[during])) * seen.magnified
    doubt = _shape(float(np.nanmedian(seen.length[during]))) or _doubt(ride, px, seen.fps, narrow=seen.pale)
    doubt = doubt or (_side_by_side(ride) if seen.pale else "")
    sure = [mark.confidence for mark in contacts_of(ride, seen, 1.0)]
    sureness = float(np.mean(sure)) if sure and not doubt else 0.0
    doubt = doubt or _unsteady(sureness, seen.fps)
    return replace(ride, refused=doubt, sureness=0.0 if doubt else sureness)


def _side_by_side(ride: Ride) -> str:
    """Why a look at only what is narrow cannot tell this gait; empty if it can."""
    for own_side in (False, True):
        apart = list(_apart_from_hinds(ride, own_side))
        if apart and float(np.median(apart)) <= MEETING_S:
            return "two feet that stand side by side cannot be told from shade"
    return ""


def _apart_from_hinds(ride: Ride, own_side: bool) -> Iterator[float]:
    """From when each fore lands to when a hind of its side does, or from when it leaves to when one of the other side lands."""
    for fore in (stance for stance in ride.stances if not stance.hind):
        moment = fore.on if own_side else fore.off
        hinds = [s for s in ride.stances if s.hind and (ride.is_near(s) is ride.is_near(fore)) is own_side]
        if hinds:
            yield min(abs(moment.expected_s - hind.on.expected_s) for hind in hinds)


def _unsteady(sureness: float, fps: float) -> str:
    """Why its contacts are not told although it is known whose they are; empty if they are."""
    if sureness >= LEAST_CONFIDENCE + (COARSE_CONFIDENCE - LEAST_CONFIDENCE) * coarse(fps):
        return ""
    return "the feet are not seen clearly enough to say when they land and leave"


def _visible(
    seen: Seen, start_s: float, end_s: float, heading: int
) -> tuple[tuple[float, float], tuple[float, float]]:
    """From when to when the fores, and the hinds, are in the picture."""
    during = (seen.times_s >= start_s) & (seen.times_s <= end_s)
    spans = []
    for u in (FORE_U, -FORE_U):
        x = seen.middle + heading * u * seen.width
        inside = np.flatnonzero(during & (x > 0.03 * seen.picture[0]) & (x < 0.97 * seen.picture[0]))
        ends = seen.times_s[inside[[0, -1]]] if len(inside) else np.array([start_s, end_s])
        spans.append((float(ends[0]), float(ends[1])))
    return spans[0], spans[1]


def _shape(length: float) -> str:
    """Why what passes is no horse seen from the side; empty if it may be."""
    return "" if length >= LEAST_LENGTH else TOO_TALL


def _doubt(ride: Ride, width_px: float, fps: float, *, narrow: bool) -> str:
    """Why the feet of a ride are not told, the horse being so many pixels wide; empty if they are."""
    if width_px < LEAST_WIDTH_PX:
        return TOO_SMALL
    if ride.pattern is None or follows(ride.pattern, fps) < LEAST_SCORE:
        return "the feet that are seen do not follow one another as a horse's do"
    sides = ride.sides
    if (
        sides is None
        or not tells(sides, narrow=narrow)
        or sides.gap < max(LEAST_GAP, LEAST_GAP_PX / width_px)
    ):
        return UNTOLD
    return ""


def follows(pattern: Pattern, fps: float) -> float:
    """How well fores and hinds, whichever do so less, follow the pattern: 1 is as well as can be."""
    return min(pair.score for pair in pattern.pairs) * (1 + COARSE_MORE * coarse(fps))


def tells(sides: Sides, *, narrow: bool) -> bool:
    """Whether a look tells the near feet by itself; ``narrow`` where only what is bright or narrow was looked at."""
    sure = sides.sureness >= (NARROW_SURENESS if narrow else LEAST_SURENESS)
    return sure and sides.lead >= LEAST_LEAD and not (narrow and sides.gap > MOST_NARROW_GAP)


def contacts_of(ride: Ride, seen: Seen, playback_factor: float) -> Iterator[Contact]:
    """Tell when each foot of a ride lands and leaves, on the clip's clock, and how sure that is; sure or not."""
    first, last = float(seen.times_s[0]), float(seen.times_s[-1])
    end_s = max(0.5 / seen.fps, END_S)
    shown = {(stance.hind, stance.number) for stance in ride.stances if stance.bars}
    for stance in ride.stances:
        beside = [(stance.hind, stance.number + step) for step in (-2, 0, 2)]
        if shown.isdisjoint(beside):
            continue
        for which, (event, told) in enumerate(zip((Event.ON, Event.OFF), stance.moments, strict=True)):
            # what falls on the film's first or last pictures is not seen to happen
            measured = bool(first + end_s < told.time_s < last - end_s)
            moment = told if measured else replace(told, time_s=np.nan)
            time_s = moment.time_s if measured else moment.expected_s
            if not (measured or first + OUTSIDE_S < time_s < last - OUTSIDE_S):
                continue
            yield Contact(
                limb=ride.limb(stance),
                event=event,
                time_s=time_s * playback_factor,
                sd_s=_sd_s(ride, moment, event, seen.fps) * playback_factor,
                source=SEEN_IN_FILM if measured else INFERRED,
                confidence=_confidence(ride, stance, which, moment, seen.fps),
            )


def _sd_s(ride: Ride, moment: Moment, event: Event, fps: float) -> float:
    """Standard deviation, real seconds: the picture interval's, the looks' own, and more where it was not seen."""
    interval = 1 / fps / np.sqrt(12)
    if not np.isfinite(moment.time_s):
        return float(max(2 * moment.scatter_s, ROUGH_SD_S))
    rough = ROUGH_SD_S if moment.rough else 0.0
    slow = SLOW_SD * max(0.0, _stride_s(ride) - QUICK_S)
    unsteady = _unsteady_s(moment, steady_s(_stride_s(ride), fps))
    toe = TOE_SD_S * coarse(fps) if event is Event.OFF else 0.0
    return float(np.linalg.norm([interval, 1.5 * moment.spread_s, rough, toe, slow, unsteady]))


def _unsteady_s(moment: Moment, steady_s: float) -> float:
    """By how much the foot's run scatters more than a steady horse's does; the looks may be of its shade."""
    return max(0.0, moment.scatter_s - steady_s)


def _stride_s(ride: Ride) -> float:
    return 0.0 if ride.pattern is None else 2 * ride.pattern.half_s


def _confidence(ride: Ride, stance: Stance, which: int, moment: Moment, fps: float) -> float:
    """Probability that this foot did this about then."""
    if ride.sides is None:
        return 0.0
    side = NormalDist().cdf(ride.sides.sureness) / (1 + np.exp(-ride.sides.lead))
    return float(side * sureness(Feet(_stride_s(ride), fps, ride.stances), stance, which, moment))
