"""A shoe in the words of the trade: stock thickness first, length, mass and how that is known."""

from evenfall.errors import WrongSetting
from evenfall.shoeing.setup import FORES, HINDS, LIMBS, Foot
from evenfall.shoeing.shoe import Shoe, bar_length
from evenfall.shoeing.weighing import ShoeMass, weigh
from evenfall.units import say_length, say_mass

__all__ = [
    "LIMB_NAMES",
    "SIDES",
    "limb_name",
    "say_foot",
    "say_limbs",
    "say_make",
    "say_shoe",
    "say_shoe_mass",
]

LIMB_NAMES = {"LF": "left fore", "RF": "right fore", "LH": "left hind", "RH": "right hind"}
SIDES = {"left-right": ("left", "right"), "near-off": ("near", "off")}
"""What a barn calls the two sides of a horse."""


def limb_name(limb: str, sides: str = "left-right") -> str:
    """Name a foot as the barn calls its sides.

    Raises
    ------
    WrongSetting
        If there is no such way to call them.

    Examples
    --------
    >>> limb_name("RH"), limb_name("RH", "near-off")
    ('right hind', 'off hind')
    """
    if sides not in SIDES:
        raise WrongSetting(f"sides are {' or '.join(SIDES)}, not '{sides[:40]}'")
    left, right = SIDES[sides]
    return f"{left if limb[0] == 'L' else right} {'hind' if limb in HINDS else 'fore'}"


def say_shoe(shoe: Shoe, units: str = "metric") -> str:
    """Say what a shoe is and what it weighs.

    >>> from evenfall.shoeing import parse_section
    >>> say_shoe(Shoe(section=parse_section("3/8x3/4"), bar_length_m=0.254), "imperial")
    '3/8 × 3/4 steel, 10 in, 12.8 oz at most'
    """
    added = [f"{each.what} {say_mass(each.mass_kg, units)}" for each in shoe.added]
    nails = [f"{shoe.nails} nails" if shoe.nails != 1 else "1 nail"] if shoe.nails else []
    with_them = f", with {', '.join(added + nails)}" if added or nails else ""
    together = "together " if with_them else ""
    return f"{say_make(shoe, units)}{with_them}, {together}{say_shoe_mass(weigh(shoe), units)}"


def say_make(shoe: Shoe, units: str = "metric") -> str:
    """Say what a shoe is made of, without its mass."""
    if shoe.section is None or (length_m := bar_length(shoe)) is None:
        return " ".join(
            each for each in ("plain", shoe.material, "shoe", shoe.size and f"size {shoe.size}") if each
        )
    section = shoe.section.name.removesuffix(" in")  # 3/8 × 3/4 is said without
    return f"{section} {shoe.material}, {say_length(length_m, units)}"


def say_shoe_mass(mass: ShoeMass, units: str = "metric") -> str:
    """Say a foot's mass and how it is known."""
    if mass.mass_kg == 0:
        return "bare"
    known = " weighed" if mass.weighed else " at most" if mass.upper else " as said"
    return f"{say_mass(mass.mass_kg, units)}{known}"


def say_foot(foot: Foot | None, units: str = "metric") -> str:
    """Say what a foot wears and how it is trimmed."""
    if foot is None:
        return "not said"
    parts = ["bare" if foot.shoe is None else say_shoe(foot.shoe, units)]
    if foot.angle_deg is not None:
        parts.append(f"angle {foot.angle_deg:g}°")
    if foot.toe_m is not None:
        parts.append(f"toe {say_length(foot.toe_m, units)}")
    if foot.trim:
        parts.append(foot.trim)
    return "; ".join(parts)


def say_limbs(limbs: tuple[str, ...]) -> str:
    """Name feet: fronts, hinds, all four, or each by its side."""
    chosen = tuple(limb for limb in LIMBS if limb in limbs)
    known = {LIMBS: "all four", FORES: "fronts", HINDS: "hinds"}
    return known.get(chosen) or " and ".join(LIMB_NAMES[limb] for limb in chosen)
