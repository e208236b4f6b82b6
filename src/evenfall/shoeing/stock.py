"""Bar stock: a section, what it is made of, and what a metre of it weighs.

Masses follow from density times section. The density of steel is the handbook's 490 lb/ft³ (7849 kg/m³, at second
hand), by which a foot of flat bar weighs 3.4028 × thickness × width in pounds and inches.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from evenfall.errors import ShoeError, WrongSetting
from evenfall.shoeing.checks import number_within
from evenfall.units import INCH_M, NUMBER, POUND_KG, parse_number, say_inches

__all__ = ["Material", "Section", "kg_per_m", "materials", "named_material", "parse_section"]

FOOT_M = 12 * INCH_M
STEEL_KG_M3 = 490 * POUND_KG / FOOT_M**3
TWO = re.compile(rf"\s*({NUMBER})\s*[x×*]\s*({NUMBER})\s*(in|inch|inches|\"|mm)?\s*", re.IGNORECASE)
EXACT_M = 1e-7
LARGEST_BARE_IN = 2.0


@dataclass(frozen=True)
class Section:
    """A flat bar's section.

    Parameters
    ----------
    thickness_m, width_m : float
        Metres. The width is the web that lies on the hoof.
    """

    thickness_m: float
    width_m: float

    def __post_init__(self) -> None:
        number_within("thickness of the bar in mm", _mm(self.thickness_m), 1, 40)
        number_within("width of the bar in mm", _mm(self.width_m), 2, 80)

    @property
    def name(self) -> str:
        """As it is asked for: ``3/8 × 3/4 in`` where both are sixteenths of an inch, else ``8 × 20 mm``."""
        sides = (self.thickness_m, self.width_m)
        in_inches = [say_inches(side, near_m=EXACT_M) for side in sides]
        if all(in_inches):
            return f"{' × '.join(in_inches)} in"
        return f"{' × '.join(f'{side * 1000:.10g}' for side in sides)} mm"


@dataclass(frozen=True)
class Material:
    """What a bar, a plate or a pad is made of.

    Parameters
    ----------
    name : str
    density_kg_m3 : float
    source : str
        Where the density comes from.
    """

    name: str
    density_kg_m3: float
    source: str


MATERIALS = MappingProxyType(
    {
        each.name: each
        for each in (
            Material(
                "steel",
                STEEL_KG_M3,
                "490 lb/ft³, the handbooks' convention for carbon steel bar, at second hand",
            ),
            Material("aluminium", 2700.0, "handbook value, from memory"),
            Material("lead", 11340.0, "handbook value, from memory"),
            Material("leather", 930.0, "middle of 860 to 1000, from memory"),
            Material("polyurethane", 1175.0, "middle of 1100 to 1250, from memory"),
        )
    }
)


def materials() -> Mapping[str, Material]:
    """All materials by name."""
    return MATERIALS


def named_material(name: str) -> Material:
    """Return a material by its name; ``aluminum`` finds aluminium.

    Raises
    ------
    ShoeError
        If there is none of that name.
    """
    wanted = name.strip().lower()
    wanted = "aluminium" if wanted == "aluminum" else wanted
    if wanted not in MATERIALS:
        raise ShoeError(f"expected a material of the list ({', '.join(MATERIALS)}), found {name[:40]!r}")
    return MATERIALS[wanted]


def kg_per_m(section: Section, material: str = "steel") -> float:
    """Mass of a metre of bar, in kilograms.

    >>> round(kg_per_m(parse_section("3/8x3/4")), 3)
    1.424
    """
    return section.thickness_m * section.width_m * named_material(material).density_kg_m3


def parse_section(text: str) -> Section:
    """Read a section, thickness first: ``3/8x3/4``, ``1/2 × 1 1/4 in``, ``8x20mm``.

    Without a unit, fractions and small numbers are inches.

    Raises
    ------
    ShoeError
        If it is no section, or the unit cannot be told.
    """
    expected = "a bar's section, thickness by width, such as '3/8x3/4' or '8x20mm'"
    found = TWO.fullmatch(text)
    if not found:
        raise ShoeError(f"expected {expected}, found {text[:40]!r}")
    try:
        sides = parse_number(found[1]), parse_number(found[2])
    except WrongSetting as error:
        raise ShoeError(f"expected {expected}, found {text[:40]!r}") from error
    return Section(*(side * _unit_m(found, max(sides)) for side in sides))


def _unit_m(found: re.Match[str], largest: float) -> float:
    """What the numbers are counted in."""
    unit = (found[3] or "").lower()
    if unit == "mm":
        return 0.001
    if unit or "/" in found[0] or largest <= LARGEST_BARE_IN:
        return INCH_M
    raise ShoeError(f"expected a section with its unit, found {found[0][:40]!r}: write it with 'mm' or 'in'")


def _mm(value_m: object) -> object:
    """Metres in millimetres, where it is a number at all."""
    return value_m * 1000 if isinstance(value_m, int | float) and not isinstance(value_m, bool) else value_m
