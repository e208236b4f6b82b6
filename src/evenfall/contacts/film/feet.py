"""Whose foot is whose: rides, limbs, contacts on the clip's clock, and what they are worth; or why there are none."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import NormalDist
from typing import Literal

import numpy as np

from evenfall.clip import Clip, Progress
from evenfall.contacts.film.halves import joined_halves
from evenfall.contacts.film.pattern import Pattern, fit_pattern
from evenfall.contacts.film.seeing import Seen, see_film
from evenfall.contacts.film.sides import LEAST_GAP, Sides, tell_sides
from evenfall.contacts.film.stances import Moment, Stance, stances_of
from evenfall.contacts.film.sureness import Feet, coarse, steady_s, sureness
from evenfall.contacts.model import Contact, Contacts, Event, Limb

__all__ = ["INFERRED", "SEEN_IN_FILM", "FilmFeet", "Ride", "find_feet", "too_slow"]

SEEN_IN_FILM = "film"
INFERRED = "film, inferred"

RIDE_S = 7.0
"""A longer ride is read in parts of about this length, so that its pace may change."""

LEAST_RIDE_S = 1.0
GAP_S = 0.5
LEAST_FPS = 10.0
LEAST_ADVANCE = 0.12
"""Widths a second under which a horse does not pass from side to side."""

FORE_U = 0.22
LEAST_LENGTH = 0.7
"""Width by height of a ridden horse from the side, about 1; less is a person, or a horse seen from the end."""

LEAST_SCORE = 0.66
LEAST_LEAD = 2.5
LEAST_SURENESS, LEAST_GAP_PX = 1.8, 0.9
LEAST_TOLD = 0.5
"""A contact that is less sure than this is more likely wrong than right, and is not told."""

LEAST_CONFIDENCE, COARSE_CONFIDENCE = 0.86, 0.75
"""A ride whose contacts are called less sure than this on the whole is not read, at 30 pictures a second and more, and
at 15, where none is called surer than 93 %: its feet are not seen clearly enough."""

LEAST_WIDTH_PX = 150.0
"""Pixels from nose to tail, as the pictures are looked at, under which near feet are not told from far ones: at 120 a drawn film
came out with its sides exchanged, at 170 others are right."""

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

Facing = Literal["left", "right"]


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
    """

    start_s: float
    end_s: float
    heading: int
    pattern: Pattern | None
    stances: tuple[Stance, ...]
    sides: Sides | None
    refused: str

    def limb(self, stance: Stance) -> Limb:
        """Which foot a stance is of: the near side is the right one of a horse that goes right."""
        near = self.sides is not None and self.sides.is_near(stance)
        right = near == (self.heading > 0)
        return Limb(("R" if right else "L") + ("H" if stance.hind else "F"))


@dataclass(frozen=True, eq=False)
class FilmFeet:
    """The feet found in a film.

    Parameters
    ----------
    contacts : Contacts
        On the clip's clock; source ``film`` where the film showed the moment, ``film, inferred`` where it was put
        where the foot's other strides expect it.
    facing : str or None
    seen : Seen
    rides : tuple of Ride
    too_little : str
        Why there are none; empty if there are.
    """

    contacts: Contacts
    facing: Facing | None
    seen: Seen
    rides: tuple[Ride, ...]
    too_little: str

    @property
    def measured(self) -> Contacts:
        """Only the contacts that were seen, not those inferred."""
        return self.contacts.only(lambda mark: mark.source != INFERRED)

    @property
    def inferred(self) -> Contacts:
        """Only the contacts that were inferred."""
        return self.contacts.only(lambda mark: mark.source == INFERRED)


