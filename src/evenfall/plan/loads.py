"""How much may be added to a foot, and what share of the horse its rider and tack are.

Conventions: kilograms; a limb is LF, RF, LH or RH. The caps are our choice, editable, and bind Evenfall's own advice only;
no trial sets a safe amount or a safe rate. The share of rider and tack is shown with published figures beside it, without
a verdict.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from evenfall.errors import WrongSetting
from evenfall.shoeing import LIMBS, PLAIN_KG, Setup, masses_of
from evenfall.units import say_mass

__all__ = ["LOAD_CONTEXT", "Caps", "LoadShare", "added_mass_allowed", "load_share", "shoe_masses"]

PER_FOOT_KG = 0.170
PER_STEP_KG = 0.085
GRAIN_KG = 1e-6
HORSE_KG = (50.0, 1500.0)


@dataclass(frozen=True)
class Caps:
    """The most that advice may add.

    Parameters
    ----------
    per_foot_kg : float
        To one foot over a plain light shoe, all together. 170 g (6 oz) by default: at the low end of what trials hung on
        a hoof (170 to 280 g), and a limit that an old United States rule set for anything hung on a limb.
    per_step_kg : float
        To one foot in one step. 85 g (3 oz) by default: half of that, and the smallest difference of front and hind that
        the trade's writers name (Moore 1916: 3 to 5 oz).

    Notes
    -----
    Both are our choice, on the careful side: added mass costs a limb more than the same mass on the back, and tendon,
    bone and hoof adapt over months.
    """

    per_foot_kg: float = PER_FOOT_KG
    per_step_kg: float = PER_STEP_KG

    def __post_init__(self) -> None:
        for name, value in (("foot", self.per_foot_kg), ("step", self.per_step_kg)):
            if not (math.isfinite(value) and 0 <= value <= 2):
                raise WrongSetting(
                    f"cap of added mass per {name}: expected 0 to 2 kg, found {value:g}. Is it in grams or ounces?"
                )


@dataclass(frozen=True)
class LoadShare:
    """Rider and tack as a share of the horse.

    Parameters
    ----------
    pct : float
        % of the horse's mass.
    words : str
    context : tuple of str
        Published figures, each with its source and how it was seen.
    """

    pct: float
    words: str
    context: tuple[str, ...]


LOAD_CONTEXT = (
    "20 % is the guide most often named; at 25 and 30 % heart rate, soreness and stiffness rose (Powell 2008, at second hand).",
    "In tölt at 5.4 m/s blood lactate reached 4 mmol/l at 22.7 ± 4.3 % with rider and saddle, from 17.0 to 27.5 % between "
    "horses (Stefánsdóttir 2017, abstract).",
    "In a pilot with six horses all 13 tests at 15.3 to 17.9 % and 23.6 to 27.5 %, rider alone, were stopped, and 1 of 12 at "
    "12.8 to 15.0 % (Dyson 2020, abstract; saddle fit imperfect).",
    "From 20 to 35 % the beat of the tölt did not change (Gunnarsson 2017, at second hand): the beat may stay while "
    "the load is too much.",
)


def added_mass_allowed(
    before: Mapping[str, float | None],
    after: Mapping[str, float | None],
    caps: Caps | None = None,
    *,
    plain_kg: float = PLAIN_KG,
    units: str = "metric",
) -> tuple[str, ...]:
    """Hold a change of shoes against the caps.

    Parameters
    ----------
    before, after : mapping of str to float or None
        Mass on each foot by limb, kg; 0 bare, None not known.
    caps : Caps, optional
    plain_kg : float
        The plain light shoe that added mass is counted from; a barn has its own.
    units : str
        For the words.

    Returns
    -------
    tuple of str
        Why it is not allowed, a sentence a foot; empty if it is. Taking weight off is always allowed.

    Examples
    --------
    >>> added_mass_allowed({"LH": 0.30}, {"LH": 0.40}, plain_kg=0.30)
    ('LH: 100 g more in one step; the cap is 85 g',)
    """
    caps = caps or Caps()
    sentences: list[str] = []
    for limb in LIMBS:
        sentences += _of_foot(limb, (before.get(limb), after.get(limb)), (caps, plain_kg), units)
    return tuple(sentences)


def shoe_masses(setup: Setup) -> dict[str, float | None]:
    """Mass on each foot without its nails, kg; 0 bare, None where nothing was said of the foot."""
    feet = masses_of(setup).feet
    return {limb: None if mass is None else mass.mass_kg - mass.nails_kg for limb, mass in feet.items()}


def load_share(horse_kg: float, rider_tack_kg: float) -> LoadShare:
    """Say what share of the horse's mass its rider and tack are.

    Raises
    ------
    WrongSetting
        If a mass cannot be one.

    Examples
    --------
    >>> round(load_share(400, 90).pct, 1)
    22.5
    """
    if not HORSE_KG[0] <= horse_kg <= HORSE_KG[1]:
        raise WrongSetting(
            f"mass of the horse: expected {HORSE_KG[0]:g} to {HORSE_KG[1]:g} kg, found {horse_kg:g}. Is it in pounds?"
        )
    if not 0 <= rider_tack_kg <= horse_kg:
        raise WrongSetting(f"mass of rider and tack: expected 0 to {horse_kg:g} kg, found {rider_tack_kg:g}")
    pct = 100 * rider_tack_kg / horse_kg
    return LoadShare(pct, f"Rider and tack are {pct:.1f} % of the horse's mass.", LOAD_CONTEXT)


def _of_foot(
    limb: str, masses: tuple[float | None, float | None], rule: tuple[Caps, float], units: str
) -> list[str]:
    """What one foot breaks."""
    before, after = masses
    caps, plain_kg = rule
    if after is None or before is None:
        return [] if after == before else [f"{limb}: the mass is not known; weigh it"]
    more, over = after - before, after - plain_kg
    if more <= GRAIN_KG:
        return []
    broken = []
    if more > caps.per_step_kg + GRAIN_KG:
        broken.append(
            f"{limb}: {say_mass(more, units)} more in one step; the cap is {say_mass(caps.per_step_kg, units)}"
        )
    if over > caps.per_foot_kg + GRAIN_KG:
        broken.append(
            f"{limb}: {say_mass(over, units)} over a plain light shoe; the cap is {say_mass(caps.per_foot_kg, units)}"
        )
    return broken
