"""What is told of a made-up horse: what it wore from when, when it was filmed, what was checked, weighed and planned.

Conventions: days are counted back from today, so a larger number is longer ago; lateral phases in % of the stride;
masses in kg, angles in degrees.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from evenfall.shoeing import Setup
from evenfall.store.records import HorseFields
from evenfall.synth import GaitTiming

Limb = Literal["LF", "RF", "LH", "RH"]

TRIAL_PARTS = ("off", "on", "off-again")
TRIAL_FILMS = 4
"""Films of each part of a trial: one more than are set apart as new after a change."""

__all__ = [
    "TRIAL_FILMS",
    "TRIAL_PARTS",
    "DemoCheck",
    "DemoLadder",
    "DemoOuting",
    "DemoSigns",
    "DemoStep",
    "DemoTrial",
    "DemoWeighing",
    "Goes",
    "History",
    "Limb",
    "Worn",
]  # fmt: skip


@dataclass(frozen=True)
class Goes:
    """How a horse usually goes: time of a stride, duties of fores and hinds in %, head line below the level."""

    stride_s: float
    duty_fore_pct: float
    duty_hind_pct: float
    head_deg: float = 40.0


@dataclass(frozen=True)
class Worn:
    """A setup, and what the made-up horse does in it.

    Parameters
    ----------
    days_before : int
        When it was put on.
    setup : Setup
        All four feet shod that day.
    phase_pct : float
        Where the lateral phase settles.
    at_first_pct : float
        How much is added to that on the first day: the old gait coming back, or the new one not there yet.
    head_deg : float
        Added to the usual head line.
    """

    days_before: int
    setup: Setup
    phase_pct: float
    at_first_pct: float = 0.0
    head_deg: float = 0.0


@dataclass(frozen=True)
class DemoOuting:
    """An earlier time a made-up horse was filmed.

    Parameters
    ----------
    days_before : int
    rides : tuple of GaitTiming
        What it did in each film; two are one each way.
    note : str
    head_deg : float or None
    parts : tuple of str
        Of a trial, all filmed one way: which of `TRIAL_PARTS` each film belongs to. Else empty.
    """

    days_before: int
    rides: tuple[GaitTiming, ...]
    note: str = ""
    head_deg: float | None = None
    parts: tuple[str, ...] = ()

    @property
    def both_ways(self) -> bool:
        """Whether it was filmed there and back."""
        return len(self.rides) > 1 and not self.parts


@dataclass(frozen=True)
class DemoTrial:
    """A day on which something harmless was off, on and off again under one setup; ``note`` says what."""

    days_before: int
    note: str


@dataclass(frozen=True)
class DemoCheck:
    """A pre-ride check that raised a flag, on a day without a film; ``cleared_by`` a named person, or nobody yet."""

    days_before: int
    kind: str
    note: str
    cleared_before: int | None = None
    cleared_by: str = ""
    cleared_note: str = ""


@dataclass(frozen=True)
class DemoWeighing:
    """Shoes of one pair on the scale: left and right."""

    days_before: int
    pair: tuple[Limb, Limb]
    state: Literal["new", "worn", "pulled"]
    kg: tuple[float, float]
    note: str = ""


@dataclass(frozen=True)
class DemoSigns:
    """A ridden checklist that was gone through; ``signs`` by their keys."""

    days_before: int
    signs: tuple[str, ...]
    reader: str


@dataclass(frozen=True)
class DemoStep:
    """One step of a ladder: what is worn on it, where the head is asked to be, and why it comes here."""

    key: str
    title: str
    setup: Setup
    note: str = ""


@dataclass(frozen=True)
class DemoLadder:
    """Steps from how the horse came to how it is to go; ``at`` the one it stands on, counted from 0."""

    steps: tuple[DemoStep, ...]
    at: int
    since_days: int


@dataclass(frozen=True)
class History:
    """Months of one made-up horse.

    Parameters
    ----------
    seed : int
        Of everything drawn by chance in the earlier films.
    about : HorseFields
        What the record says of it besides its name, breed and goal.
    rider : str
    rider_tack_kg : float
    goes : Goes or None
        None where nothing was filmed before the last film.
    worn : tuple of Worn
        Oldest first.
    filmed : mapping of int to str
        Days before today, and what was noted.
    films_an_outing : int
        Two are one each way.
    sides_pct : mapping of int to float
        By day, how much sooner than half a stride after the left hind the right hind lands.
    trial : DemoTrial or None
        On a day that is not in ``filmed``.
    """

    seed: int = 0
    about: HorseFields = field(default_factory=lambda: HorseFields(""))
    rider: str = ""
    rider_tack_kg: float | None = None
    goes: Goes | None = None
    worn: tuple[Worn, ...] = ()
    filmed: Mapping[int, str] = field(default_factory=dict)
    films_an_outing: int = 2
    sides_pct: Mapping[int, float] = field(default_factory=dict)
    trial: DemoTrial | None = None
    checks: tuple[DemoCheck, ...] = ()
    weighings: tuple[DemoWeighing, ...] = ()
    signs: tuple[DemoSigns, ...] = ()
    ladder: DemoLadder | None = None

    def worn_on(self, days_before: int) -> Worn:
        """What was worn on a day that has a setup."""
        return [each for each in self.worn if each.days_before >= days_before][-1]