def find_feet(clip: Clip, *, facing: Facing | None = None, progress: Progress | None = None) -> FilmFeet:
    """Find when each foot lands and leaves, in the film itself.

    Parameters
    ----------
    clip : Clip
    facing : {"left", "right"}, optional
        Which way the horse goes in the picture, if a person says so; without it, as it is seen to go.
    progress : Progress, optional
        Called many times a second with the share done; it may raise to stop the work.

    Returns
    -------
    FilmFeet
        With ``too_little`` set where the film cannot tell.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    heading = {"right": 1, "left": -1, None: None}[facing]
    seen = see_film(clip, heading=heading, progress=progress)
    rides = tuple(_ride(seen, start, end, heading or way) for start, end, way in _spans(seen))
    slow = too_slow(clip)
    told = [ride for ride in rides if not (ride.refused or slow)]
    marks = (mark for ride in told for mark in _contacts(ride, seen, clip.timebase.playback_factor))
    contacts = Contacts(mark for mark in marks if mark.confidence >= LEAST_TOLD)
    return FilmFeet(contacts, _facing(told), seen, rides, "" if told else slow or _why_none(seen, rides))


def too_slow(clip: Clip) -> str:
    """Why a film cannot be read whatever it shows; empty if it may be."""
    rate = clip.timebase.capture_fps
    if rate >= LEAST_FPS:
        return ""
    return (
        f"{rate:.3g} pictures a second are too few to see when a foot lands. Film at 60 or more; if this is a "
        "slow-motion film, give the rate it was taken at: --capture-fps, or on its page under About this film."
    )


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
    stances = tuple(stances_of(pattern, bars, visible, seen.fps))
    sides = tell_sides(stances, pattern.half_s, seen.camera, (seen.times_s, seen.width))
    px = float(np.nanmedian(seen.width[during])) * seen.magnified
    shape = _shape(float(np.nanmedian(seen.length[during])))
    doubt = shape or _doubt(pattern, sides, px)
    ride = Ride(start_s, end_s, heading, pattern, stances, sides, doubt)
    return ride if doubt else replace(ride, refused=_unsteady(ride, seen))


def _unsteady(ride: Ride, seen: Seen) -> str:
    """Why its contacts are not told although it is known whose they are; empty if they are."""
    sure = [mark.confidence for mark in _contacts(ride, seen, 1.0)]
    least = LEAST_CONFIDENCE + (COARSE_CONFIDENCE - LEAST_CONFIDENCE) * coarse(seen.fps)
    if sure and float(np.mean(sure)) >= least:
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
    return (
        "" if length >= LEAST_LENGTH else "what passes is taller than a horse from the side is for its length"
    )


def _doubt(pattern: Pattern, sides: Sides | None, width_px: float) -> str:
    """Why the feet of a ride are not told, the horse being so many pixels wide; empty if they are."""
    if width_px < LEAST_WIDTH_PX:
        return "the horse is too small in the picture for its near feet to be told from the far ones"
    if min(pair.score for pair in pattern.pairs) < LEAST_SCORE:
        return "the feet that are seen do not follow one another as a horse's do"
    told = sides is not None and sides.lead >= LEAST_LEAD and sides.sureness >= LEAST_SURENESS
    if sides is None or not told or sides.gap < max(LEAST_GAP, LEAST_GAP_PX / width_px):
        return "which feet are the near ones cannot be told"
    return ""


def _contacts(ride: Ride, seen: Seen, playback_factor: float) -> Iterator[Contact]:
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


def _facing(told: Sequence[Ride]) -> Facing | None:
    headings = {ride.heading for ride in told}
    return None if len(headings) != 1 else ("right" if headings == {1} else "left")


def _why_none(seen: Seen, rides: Sequence[Ride]) -> str:
    there_s = float(seen.seen.sum() / seen.fps)
    if not rides and 0.3 < there_s < LEAST_RIDE_S + 0.5 and seen.seen.mean() > 0.5:
        return (
            f"the horse is in the picture for {there_s:.1f} s: under two strides. Film at least two, better six, as it "
            "goes by."
        )
    if not rides and seen.seen.mean() < 0.15:
        return (
            "no horse was found: nothing of a horse's size stands out from the ground long enough. Film the horse "
            "from the side, all of it in the picture, against open ground."
        )
    if not rides:
        return (
            "something is there, and it does not pass from side to side. Is the horse seen from in front or behind, "
            "or standing? Film it from the side as it goes by."
        )
    reasons = list(dict.fromkeys(ride.refused for ride in rides))
    return (
        f"the feet cannot be read in this film: {'; '.join(reasons)}. Film from the side on short or bare ground, all "
        "four feet in the picture, the camera at the height of the rider's knee or higher; or mark the feet by hand."
    )
