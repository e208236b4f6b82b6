"""What the picture of ground and time shows: the ground line laid where the horse was, and who stands where.

Conventions: times are seconds on the clip's clock; ground is in widths of the horse in the picture, ahead
positive, 0 under the horse's middle where its ride begins.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.film import FilmFeet, Ride
from evenfall.contacts.film.seeing import STRIP_U, Seen
from evenfall.contacts.film.stances import Moment, Stance, weighted_median
from evenfall.timebase import FloatArray

__all__ = ["REACH_U", "Panel", "Standing", "panels", "standings", "way"]

STRIDES = 2.0
"""Strides in a panel, about."""

REACH_U = 0.66
"""How far from the horse's middle the ground line is shown: nose and tail reach farther, feet do not."""

STEP = 0.01
DARKEST = 165
"""Grey levels by which the strongest difference darkens the paper: outlines stay clear on it."""

SHADE_COLUMNS = 41
STRONG_PCT = 96
PALEST = 0.3
FAINT = 0.1
GAMMA = 0.7
"""Under 1 so that a pale foot shows beside a dark one."""

SAME_S = 1e-6


@dataclass(frozen=True)
class Standing:
    """One stance, found or put between found ones.

    Parameters
    ----------
    limb : Limb or None
        None where the film does not tell whose foot it is.
    hind : bool
    shown : bool
        Whether something was seen to stand there; else it was put a stride from where the foot was.
    ground : float
        Where it stands, widths ahead.
    on_s, off_s : float
        Landing and lift-off, seconds on the clip's clock.
    on, off : Contact or None
        The contacts they became; None where the film begins or ends within the stance, or no foot is told.
    on_seen, off_seen : bool
        Whether the film showed the moment; else it is where the foot's other strides expect it.
    """

    limb: Limb | None
    hind: bool
    shown: bool
    ground: float
    on_s: float
    off_s: float
    on: Contact | None
    off: Contact | None
    on_seen: bool
    off_seen: bool

    @property
    def contacts(self) -> tuple[Contact, ...]:
        """Those it became."""
        return tuple(contact for contact in (self.on, self.off) if contact)


@dataclass(frozen=True, eq=False)
class Panel:
    """A stretch of a ride that is drawn on its own.

    Parameters
    ----------
    ride : Ride
    number : int
        Of the ride, from 1.
    start_s, end_s : float
        Seconds on the clip's clock.
    stride_s : float
        Clip seconds in a stride, for the scale; a second where none is known.
    ground : tuple of float
        At its left and its right edge: the first is the larger where the horse goes left.
    paper : ndarray of uint8, shape (rows, columns)
        The ground line over time, light where the ground is empty.
    standings : tuple of Standing
    """

    ride: Ride
    number: int
    start_s: float
    end_s: float
    stride_s: float
    ground: tuple[float, float]
    paper: NDArray[np.uint8]
    standings: tuple[Standing, ...]


def panels(feet: FilmFeet, playback_factor: float = 1.0) -> list[Panel]:
    """Cut the rides into panels of about two strides, all of them as wide on the ground.

    Parameters
    ----------
    feet : FilmFeet
    playback_factor : float
        Clip seconds in one real second.

    Returns
    -------
    list of Panel
        In order of time.
    """
    gone = way(feet.seen)
    cuts = [cut for number, ride in enumerate(feet.rides, start=1) for cut in _cuts(ride, number)]
    middles = [_middle(feet.seen, gone, cut) for cut in cuts]
    half = max((abs(b - a) / 2 for a, b in middles), default=0.0) + REACH_U
    return [
        _panel(feet, gone, cut, ((a + b) / 2, half), playback_factor)
        for cut, (a, b) in zip(cuts, middles, strict=True)
    ]


def way(seen: Seen) -> FloatArray:
    """How far the horse's middle has gone over the ground at each picture, widths, right positive; shape (n,).

    From picture to picture, by the camera's own path: the smoothed ``advance`` would let a standing foot lean.
    """
    steps = np.zeros(len(seen.times_s))
    for k in range(1, len(steps)):
        before = np.array([seen.middle[k - 1], seen.bottom[k - 1]])
        held = seen.camera.carried_to(before, k - 1, k)
        steps[k] = (seen.middle[k] - held[0]) / seen.width[k]
    return np.asarray(np.cumsum(np.nan_to_num(steps)))


def standings(
    feet: FilmFeet, ride: Ride, gone: FloatArray, playback_factor: float = 1.0
) -> Iterator[Standing]:
    """Yield every stance of a ride that the film shows, or of which the same foot's next one is shown."""
    origin = _at(feet.seen, gone, ride.start_s)
    pace = (_at(feet.seen, gone, ride.end_s) - origin) / (ride.end_s - ride.start_s)
    shown = {(each.hind, each.number): _place(feet.seen, gone, each) for each in ride.stances if each.bars}
    for stance in ride.stances:
        place = _carried(shown, stance, pace * ride.pattern.half_s if ride.pattern else 0.0)
        if place is None:
            continue
        limb = None if ride.refused else ride.limb(stance)
        on_s, off_s = (_time_s(moment) * playback_factor for moment in (stance.on, stance.off))
        yield Standing(
            limb=limb,
            hind=stance.hind,
            shown=bool(stance.bars),
            ground=ride.heading * (place - origin),
            on_s=on_s,
            off_s=off_s,
            on=_contact(feet.contacts, limb, Event.ON, on_s),
            off=_contact(feet.contacts, limb, Event.OFF, off_s),
            on_seen=bool(np.isfinite(stance.on.time_s)),
            off_seen=bool(np.isfinite(stance.off.time_s)),
        )


