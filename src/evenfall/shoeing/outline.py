r"""The shape a bar is bent to, so that its length, middle and picture follow from few numbers.

A shoe is taken as a U of uniform web: half a ring at the toe, two straight branches to the heels::

        toe                  radius_m   from the middle of the half ring to the middle of the web
       .---.                 branch_m   length of one straight branch
      /     \                web_m      width of the bar
     |       |
     |       |               bar = π × radius + 2 × branch, measured along the middle of the web,
     heel heel               which neither stretches nor shrinks in the bend

A real shoe closes a little at the heels and is fullered; both move its middle by a few millimetres. The U is our choice:
the simplest shape with a round toe whose mass and middle have a closed form.
"""

import math
from dataclasses import dataclass

from evenfall.shoeing.shoe import Shoe, bar_length

__all__ = ["PLAIN_LENGTH_M", "PLAIN_WEB_M", "Outline", "outline_of", "outline_of_bar", "outline_of_hoof"]

PLAIN_LENGTH_M, PLAIN_WEB_M = 0.12, 0.02
"""A ready-made shoe of which no hoof was measured: as long and as wide as this, its web this wide (our choice)."""


@dataclass(frozen=True)
class Outline:
    """A U of uniform web; metres."""

    radius_m: float
    branch_m: float
    web_m: float

    @property
    def bar_m(self) -> float:
        """Length of bar in it."""
        return math.pi * self.radius_m + 2 * self.branch_m

    @property
    def length_m(self) -> float:
        """From the outer edge of the toe to the heels."""
        return self.branch_m + self.radius_m + self.web_m / 2

    @property
    def width_m(self) -> float:
        """Across the outer edges."""
        return 2 * self.radius_m + self.web_m

    @property
    def centre_m(self) -> float:
        """Centre of mass, from the outer edge of the toe back.

        Half a ring of middle radius R and half web t has its centre (2/π)(R + t²/3R) ahead of its middle; a branch of
        length b has it b/2 behind. Weighted by their shares of the bar they come to t + R + (b² − 2(R² + t²/3))/bar.
        """
        half_web = self.web_m / 2
        ring = 2 * (self.radius_m**2 + half_web**2 / 3)
        return half_web + self.radius_m + (self.branch_m**2 - ring) / self.bar_m


def outline_of(shoe: Shoe) -> Outline:
    """Bend a shoe: the hoof gives the proportion, as long as wide where it was not measured; the bar gives the size."""
    length_m, width_m = shoe.hoof_length_m, shoe.hoof_width_m
    bar_m = bar_length(shoe)
    if bar_m is None or shoe.section is None:
        length_m = length_m or width_m or PLAIN_LENGTH_M
        return outline_of_hoof(length_m, width_m or length_m, PLAIN_WEB_M)
    ratio = length_m / width_m if length_m and width_m else 1.0
    return outline_of_bar(bar_m, shoe.section.width_m, ratio=ratio)


def outline_of_bar(bar_m: float, web_m: float, *, ratio: float = 1.0) -> Outline:
    """Bend a bar so that the shoe is ``ratio`` times as long as wide, measured over its outer edges."""
    spread = 2 * (2 * ratio - 1)
    radius_m = (bar_m - spread * web_m / 2) / (math.pi + spread)
    return Outline(radius_m, (bar_m - math.pi * radius_m) / 2, web_m)


def outline_of_hoof(length_m: float, width_m: float, web_m: float) -> Outline:
    """Lay a shoe along a hoof's edge."""
    radius_m = (width_m - web_m) / 2
    return Outline(radius_m, length_m - radius_m - web_m / 2, web_m)
