"""A ride put together by hand: where every foot stands is known, and the ground line is drawn from it."""

from dataclasses import MISSING, dataclass, fields
from typing import Any, TypeVar

import numpy as np

from evenfall.contacts import Contact, Contacts, Event
from evenfall.contacts.film import INFERRED, SEEN_IN_FILM, FilmFeet, Ride
from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.pattern import PairPattern, Pattern
from evenfall.contacts.film.seeing import STRIP_U, Seen
from evenfall.contacts.film.sides import Sides
from evenfall.contacts.film.stances import Moment, Stance
from evenfall.timebase import FloatArray

T = TypeVar("T")

FPS, WIDTH = 60.0, 160.0
HALF_S, STANCE_S = 0.3, 0.36
SPEED = 1.2
"""Widths a second: a stride of 0.72 widths."""

LANDING_U = 0.45

OVERSTRIDE = 0.1
HIND_LATER_S = 0.15
START_S = 0.1


@dataclass(frozen=True)
class Foot:
    """A stance as it is: times in real seconds, place in widths ahead."""

    hind: bool
    number: int
    on_s: float
    off_s: float
    ground: float


def made_feet(
    *,
    heading: int = 1,
    pan_px: float = 0.0,
    seconds: float = 3.0,
    unseen: tuple[int, ...] = (),
    overlooked: tuple[int, ...] = (),
    refused: str = "",
    factor: float = 1.0,
) -> FilmFeet:
    """Feet of a running walk as the film room hands them over.

    ``unseen`` are numbers of fore stances whose lift-off was put where the others expect it, ``overlooked`` of fore
    stances nothing was seen of; ``pan_px`` is how far the camera turns after the horse from picture to picture.
    """
    seen = _seen(heading, pan_px, seconds)
    feet = made_stances(seconds)
    stances = tuple(
        _stance(foot, seen, heading, lost=not foot.hind and foot.number in unseen) for foot in feet
    )
    stances = tuple(
        _hidden(each) if not each.hind and each.number in overlooked else each for each in stances
    )
    pattern = Pattern(HALF_S, (PairPattern(0.9, START_S, STANCE_S), PairPattern(0.9, START_S, STANCE_S)))
    sides = Sides(near_parity=0, hinds_shifted=False, gap=0.02, lead=10, sureness=5)
    ride = Ride(0.0, float(seen.times_s[-1]), heading, pattern, stances, sides, refused)
    contacts = Contacts() if refused else Contacts(_contacts(ride, float(seen.times_s[-1]), factor))
    return FilmFeet(contacts, "right" if heading > 0 else "left", seen, (ride,), refused)


def made_stances(seconds: float) -> list[Foot]:
    """Every stance of the ride: the hind steps past the fore print of its side by the overstride."""
    feet = []
    for number in range(-2, int(seconds / HALF_S) + 2):
        fore_s = START_S + number * HALF_S
        fore = SPEED * fore_s + LANDING_U
        hind_s = fore_s + HIND_LATER_S + HALF_S
        feet.append(Foot(False, number, fore_s, fore_s + STANCE_S, fore))
        feet.append(Foot(True, number, hind_s, hind_s + STANCE_S, fore + OVERSTRIDE))
    return [foot for foot in feet if foot.off_s > 0.05 and foot.on_s < seconds - 0.05]


def _seen(heading: int, pan_px: float, seconds: float) -> Seen:
    n = round(seconds * FPS)
    times = np.arange(n) / FPS
    shifts = np.tile(np.eye(3), (n, 1, 1))
    shifts[:, 0, 2] = heading * pan_px * np.arange(n)
    return _filled(
        Seen,
        np.ones(n),
        times_s=times,
        camera=CameraPath(shifts, np.ones(n)),
        middle=320.0 + heading * (SPEED * times * WIDTH - pan_px * np.arange(n)),
        width=np.full(n, WIDTH),
        bottom=np.full(n, 300.0),
        seen=np.ones(n, bool),
        bars=(),
        strip=_strip(times, heading, made_stances(seconds)),
        picture=(640, 360),
    )


def _filled(kind: type[T], rest: object, **known: Any) -> T:
    """A value of the film room in which everything that no picture looks at is the same."""
    names = [each.name for each in fields(kind) if each.default is MISSING]  # type: ignore[arg-type]
    return kind(**{name: rest for name in names if name not in known}, **known)


def _strip(
    times: FloatArray, heading: int, feet: list[Foot]
) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """A spot of a hoof's width for each foot that stands."""
    strip = np.zeros((len(times), len(STRIP_U)))
    for foot in feet:
        u = heading * (foot.ground - SPEED * times)
        there = (times >= foot.on_s) & (times <= foot.off_s)
        strip += 120 * there[:, None] * (np.abs(STRIP_U - u[:, None]) < 0.03)
    return strip.astype(np.uint8)


def _stance(foot: Foot, seen: Seen, heading: int, *, lost: bool) -> Stance:
    at = int(np.clip(round((foot.on_s + foot.off_s) / 2 * FPS), 0, len(seen.times_s) - 1))
    x = seen.middle[at] + heading * (foot.ground - SPEED * seen.times_s[at]) * WIDTH
    stood = {"on_s": foot.on_s, "off_s": foot.off_s, "start_s": foot.on_s, "end_s": foot.off_s}
    bar = _filled(Bar, 1.0, point=np.array([x, 300.0]), at=at, **stood)
    off = Moment(foot.off_s) if lost else Moment(foot.off_s, foot.off_s)
    return Stance(foot.hind, foot.number, Moment(foot.on_s, foot.on_s), off, [(0.9, bar)])


def _hidden(stance: Stance) -> Stance:
    on, off = Moment(stance.on.expected_s), Moment(stance.off.expected_s)
    return Stance(stance.hind, stance.number, on, off)


def _contacts(ride: Ride, last_s: float, factor: float) -> list[Contact]:
    made = []
    for stance in ride.stances:
        for event, moment in ((Event.ON, stance.on), (Event.OFF, stance.off)):
            source = SEEN_IN_FILM if np.isfinite(moment.time_s) else INFERRED
            if 0 < moment.expected_s < last_s:
                time_s, sd_s = (
                    moment.expected_s * factor,
                    (0.006 if source == SEEN_IN_FILM else 0.03) * factor,
                )
                made.append(Contact(ride.limb(stance), event, time_s, sd_s, source, 0.9))
    return made
