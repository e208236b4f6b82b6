"""The feet found in a film: looked for in two ways where one is not sure, or why there are none."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

from evenfall.clip import Clip, Progress
from evenfall.contacts.film.looks import see_film
from evenfall.contacts.film.rides import (
    INFERRED,
    LEAST_RIDE_S,
    SEEN_IN_FILM,
    Ride,
    contacts_of,
    rides_of,
)
from evenfall.contacts.film.seeing import Seen
from evenfall.contacts.film.sureness import coarse
from evenfall.contacts.film.two_looks import surest
from evenfall.contacts.model import Contacts

__all__ = ["INFERRED", "SEEN_IN_FILM", "FilmFeet", "Ride", "find_feet", "too_slow"]

LEAST_FPS = 10.0

LEAST_TOLD, COARSE_TOLD = 0.7, 0.5
"""A contact that is less sure than this is not told, at 30 pictures a second and more, and at 15, where none is surer than 93 %
(of drawn feet called 50 to 70 % sure a third are wrong; our choice)."""

SURE, COARSE_SURE = 0.98, 0.9
"""A ride that is less sure than this on the whole is looked at again, as a horse with white legs is, only for what is
bright or narrow; at 30 pictures a second and more, and at 15, where none is surer than 93 % (our choice; decision 0030)."""

Facing = Literal["left", "right"]


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
    slow, rides = too_slow(clip), cache(lambda seen: rides_of(seen, heading))
    looks = see_film(
        clip,
        heading=heading,
        again=lambda seen: not slow and any(_wants_another_look(ride, seen) for ride in rides(seen)),
        progress=progress,
    )
    seen, chosen = surest([(seen, rides(seen)) for seen in looks])
    told = [ride for ride in chosen if not (ride.refused or slow)]
    marks = (mark for ride in told for mark in contacts_of(ride, seen, clip.timebase.playback_factor))
    least = LEAST_TOLD + (COARSE_TOLD - LEAST_TOLD) * coarse(seen.fps)
    contacts = Contacts(mark for mark in marks if mark.confidence >= least)
    return FilmFeet(contacts, _facing(told), seen, chosen, "" if told else slow or _why_none(seen, chosen))


def _wants_another_look(ride: Ride, seen: Seen) -> bool:
    sure = SURE + (COARSE_SURE - SURE) * coarse(seen.fps)
    return ride.sureness < sure and not ride.is_hopeless


def too_slow(clip: Clip) -> str:
    """Why a film cannot be read whatever it shows; empty if it may be."""
    rate = clip.timebase.capture_fps
    if rate >= LEAST_FPS:
        return ""
    return (
        f"{rate:.3g} pictures a second are too few to see when a foot lands. Film at 60 or more; if this is a "
        "slow-motion film, give the rate it was taken at: --capture-fps, or on its page under About this film."
    )


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
