"""Shoes: bar stock, a shoe, a setup of four feet and head; what they weigh, where, and what changed."""

from evenfall.shoeing.difference import LEVERS, Difference, changes_at_once, differences
from evenfall.shoeing.growth import RENEWAL_MONTHS, TOE_M, say_growth, toe_growth
from evenfall.shoeing.limits import (
    CHECK_WORDS,
    Limit,
    LimitCheck,
    check,
    check_foot,
    limit_data,
    limit_of,
    limits,
)
from evenfall.shoeing.masses import PLAIN_KG, Masses, from_last, from_plain, masses_of
from evenfall.shoeing.outline import Outline, outline_of, outline_of_bar, outline_of_hoof
from evenfall.shoeing.parsing import parse_added
from evenfall.shoeing.saying import LIMB_NAMES, say_foot, say_limbs, say_make, say_shoe, say_shoe_mass
from evenfall.shoeing.setup import FORES, HEAD_AIMS, HINDS, LIMBS, Foot, Setup, same_but
from evenfall.shoeing.shoe import NAIL_KG, Added, Shoe, bar_length, lungwitz_m, plate
from evenfall.shoeing.stock import Material, Section, kg_per_m, materials, named_material, parse_section
from evenfall.shoeing.wear import STATES, Wear, Weighing, say_wear, wear_of
from evenfall.shoeing.weighing import BARE, NAILS_AT, TOE_PART, USUAL_AXIS, Axis, ShoeMass, weigh
from evenfall.shoeing.writing import SCHEMA, setup_data, setup_of, shoe_data, shoe_of

__all__ = [
    "BARE",
    "CHECK_WORDS",
    "FORES",
    "HEAD_AIMS",
    "HINDS",
    "LEVERS",
    "LIMBS",
    "LIMB_NAMES",
    "NAILS_AT",
    "NAIL_KG",
    "PLAIN_KG",
    "RENEWAL_MONTHS",
    "SCHEMA",
    "STATES",
    "TOE_M",
    "TOE_PART",
    "USUAL_AXIS",
    "Added",
    "Axis",
    "Difference",
    "Foot",
    "Limit",
    "LimitCheck",
    "Masses",
    "Material",
    "Outline",
    "Section",
    "Setup",
    "Shoe",
    "ShoeMass",
    "Wear",
    "Weighing",
    "bar_length",
    "changes_at_once",
    "check",
    "check_foot",
    "differences",
    "from_last",
    "from_plain",
    "kg_per_m",
    "limit_data",
    "limit_of",
    "limits",
    "lungwitz_m",
    "masses_of",
    "materials",
    "named_material",
    "outline_of",
    "outline_of_bar",
    "outline_of_hoof",
    "parse_added",
    "parse_section",
    "plate",
    "same_but",
    "say_foot",
    "say_growth",
    "say_limbs",
    "say_make",
    "say_shoe",
    "say_shoe_mass",
    "say_wear",
    "setup_data",
    "setup_of",
    "shoe_data",
    "shoe_of",
    "toe_growth",
    "wear_of",
    "weigh",
]
