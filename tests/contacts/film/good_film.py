"""A film in which everything is as it should be, put together by hand, for tests to spoil."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from evenfall.clip import Clip
from evenfall.contacts import Contacts
from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.feet import FilmFeet, Ride
from evenfall.contacts.film.pattern import PairPattern, Pattern
from evenfall.contacts.film.seeing import Seen
from evenfall.contacts.film.sides import Sides
from evenfall.contacts.film.stances import Moment, Stance
from evenfall.timebase import FloatArray, Timebase

N, FPS = 360, 60.0
HALF_S = 0.3
GOOD_SIDES = Sides(near_parity=0, hinds_shifted=False, gap=0.02, lead=10, sureness=5)


def good_clip(fps: float = FPS, n: int = N) -> Clip:
    return Clip(Path("ride.mp4"), Timebase(np.arange(n) / fps), 1280, 720, 0, "h264", has_sound=False)


def good_seen(**changes: Any) -> Seen:
    """A horse of 320 pixels in a film of 1280, seen in small pictures of half that size."""
    seen = Seen(
        times_s=np.arange(N) / FPS,
        camera=followed(0.65),
        middle=np.full(N, 320.0),
        width=np.full(N, 160.0),
        bottom=np.full(N, 300.0),
        advance=np.full(N, 1.8),
        length=np.full(N, 1.0),
        seen=np.ones(N, bool),
        at_edge=np.zeros(N, bool),
        contrast=np.full(N, 50.0),
        noise=np.full(N, 1.0),
        sharpness=np.full(N, 0.5),
        bars=(),
        strip=np.zeros((N, 151), np.uint8),
        picture=(640, 360),
        magnified=2.0,
    )
    return replace(seen, **changes)


def followed(agreement: float) -> CameraPath:
    return CameraPath(np.tile(np.eye(3), (N, 1, 1)), np.full(N, agreement))


def good_ride(
    *, start_s: float = 0.0, end_s: float = 6.0, score: float = 0.85, sides: Sides | None = GOOD_SIDES
) -> Ride:
    """Ten strides of 0.6 s, or as many as the time holds, every stance seen."""
    pattern = Pattern(HALF_S, (PairPattern(score, 0.0, HALF_S), PairPattern(score, 0.0, HALF_S)))
    count = round((end_s - start_s) / HALF_S)
    stances = tuple(_stance(hind, number) for hind in (False, True) for number in range(count))
    return Ride(start_s, end_s, 1, pattern, stances, sides, "")


def hidden(ride: Ride, share: float) -> Ride:
    """The ride with its first stances unseen."""
    n = round(share * len(ride.stances))
    unseen = tuple(replace(stance, bars=[]) for stance in ride.stances[:n])
    return replace(ride, stances=unseen + ride.stances[n:])


def good_feet(*rides: Ride, seen: Seen | None = None, too_little: str = "") -> FilmFeet:
    return FilmFeet(Contacts(), "right", seen or good_seen(), rides or (good_ride(),), too_little)


def across(first: float, last: float) -> FloatArray:
    """A value for each picture, changing evenly over the film."""
    return np.linspace(first, last, N)


def _stance(hind: bool, number: int) -> Stance:
    on, off = number * HALF_S, (number + 1) * HALF_S
    bar = Bar(
        on_s=on,
        off_s=off,
        start_s=on,
        end_s=off,
        rough_on=False,
        rough_off=False,
        along=(0.2, 0.1),
        point=np.array([320.0, 300.0]),
        at=round(on * FPS),
        contrast=50,
        noise=1,
        leg=0.9,
        held_s=HALF_S,
        deep=False,
        beside=False,
    )
    return Stance(hind, number, Moment(on, on), Moment(off, off), [(0.9, bar)])
