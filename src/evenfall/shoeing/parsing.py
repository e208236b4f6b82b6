"""What is added to a shoe, as it is typed on one line: ``toe plate:2x1x1/4in:steel@0.05`` or ``pad:70g@0.5``."""

import re

from evenfall.errors import ShoeError, WrongSetting
from evenfall.shoeing.shoe import Added, plate
from evenfall.units import LENGTHS, NUMBER, parse_mass, parse_number

__all__ = ["parse_added"]

EXPECTED = (
    "something added as 'name:length x width x thickness:material@place' or 'name:weight@place', "
    "such as 'toe plate:2x1x1/4in:steel@0.05' or 'pad:70g@0.5', place 0 at the toe and 1 at the heels"
)
SIZES = re.compile(
    rf"\s*({NUMBER})\s*[x×*]\s*({NUMBER})\s*[x×*]\s*({NUMBER})\s*(mm|cm|in|inch|inches|\")\s*", re.IGNORECASE
)


def parse_added(text: str) -> Added:
    """Read one thing that is added, by its size and material or by its weight.

    Raises
    ------
    ShoeError
        If it is none; the message shows how it is written.

    Examples
    --------
    >>> parse_added("pad:70g@0.5")
    Added(what='pad', mass_kg=0.07, at=0.5, weighed=True, height_m=0.0)
    """
    body, _, place = text.rpartition("@")
    name, *rest = body.split(":")
    if not name.strip() or len(rest) not in (1, 2):
        raise ShoeError(f"expected {EXPECTED}; found '{text[:60]}'")
    try:
        at = parse_number(place)
        sizes = SIZES.fullmatch(rest[0])
        if sizes is None and len(rest) == 1:
            return Added(name.strip(), parse_mass(rest[0]), at, weighed=True)
        if sizes is None:
            raise ShoeError("three lengths and their unit are missing")
        length_m, width_m, thickness_m = (
            parse_number(each) * LENGTHS[sizes[4].lower()] for each in sizes.groups()[:3]
        )
    except WrongSetting as error:
        raise ShoeError(f"expected {EXPECTED}; found '{text[:60]}': {error}") from error
    material = rest[1] if len(rest) == 2 else "steel"
    return plate(
        name.strip(), length_m=length_m, width_m=width_m, thickness_m=thickness_m, material=material, at=at
    )
