"""Rows of setups and shoes, with their masses as `evenfall.shoeing` reckons them."""

from typing import Any

from evenfall.shoeing import Foot, Setup, Shoe, ShoeMass, bar_length, masses_of

__all__ = ["setup_row", "shoe_rows"]

Row = dict[str, Any]


def setup_row(setup: Setup) -> Row:
    """Return what is worn on the head and back, and how the feet's masses stand to each other."""
    masses = masses_of(setup)
    words = {
        name: getattr(setup, name) for name in ("bit", "head_gear", "head_aim", "head_deg", "saddle", "note")
    }
    return {
        **words,
        "hind_minus_front_kg": masses.hind_minus_front_kg,
        "left_minus_right_fore_kg": masses.left_minus_right_kg["fore"],
        "left_minus_right_hind_kg": masses.left_minus_right_kg["hind"],
        "total_kg": masses.total_kg,
        "upper": masses.upper,
    }


def shoe_rows(setup: Setup) -> list[Row]:
    """Return the four feet."""
    masses = masses_of(setup).feet
    return [{"limb": str(limb), **_foot(foot), **_mass(masses[limb])} for limb, foot in setup.feet()]


def _foot(foot: Foot | None) -> Row:
    if foot is None:
        return {"worn": "not said"}
    row = {name: getattr(foot, name) for name in ("angle_deg", "toe_m", "trim", "shod_on")}
    return {**row, **({"worn": "bare"} if foot.shoe is None else _shoe(foot.shoe))}


def _shoe(shoe: Shoe) -> Row:
    section = shoe.section
    return {
        "worn": shoe.kind,
        "material": shoe.material,
        "thickness_m": section and section.thickness_m,
        "width_m": section and section.width_m,
        "bar_length_m": bar_length(shoe),
        "size": shoe.size,
        "added": "; ".join(each.what for each in shoe.added),
        "nails": shoe.nails,
        "weighed_kg": shoe.weighed_kg,
        "note": shoe.note,
    }


def _mass(mass: ShoeMass | None) -> Row:
    names = ("mass_kg", "upper", "centre_m", "moment_nm", "added_inertia_kg_m2", "toe_set_kg")
    return {} if mass is None else {name: getattr(mass, name) for name in names}
