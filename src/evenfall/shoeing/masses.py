"""The four feet together: front against hind, left against right, against plain light shoes."""

from collections.abc import Mapping
from dataclasses import dataclass

from evenfall.shoeing.checks import number_within
from evenfall.shoeing.setup import FORES, HINDS, Foot, Setup
from evenfall.shoeing.weighing import BARE, USUAL_AXIS, Axis, ShoeMass, weigh

__all__ = ["PLAIN_KG", "Masses", "from_last", "from_plain", "masses_of"]

PLAIN_KG = 0.34
"""A plain light shoe, 12 oz: our choice within 270 to 450 g for ready-made riding shoes, which is from memory. Weigh yours."""


@dataclass(frozen=True)
class Masses:
    """What the feet carry; None wherever a foot that counts was not said.

    Parameters
    ----------
    feet : Mapping of str to ShoeMass or None
    hind_minus_front_kg, front_minus_hind_kg : float or None
        Mean of the pair against mean of the pair.
    left_minus_right_kg : Mapping of str to float or None
        For the pairs ``fore`` and ``hind``.
    toe_set_kg : Mapping of str to float
        What is added in the front third, by the feet that were said.
    total_kg : float or None
    upper : bool
        Whether any of it is an upper value.
    """

    feet: Mapping[str, ShoeMass | None]
    hind_minus_front_kg: float | None
    front_minus_hind_kg: float | None
    left_minus_right_kg: Mapping[str, float | None]
    toe_set_kg: Mapping[str, float]
    total_kg: float | None
    upper: bool


def masses_of(setup: Setup, *, axis: Axis = USUAL_AXIS) -> Masses:
    """Reckon all four feet of a setup."""
    feet = {limb: _foot_mass(foot, axis, hind=limb in HINDS) for limb, foot in setup.feet()}
    kg = {limb: None if mass is None else mass.mass_kg for limb, mass in feet.items()}
    fronts, hinds = _mean(kg, FORES), _mean(kg, HINDS)
    behind = None if fronts is None or hinds is None else hinds - fronts
    said = {limb: mass for limb, mass in feet.items() if mass is not None}
    return Masses(
        feet=feet,
        hind_minus_front_kg=behind,
        front_minus_hind_kg=None if behind is None else -behind,
        left_minus_right_kg={"fore": _minus(kg["LF"], kg["RF"]), "hind": _minus(kg["LH"], kg["RH"])},
        toe_set_kg={limb: mass.toe_set_kg for limb, mass in said.items()},
        total_kg=sum(mass.mass_kg for mass in said.values()) if len(said) == len(feet) else None,
        upper=any(mass.upper for mass in said.values()),
    )


def from_plain(setup: Setup, *, plain_kg: float = PLAIN_KG) -> Mapping[str, float | None]:
    """How much more each foot carries than a plain light shoe, nails apart; None where it was not said.

    Raises
    ------
    ShoeError
        If ``plain_kg`` cannot be a shoe's mass.
    """
    number_within("mass of a plain light shoe in kg", plain_kg, 0.02, 3)
    feet = masses_of(setup).feet
    return {
        limb: None if mass is None else mass.mass_kg - mass.nails_kg - plain_kg for limb, mass in feet.items()
    }


def from_last(before: Setup, after: Setup) -> Mapping[str, float | None]:
    """How much more each foot carries than in the setup before; None where either was not said."""
    old, new = (
        {limb: None if mass is None else mass.mass_kg for limb, mass in masses_of(setup).feet.items()}
        for setup in (before, after)
    )
    return {limb: _minus(new[limb], old[limb]) for limb in new}


def _foot_mass(foot: Foot | None, axis: Axis, *, hind: bool) -> ShoeMass | None:
    if foot is None:
        return None
    return BARE if foot.shoe is None else weigh(foot.shoe, axis=axis, hind=hind)


def _mean(kg: Mapping[str, float | None], limbs: tuple[str, ...]) -> float | None:
    found = [each for limb in limbs if (each := kg[limb]) is not None]
    return sum(found) / len(found) if len(found) == len(limbs) else None


def _minus(left: float | None, right: float | None) -> float | None:
    return None if left is None or right is None else left - right
