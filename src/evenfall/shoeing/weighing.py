"""What a shoe weighs, where, and what it does to the limb that carries it.

Conventions: kilograms, metres, newton metres; places are from the outer edge of the toe back.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from evenfall.shoeing.checks import number_within
from evenfall.shoeing.outline import outline_of
from evenfall.shoeing.shoe import Shoe, bar_length
from evenfall.shoeing.stock import kg_per_m

__all__ = ["BARE", "GRAVITY", "NAILS_AT", "TOE_PART", "USUAL_AXIS", "Axis", "ShoeMass", "weigh"]

GRAVITY = 9.81
"""m/s², as the reference arithmetic has it."""

NAILS_AT = 0.4
"""Nails stand from the toe quarters to the widest part: their middle, as a share of the shoe's length (our choice)."""

TOE_PART = 1 / 3
"""What is added ahead of this share of the length counts as set at the toe (our choice)."""


@dataclass(frozen=True)
class Axis:
    """The two axes that moments are taken about; every distance is our choice, to be measured and changed.

    Parameters
    ----------
    coffin_from_toe_m : float
        How far behind the toe the coffin joint's axis stands over the shoe.
    swing_radius_fore_m, swing_radius_hind_m : float
        From the axis a fore or hind limb swings about, high in the shoulder or at the hip, down to the ground. 1.2 m is a
        round number for a riding horse; no measured one was found.
    """

    coffin_from_toe_m: float = 0.06
    swing_radius_fore_m: float = 1.2
    swing_radius_hind_m: float = 1.2

    def __post_init__(self) -> None:
        number_within("coffin joint behind the toe in m", self.coffin_from_toe_m, 0.01, 0.2)
        number_within("swing radius of a fore in m", self.swing_radius_fore_m, 0.5, 2.5)
        number_within("swing radius of a hind in m", self.swing_radius_hind_m, 0.5, 2.5)


USUAL_AXIS = Axis()
"""The distances that are taken where none were measured."""


@dataclass(frozen=True)
class ShoeMass:
    """What one foot carries.

    Parameters
    ----------
    mass_kg : float
        Shoe, what is added, and nails.
    upper : bool
        Whether the true mass can only be less: reckoned from bar and length, metal taken away not counted.
    weighed : bool
    centre_m : float or None
        Centre of mass from the toe back; None for a bare foot.
    moment_nm : float
        Of its weight about the coffin joint's axis, standing; positive draws the toe down.
    added_inertia_kg_m2 : float
        Added to the limb's moment of inertia about its swing axis: the sum of m r².
    shoe_length_m : float
    bar_kg, added_kg, nails_kg : float
        The parts.
    toe_set_kg : float
        What is added in the front third.
    """

    mass_kg: float
    upper: bool
    weighed: bool
    centre_m: float | None
    moment_nm: float
    added_inertia_kg_m2: float
    shoe_length_m: float
    bar_kg: float = 0.0
    added_kg: float = 0.0
    nails_kg: float = 0.0
    toe_set_kg: float = 0.0


BARE = ShoeMass(0.0, False, True, None, 0.0, 0.0, 0.0)
"""A foot that wears nothing."""


@dataclass(frozen=True)
class _Piece:
    mass_kg: float
    back_m: float
    height_m: float = 0.0


def weigh(shoe: Shoe, *, axis: Axis = USUAL_AXIS, hind: bool = False) -> ShoeMass:
    """Reckon a shoe's mass, its centre and its moments.

    Parameters
    ----------
    shoe : Shoe
    axis : Axis
    hind : bool
        Which swing radius counts.

    Returns
    -------
    ShoeMass

    Examples
    --------
    >>> from evenfall.shoeing import parse_section
    >>> mass = weigh(Shoe(section=parse_section("3/8x3/4"), bar_length_m=0.254))
    >>> round(mass.mass_kg * 1000, 1), mass.upper
    (361.8, True)
    """
    length_m = outline_of(shoe).length_m
    pieces = list(_pieces(shoe, length_m))
    mass_kg = sum(each.mass_kg for each in pieces)
    centre_m = sum(each.mass_kg * each.back_m for each in pieces) / mass_kg
    radius_m = axis.swing_radius_hind_m if hind else axis.swing_radius_fore_m
    return ShoeMass(
        mass_kg=mass_kg,
        upper=_upper(shoe),
        weighed=shoe.weighed_kg is not None,
        centre_m=centre_m,
        moment_nm=mass_kg * GRAVITY * (axis.coffin_from_toe_m - centre_m),
        added_inertia_kg_m2=sum(each.mass_kg * (radius_m - each.height_m) ** 2 for each in pieces),
        shoe_length_m=length_m,
        bar_kg=pieces[0].mass_kg,
        added_kg=sum((each.mass_kg for each in shoe.added), 0.0),
        nails_kg=pieces[1].mass_kg,
        toe_set_kg=sum((each.mass_kg for each in shoe.added if each.at < TOE_PART), 0.0),
    )


def _pieces(shoe: Shoe, length_m: float) -> Iterator[_Piece]:
    """The shoe itself, its nails, then what is added."""
    yield _Piece(_own_kg(shoe), outline_of(shoe).centre_m)
    yield _Piece(shoe.nails * shoe.nail_kg, NAILS_AT * length_m)
    for each in shoe.added:
        yield _Piece(each.mass_kg, each.at * length_m, each.height_m)


def _own_kg(shoe: Shoe) -> float:
    """The shoe without what is added: what the scale leaves for it, the bar's mass, or what was said."""
    if shoe.weighed_kg is not None:
        return shoe.weighed_kg - sum(each.mass_kg for each in shoe.added)
    length_m = bar_length(shoe)
    if length_m is not None and shoe.section is not None:
        return kg_per_m(shoe.section, shoe.material) * length_m
    return shoe.plain_kg or 0.0


def _upper(shoe: Shoe) -> bool:
    """A bar, and a plate reckoned from its size, can only lose metal."""
    if shoe.weighed_kg is not None:
        return False
    return shoe.kind == "bar"
