"""Coats of horses as paint. Colours are red, green, blue, 0 to 255."""

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["COATS", "Coat", "Colour", "blend", "darker"]

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Coat:
    """The paints of one coat: body, lower legs (points), mane and tail, muzzle, belly."""

    body: Colour
    points: Colour
    mane: Colour
    muzzle: Colour
    belly: Colour
    hoof: Colour = (62, 54, 48)


COATS: Mapping[str, Coat] = {
    "bay": Coat((134, 74, 40), (34, 26, 24), (26, 20, 19), (58, 40, 34), (150, 92, 56)),
    "black": Coat((46, 41, 43), (30, 27, 29), (22, 19, 21), (36, 32, 33), (52, 45, 44)),
    "grey": Coat((186, 186, 188), (112, 112, 117), (206, 206, 208), (108, 104, 106), (200, 200, 200)),
    "chestnut": Coat((152, 80, 40), (136, 72, 38), (168, 96, 52), (118, 72, 52), (168, 98, 58)),
    "palomino": Coat((206, 158, 92), (198, 156, 100), (238, 226, 200), (160, 122, 92), (220, 180, 120)),
    "buckskin": Coat((190, 150, 96), (44, 36, 32), (36, 29, 27), (84, 66, 54), (204, 170, 120)),
    "liver": Coat((92, 54, 38), (84, 50, 36), (104, 62, 42), (70, 46, 38), (104, 66, 48)),
}


def blend(first: Colour, second: Colour, share: float) -> Colour:
    """Return the colour ``share`` of the way from ``first`` to ``second``."""
    red, green, blue = (a + (b - a) * share for a, b in zip(first, second, strict=True))
    return red, green, blue


def darker(colour: Colour, light: float) -> Colour:
    """Return a colour ``light`` times as bright."""
    red, green, blue = (min(255.0, part * light) for part in colour)
    return red, green, blue
