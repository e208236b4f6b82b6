"""Where in each picture of a film a standing foot is, and where the horse: what the machine saw, and nothing else.

Conventions: times are seconds on the clip's clock; places are pixels of the upright film, from its upper left corner.

A foot that stands does not move on the ground. Where its sole was seen in one picture is therefore known in every other
picture through the camera's own path, which takes the ground of one picture onto that of another.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from evenfall.clip import Clip
from evenfall.contacts import Limb
from evenfall.contacts.film import FilmFeet, Ride
from evenfall.contacts.film.seeing import Seen
from evenfall.contacts.film.stances import Moment, Stance, weighted_median
from evenfall.contacts.film.steadying import steady_planes
from evenfall.contacts.film.windows import picked_times_s
from evenfall.timebase import FloatArray

__all__ = ["Placed", "Places", "Stood", "places_data", "places_from", "places_of"]

LEAST_SHARED = 0.5
"""Share of the shorter of two stances in which both must stand for one to be taken for the other (our choice)."""


@dataclass(frozen=True)
class Placed:
    """One foot that was seen to stand at one place.

    Parameters
    ----------
    limb : Limb
    on_s, off_s : float
        From when to when the machine holds that it stood.
    at : int
        The picture in which the place is told.
    x, y : float
        Its sole there, pixels of the film.
    """

    limb: Limb
    on_s: float
    off_s: float
    at: int
    x: float
    y: float


@dataclass(frozen=True)
class Stood:
    """From when to when a foot stands, by the marks that count; ``seen`` is False where an end was inferred."""

    limb: Limb
    on_s: float
    off_s: float
    seen: bool = True


@dataclass(frozen=True, eq=False)
class Places:
    """Where the feet and the horse are in a film.

    Parameters
    ----------
    stands : tuple of Placed
    planes : list of ndarray or None
        For each picture as `steady_planes` tells.
    horse : ndarray, shape (n_pictures, 4)
        Middle, width, lowest row and height with the rider, pixels of the film; NaN where no horse was found.
    heading : int
        1 where the horse goes right in the picture, -1 where left, 0 where it is not known or changes.
    """

    stands: tuple[Placed, ...]
    planes: list[FloatArray | None]
    horse: FloatArray
    heading: int = 0

    def of(self, stood: Stood) -> Placed | None:
        """The place of a stance; None where the machine saw no foot of that name stand at that time."""
        shared = [(_shared(stood, placed), placed) for placed in self.stands if placed.limb is stood.limb]
        best = max(shared, key=lambda each: each[0], default=(0.0, None))
        return best[1] if best[0] >= LEAST_SHARED else None

    def seen_in(self, placed: Placed, picture: int) -> tuple[float, float] | None:
        """Where a standing foot's place lies in a picture; None where the camera was lost on the way there."""
        there, here = self.planes[placed.at], self.planes[picture]
        if there is None or here is None or self._part[placed.at] != self._part[picture]:
            return None
        x, y, scale = np.linalg.solve(here, there @ np.array([placed.x, placed.y, 1.0]))
        return (float(x / scale), float(y / scale)) if scale > 0 else None

    @cached_property
    def _part(self) -> list[int]:
        """Which unbroken stretch of the camera's path each picture belongs to."""
        return [int(part) for part in np.cumsum([plane is None for plane in self.planes])]


def places_of(clip: Clip, feet: FilmFeet) -> Places:
    """Gather what the machine saw of places in a film.

    Parameters
    ----------
    clip : Clip
    feet : FilmFeet

    Returns
    -------
    Places
        Without stances where it is not told whose foot is whose.
    """
    stands = [placed for ride in feet.rides if not ride.refused for placed in _stands(clip, feet.seen, ride)]
    planes = steady_planes(clip, feet.seen.camera, feet.seen.picture)
    return Places(tuple(stands), planes, _horse(clip, feet.seen), _heading(feet))


def _heading(feet: FilmFeet) -> int:
    headings = {ride.heading for ride in feet.rides}
    return headings.pop() if len(headings) == 1 else 0


def _stands(clip: Clip, seen: Seen, ride: Ride) -> Iterator[Placed]:
    factor, step = clip.timebase.playback_factor, picked_times_s(clip)[1]
    across, down = clip.width / seen.picture[0], clip.height / seen.picture[1]
    for stance in ride.stances:
        if stance.bars:
            at, (x, y) = _sole(seen, stance)
            on_s, off_s = (_time_s(moment) * factor for moment in (stance.on, stance.off))
            yield Placed(ride.limb(stance), on_s, off_s, at * step, x * across, y * down)


def _sole(seen: Seen, stance: Stance) -> tuple[int, tuple[float, float]]:
    """The picture of the best look, and where in it all looks together put the sole, small pixels."""
    looks = [(fit * look.weight, look) for fit, bar in stance.bars for look in bar.looks]
    weights = np.array([weight for weight, _ in looks])
    at = looks[int(np.argmax(weights))][1].at
    points = np.array([look.point for _, look in looks])
    there = seen.camera.carried_each(points, np.array([look.at for _, look in looks]), at)
    return at, (weighted_median(there[:, 0], weights), weighted_median(there[:, 1], weights))


def _time_s(moment: Moment) -> float:
    return moment.time_s if np.isfinite(moment.time_s) else moment.expected_s


def _shared(stood: Stood, placed: Placed) -> float:
    """How much of the shorter stance both stand."""
    both = min(stood.off_s, placed.off_s) - max(stood.on_s, placed.on_s)
    return both / max(1e-9, min(stood.off_s - stood.on_s, placed.off_s - placed.on_s))


def _horse(clip: Clip, seen: Seen) -> FloatArray:
    """The horse's box in every picture of the film, pictures between two that were looked at evenly between them."""
    across, down = clip.width / seen.picture[0], clip.height / seen.picture[1]
    told = np.stack(
        [seen.middle * across, seen.width * across, seen.bottom * down, seen.width * across / seen.length],
        axis=1,
    )
    told[~seen.seen] = np.nan
    times_s = clip.timebase.times_s / clip.timebase.playback_factor
    return np.stack([np.interp(times_s, seen.times_s, column) for column in told.T], axis=1)


def places_data(places: Places) -> dict[str, Any]:
    """Return the places as JSON can hold them, but for the planes, which are kept by themselves."""
    return {
        "heading": places.heading,
        "stands": [
            [each.limb.value, *(round(value, 6) for value in (each.on_s, each.off_s)), each.at,
             round(each.x, 2), round(each.y, 2)]
            for each in places.stands
        ],
        "horse": [[round(value, 1) for value in row] if np.isfinite(row).all() else None
                  for row in places.horse.tolist()],
    }  # fmt: skip


def places_from(data: Mapping[str, Any], planes: list[FloatArray | None]) -> Places:
    """Take places out of plain data."""
    stands = (Placed(Limb(limb), on, off, int(at), x, y) for limb, on, off, at, x, y in data["stands"])
    horse = np.array([row or [np.nan] * 4 for row in data["horse"]], float).reshape(-1, 4)
    return Places(tuple(stands), planes, horse, int(data["heading"]))
