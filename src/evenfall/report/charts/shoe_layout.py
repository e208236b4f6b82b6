"""Where four feet and their words stand in a picture from above, and at what scale.

Coordinates are pixels from the upper left corner; toes point up the page.
"""

import math
import re
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from evenfall.contacts import Limb
from evenfall.report.feet import SIGNS
from evenfall.shoeing import (
    FORES,
    HINDS,
    LIMBS,
    Foot,
    Masses,
    Outline,
    Setup,
    ShoeMass,
    outline_of,
    outline_of_hoof,
    say_make,
    say_shoe_mass,
)
from evenfall.units import say_length, say_mass

__all__ = ["LINE_PX", "Place", "Scale", "drawn_outline", "is_wide", "places_of", "scale_of", "words_of"]

LEAST_WIDE_PX = 430
"""From this width on the words stand beside the feet, else below."""

PX_PER_M, MOST_FOOT_PX = 900.0, 128.0
PX2_PER_KG, MOST_DISC_PX2 = 5000.0, 4200.0
"""The scale of the discs: 5 square pixels a gram, less where a disc would cover its foot."""

LINE_PX, TOP_PX, GAP_PX = 17, 8, 22
APART_PX, BESIDE_PX, BELOW_PX = 76, 74, 21
LETTER_PX = 6.9
UNIT = re.compile(r"(?<=\d) (?=(?:mm|in|oz|g|\d+/\d+)\b)")


@dataclass(frozen=True)
class Place:
    """Where one foot is drawn: its toe's middle, and where its words begin."""

    limb: str
    x: float
    top: float
    text_x: float
    text_top: float
    align: str


@dataclass(frozen=True)
class Scale:
    """Pixels in a metre of shoe; square pixels in a kilogram of disc."""

    px_per_m: float
    px2_per_kg: float

    def disc(self, kg: float) -> float:
        """A point mark's size, which is the square about the disc."""
        return kg * self.px2_per_kg * 4 / math.pi

    def radius(self, kg: float) -> float:
        """A disc's radius in pixels."""
        return math.sqrt(kg * self.px2_per_kg / math.pi)


def is_wide(width: int) -> bool:
    """Whether words stand beside the feet."""
    return width >= LEAST_WIDE_PX


def scale_of(masses: Masses, setup: Setup, width: int) -> Scale:
    """One scale for all four feet, such that two stand side by side."""
    drawn = [drawn_outline(foot) for _, foot in setup.feet()]
    largest_m = max(max(each.length_m, each.width_m) for each in drawn)
    heaviest = max((mass.bar_kg for mass in masses.feet.values() if mass), default=0.0)
    px2 = min(PX2_PER_KG, MOST_DISC_PX2 / heaviest) if heaviest else PX2_PER_KG
    return Scale(min(PX_PER_M, min(MOST_FOOT_PX, width / 2 - 14) / largest_m), px2)


def drawn_outline(foot: Foot | None) -> Outline:
    """A shoe's outline; for a foot without one, a hoof of usual size."""
    return outline_of(foot.shoe) if foot and foot.shoe else outline_of_hoof(0.12, 0.12, 0.004)


def words_of(masses: Masses, setup: Setup, *, units: str, width: int) -> dict[str, list[str]]:
    """What stands beside each foot: name and mass first, then what it wears, in lines that fit."""
    room_px = width / 2 - APART_PX - BESIDE_PX if is_wide(width) else width / 2 - 6
    columns = max(int(room_px / LETTER_PX), 8)
    return {
        limb: [
            part
            for line in _lines(limb, foot, masses.feet[limb], units)
            for part in textwrap.wrap(UNIT.sub("\u00a0", line), columns)
        ]
        for limb, foot in setup.feet()
    }


def places_of(
    words: Mapping[str, Sequence[str]], setup: Setup, scale: Scale, width: int
) -> tuple[list[Place], float]:
    """Fronts above, hinds below, the words outside of the feet or under them on a phone; and where all that ends."""
    places: list[Place] = []
    top = float(TOP_PX)
    for pair in (FORES, HINDS):
        foot_px = max(drawn_outline(setup.foot(limb)).length_m for limb in pair) * scale.px_per_m
        text_px = max(len(words[limb]) for limb in pair) * LINE_PX
        places += [_place(limb, width, top, foot_px) for limb in pair]
        top += (max(foot_px, text_px) if is_wide(width) else foot_px + BELOW_PX + text_px) + GAP_PX
    return places, top


def _lines(limb: str, foot: Foot | None, mass: ShoeMass | None, units: str) -> Iterator[str]:
    name = f"{SIGNS[Limb(limb)]}\u00a0{limb}"
    if foot is None or mass is None:
        yield from (name, "not said")
        return
    yield f"{name} {say_mass(mass.mass_kg, units)}"
    yield from _worn(foot, mass, units)
    if foot.angle_deg is not None:
        yield f"angle {foot.angle_deg:g}°"
    if foot.toe_m is not None:
        yield f"toe {say_length(foot.toe_m, units)}"


def _worn(foot: Foot, mass: ShoeMass, units: str) -> Iterator[str]:
    if foot.shoe is None:
        yield "bare"
        return
    yield say_shoe_mass(mass, units).removeprefix(say_mass(mass.mass_kg, units)).strip()
    yield say_make(foot.shoe, units)
    for each in foot.shoe.added:
        yield f"●\u00a0{each.what} {say_mass(each.mass_kg, units)}"
    if foot.shoe.nails:
        yield f"{foot.shoe.nails} nails {say_mass(mass.nails_kg, units)}"


def _place(limb: str, width: int, top: float, foot_px: float) -> Place:
    side = -1 if limb in (LIMBS[0], LIMBS[2]) else 1
    if not is_wide(width):
        x = width * (0.5 + 0.25 * side)
        return Place(limb, x, top, x, top + foot_px + BELOW_PX, "center")
    x = width / 2 + APART_PX * side
    return Place(limb, x, top, x + BESIDE_PX * side, top + LINE_PX, "right" if side < 0 else "left")