def _carried(shown: Mapping[tuple[bool, int], float], stance: Stance, step: float) -> float | None:
    """Where it stands; if it is not shown, a stride from where the foot's next stance is; else None."""
    for number in (0, 2, -2):
        beside = (stance.hind, stance.number + number)
        if beside in shown:
            return shown[beside] - number * step
    return None


def _time_s(moment: Moment) -> float:
    return moment.time_s if np.isfinite(moment.time_s) else moment.expected_s


def _contact(contacts: Contacts, limb: Limb | None, event: Event, time_s: float) -> Contact | None:
    if limb is None:
        return None
    near = (mark for mark in contacts.of(limb) if mark.event is event and abs(mark.time_s - time_s) < SAME_S)
    return next(near, None)


def _place(seen: Seen, gone: FloatArray, stance: Stance) -> float:
    """Where its sole stands, widths, right positive: what the several looks at it say at the middle."""
    looks = [(fit * look.weight, look) for fit, bar in stance.bars for look in bar.looks]
    places = [gone[bar.at] + (bar.point[0] - seen.middle[bar.at]) / seen.width[bar.at] for _, bar in looks]
    return weighted_median(np.array(places), np.array([weight for weight, _ in looks]))


def _at(seen: Seen, gone: FloatArray, time_s: float) -> float:
    return float(np.interp(time_s, seen.times_s, gone))


@dataclass(frozen=True)
class _Cut:
    """A panel's stretch of a ride, real seconds."""

    ride: Ride
    number: int
    start_s: float
    end_s: float
    stride_s: float


def _cuts(ride: Ride, number: int) -> Iterator[_Cut]:
    stride_s = 2 * ride.pattern.half_s if ride.pattern else 1.0
    count = max(1, round((ride.end_s - ride.start_s) / (STRIDES * stride_s)))
    borders = np.linspace(ride.start_s, ride.end_s, count + 1)
    for start, end in pairwise(borders):
        yield _Cut(ride, number, float(start), float(end), stride_s)


def _middle(seen: Seen, gone: FloatArray, cut: _Cut) -> tuple[float, float]:
    """Where the horse's middle is at the cut's start and end, widths ahead."""
    start, a, b = (_at(seen, gone, time) for time in (cut.ride.start_s, cut.start_s, cut.end_s))
    return cut.ride.heading * (a - start), cut.ride.heading * (b - start)


def _panel(
    feet: FilmFeet, gone: FloatArray, cut: _Cut, where: tuple[float, float], playback_factor: float
) -> Panel:
    centre, half = where
    edges = centre - cut.ride.heading * half, centre + cut.ride.heading * half
    found = standings(feet, cut.ride, gone, playback_factor)
    start_s, end_s = cut.start_s * playback_factor, cut.end_s * playback_factor
    return Panel(
        ride=cut.ride,
        number=cut.number,
        start_s=start_s,
        end_s=end_s,
        stride_s=cut.stride_s * playback_factor,
        ground=edges,
        paper=_paper(feet.seen, gone, cut, edges),
        standings=tuple(s for s in found if s.on_s < end_s and s.off_s > start_s),
    )


def _paper(seen: Seen, gone: FloatArray, cut: _Cut, edges: tuple[float, float]) -> NDArray[np.uint8]:
    """Lay each picture's ground line where the horse was; a row a picture, evenly in time."""
    lines = _feet_alone(seen, cut.ride)
    times = np.arange(cut.start_s, cut.end_s, 1 / seen.fps) + 0.5 / seen.fps
    ahead = np.arange(min(edges), max(edges), STEP) + STEP / 2
    right = cut.ride.heading * ahead + _at(seen, gone, cut.ride.start_s)
    laid = [
        np.interp(right, gone[k] + STRIP_U, lines[k], left=0, right=0) for k in _nearest(seen.times_s, times)
    ]
    return (255 - DARKEST * np.array(laid)[:, :: cut.ride.heading]).astype(np.uint8)


def _nearest(times_s: FloatArray, wanted_s: FloatArray) -> NDArray[np.int64]:
    after = np.clip(np.searchsorted(times_s, wanted_s), 1, len(times_s) - 1)
    return np.asarray(after - (wanted_s - times_s[after - 1] < times_s[after] - wanted_s))


def _feet_alone(seen: Seen, ride: Ride) -> FloatArray:
    """The ground lines of all pictures, 0 to 1: what is much wider than a foot, as shade is, taken off.

    Fores and hinds are each as dark as their own strongest, so that pale feet show beside dark ones.
    """
    lines = seen.strip.astype(np.float64)
    lines = np.where(np.abs(STRIP_U) <= REACH_U, lines - cv2.blur(lines, (SHADE_COLUMNS, 1)), 0)
    during = lines[(seen.times_s >= ride.start_s) & (seen.times_s <= ride.end_s)]
    strong = np.percentile(during, STRONG_PCT, axis=0)
    around = cv2.blur(strong[None], (SHADE_COLUMNS, 1))[0]
    usual = np.maximum(around, max(PALEST * float(around.max()), 1.0))
    return np.asarray(np.clip(lines / usual - FAINT, 0, 1) ** GAMMA)
