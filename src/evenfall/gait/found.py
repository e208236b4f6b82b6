"""What a reader of the numbers must know where the feet were found in the film itself."""

from collections.abc import Iterator
from typing import Literal

import numpy as np

from evenfall.contacts.film import INFERRED, FilmFeet, Ride
from evenfall.gait.cautions import Caution

__all__ = ["about_found"]

SURE_LEAD = 3.0
"""Log-likelihood by which near and far must be told apart to go without saying: one in twenty wrong."""


def about_found(feet: FilmFeet, facing: Literal["left", "right"] | None) -> Iterator[Caution]:
    """Cautions about feet that were found in the film.

    Yields
    ------
    Caution
    """
    told = [ride for ride in feet.rides if not ride.refused]
    inferred = [mark for mark in feet.contacts if mark.source == INFERRED]
    if inferred:
        yield Caution(
            "contacts_inferred",
            f"{len(inferred)} of {len(feet.contacts)} contacts were not seen but put where the foot's other strides "
            "expect them; they are listed as inferred, and the numbers do without them.",
        )
    if any(_least_lead(ride) < SURE_LEAD for ride in told):
        yield Caution(
            "sides_unsure",
            "which feet are the near ones is likely but not sure in this film: their heights in the picture differ "
            "little. Look at one stride; if left and right are swapped, the lateral phase is half a stride off.",
        )
    yield from _about_way(feet, facing)
    yield from _about_refused(feet, told)


def _least_lead(ride: Ride) -> float:
    return ride.sides.lead if ride.sides else 0.0


def _about_way(feet: FilmFeet, facing: Literal["left", "right"] | None) -> Iterator[Caution]:
    seen = feet.seen
    advance = float(np.nanmedian(seen.advance[seen.seen])) if seen.seen.any() else 0.0
    goes = "right" if advance > 0 else "left"
    if facing and advance and goes != facing:
        yield Caution(
            "facing_differs",
            f"the horse is said to go {facing}, and it is seen to go {goes}; {facing} was believed. If that is wrong, "
            "fore and hind, left and right are swapped.",
        )


def _about_refused(feet: FilmFeet, told: list[Ride]) -> Iterator[Caution]:
    refused = [ride for ride in feet.rides if ride.refused]
    if told and refused:
        lost = sum(ride.end_s - ride.start_s for ride in refused)
        reasons = "; ".join(dict.fromkeys(ride.refused for ride in refused))
        yield Caution("part_unread", f"{lost:.1f} s of the film were left out: {reasons}.")
