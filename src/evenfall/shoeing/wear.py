"""Wear: a shoe weighed new, worn or pulled, and what it lost between."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from evenfall.shoeing.checks import number_within, one_of
from evenfall.units import say_mass

__all__ = ["STATES", "Wear", "Weighing", "say_wear", "wear_of"]

STATES = ("new", "worn", "pulled")
SAME_DAY = ("pulled", "new", "worn")
"""The order of things on one day: the old shoe comes off before the new one goes on."""


@dataclass(frozen=True)
class Weighing:
    """One shoe on a scale.

    Parameters
    ----------
    on_date : date
    state : str
        One of `STATES`.
    mass_kg : float
    """

    on_date: date
    state: str
    mass_kg: float

    def __post_init__(self) -> None:
        one_of("state of the shoe", self.state, STATES)
        number_within("weighed mass in kg", self.mass_kg, 0.02, 4)


@dataclass(frozen=True)
class Wear:
    """What a shoe lost.

    Parameters
    ----------
    lost_kg : float
        Negative where it came out heavier: mud, or another shoe.
    days : int
    share : float
        Of what it weighed new.
    """

    lost_kg: float
    days: int
    share: float


def wear_of(weighings: Sequence[Weighing]) -> tuple[Wear, ...]:
    """Hold every later weighing of a shoe against its weighing when new.

    Parameters
    ----------
    weighings : sequence of Weighing
        Of one foot, in any order; a new one begins another shoe, and what was weighed before the first is left out.
    """
    new: Weighing | None = None
    found = []
    for each in sorted(weighings, key=lambda weighing: (weighing.on_date, SAME_DAY.index(weighing.state))):
        if each.state == "new":
            new = each
        elif new is not None:
            lost = new.mass_kg - each.mass_kg
            found.append(Wear(lost, (each.on_date - new.on_date).days, lost / new.mass_kg))
        if each.state == "pulled":
            new = None
    return tuple(found)


def say_wear(wear: Wear, units: str = "metric") -> str:
    """Say what a shoe lost, or that a scale or a shoe was changed."""
    if wear.lost_kg < 0:
        return f"{say_mass(-wear.lost_kg, units)} heavier than new: was mud on it, or is it another shoe?"
    return f"{say_mass(wear.lost_kg, units)} worn off in {wear.days} days, {wear.share * 100:.0f} % of it"
