"""Setups of made-up horses, for tests: shoes that can be reckoned by hand."""

from datetime import date

from evenfall.shoeing import HINDS, Added, Foot, Setup, Shoe, parse_section, same_but, setup_data
from evenfall.store import Barn, setups
from evenfall.store.records import Horse, SetupFields, SetupRecord

__all__ = ["APRIL", "HEAVY", "LIGHT", "MARCH", "TODAY", "heavy_behind", "worn_from"]

TODAY = date(2026, 5, 20)
MARCH, APRIL = date(2026, 3, 2), date(2026, 4, 20)

LIGHT = Shoe(section=parse_section("3/8x3/4"), bar_length_m=0.2667, nails=8)
"""379.9 g, or 13.4 oz, and its nails."""

HEAVY = Shoe(
    section=parse_section("1/2x1"), bar_length_m=0.2794, nails=8, added=(Added("toe plate", 0.06, 0.05),)
)
"""707.4 g, or 25.0 oz, with a plate on the toe."""


def heavy_behind() -> Setup:
    """Light in front, heavy with a toe plate behind; left and right differ by a degree in front."""
    left, right = Foot(LIGHT, 51, 0.09, "", MARCH), Foot(LIGHT, 52, 0.09, "", MARCH)
    behind = same_but(Setup(lf=left, rf=right), limbs=HINDS, shoe=HEAVY, angle_deg=53, shod_on=MARCH)
    return same_but(behind, bit="mullen", head_aim="raised")


def worn_from(barn: Barn, horse: Horse, day: date, setup: Setup) -> SetupRecord:
    return setups.add(barn, SetupFields(horse.id, day, setup_data(setup)))
