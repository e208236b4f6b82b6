"""The shoes of the made-up barn, and whole setups of them. Every horse and hoof is our own."""

from dataclasses import dataclass

from evenfall.shoeing import Added, Foot, Setup, Shoe, parse_section, plate
from evenfall.units import from_inches

__all__ = ["Hoof", "bar", "keg", "shod", "toe_plate"]

NAILS = 6


@dataclass(frozen=True)
class Hoof:
    """A horse's hooves as measured: length and width of a fore in m, angles and toe lengths of fores and hinds."""

    length_m: float
    width_m: float
    fore_deg: float = 51.0
    hind_deg: float = 53.0
    toe_m: float = 0.085


def bar(hoof: Hoof, section: str, *, added: tuple[Added, ...] = (), weighed_kg: float | None = None) -> Shoe:
    """Return a shoe made from bar for that hoof."""
    return Shoe(
        "bar",
        parse_section(section),
        hoof_length_m=hoof.length_m,
        hoof_width_m=hoof.width_m,
        added=added,
        nails=NAILS,
        weighed_kg=weighed_kg,
    )


def keg(kg: float, size: str, *, material: str = "steel") -> Shoe:
    """Return a ready-made shoe."""
    return Shoe("plain", material=material, plain_kg=kg, size=size, nails=NAILS)


def toe_plate() -> Added:
    """Return a small steel plate clipped under the toe."""
    sides_m = [from_inches(side) for side in (1.5, 1.0, 0.25)]
    return plate("toe plate", length_m=sides_m[0], width_m=sides_m[1], thickness_m=sides_m[2], at=0.05)


def shod(hoof: Hoof, fore: Shoe | None, hind: Shoe | None, *, head: str = "", note: str = "") -> Setup:
    """Return a setup: both fores alike, both hinds alike; None is bare."""
    front = Foot(fore, hoof.fore_deg, hoof.toe_m)
    behind = Foot(hind, hoof.hind_deg, hoof.toe_m)
    return Setup(front, front, behind, behind, "plain snaffle", "plain bridle", head, None, "", note)
