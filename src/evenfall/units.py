"""Ounces and inches, grams and millimetres: what is typed becomes SI, and SI is said in the barn's units.

Conventions: kilograms and metres inside. The ounce is the avoirdupois ounce, 28.349523125 g; the inch is 25.4 mm; both
are exact by definition. ``units`` is ``"metric"`` or ``"imperial"``.
"""

import math
import re
from fractions import Fraction

from evenfall.errors import WrongSetting

__all__ = [
    "INCH_M",
    "OUNCE_KG",
    "POUND_KG",
    "UNITS",
    "from_inches",
    "from_ounces",
    "from_pounds",
    "grams",
    "inches",
    "ounces",
    "parse_length",
    "parse_mass",
    "parse_number",
    "say_inches",
    "say_length",
    "say_mass",
]

UNITS = ("metric", "imperial")
OUNCE_KG = 0.028349523125
POUND_KG = 0.45359237
INCH_M = 0.0254

MASSES = {"g": 0.001, "kg": 1.0, "oz": OUNCE_KG, "lb": POUND_KG}
LENGTHS = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": INCH_M, '"': INCH_M, "inch": INCH_M, "inches": INCH_M}
NEAR_M = 0.00005
"""How near a length must be to a sixteenth of an inch to be said as one: a twentieth of a millimetre."""

NUMBER = r"(?:\d{1,9}[ -]\d{1,3}/\d{1,3}|\d{1,3}/\d{1,3}|\d{1,9}(?:\.\d{0,9})?|\.\d{1,9})"
QUANTITY = re.compile(rf"\s*({NUMBER})\s*([a-z\"]*)\s*", re.IGNORECASE)


def grams(kg: float) -> float:
    """Kilograms in grams."""
    return kg * 1000


def ounces(kg: float) -> float:
    """Kilograms in ounces.

    >>> round(ounces(0.3618), 2)
    12.76
    """
    return kg / OUNCE_KG


def from_ounces(oz: float) -> float:
    """Ounces in kilograms."""
    return oz * OUNCE_KG


def from_pounds(lb: float) -> float:
    """Pounds in kilograms."""
    return lb * POUND_KG


def inches(m: float) -> float:
    """Metres in inches."""
    return m / INCH_M


def from_inches(length_in: float) -> float:
    """Inches in metres."""
    return length_in * INCH_M


def say_mass(kg: float, units: str = "metric") -> str:
    """Say a mass in the barn's units: whole grams, or ounces to a tenth.

    >>> say_mass(0.38), say_mass(0.38, "imperial")
    ('380 g', '13.4 oz')
    """
    return f"{_plain(ounces(kg), 1)} oz" if _imperial(units) else f"{_plain(grams(kg), 0)} g"


def say_length(m: float, units: str = "metric") -> str:
    """Say a length in the barn's units: an inch as a fraction of sixteenths where it is one.

    >>> say_length(0.009525), say_length(0.009525, "imperial"), say_length(0.0971, "imperial")
    ('9.5 mm', '3/8 in', '3.82 in')
    """
    if not _imperial(units):
        return f"{_plain(m * 1000, 1)} mm"
    return f"{say_inches(m) or _plain(inches(m), 2)} in"


def say_inches(m: float, *, near_m: float = NEAR_M) -> str:
    """Write a length as whole inches and sixteenths, without its unit; empty where it is none.

    >>> say_inches(0.03175)
    '1 1/4'
    """
    sixteenths = round(inches(m) * 16)
    if sixteenths < 1 or abs(from_inches(sixteenths / 16) - m) > near_m:
        return ""
    whole, part = divmod(Fraction(sixteenths, 16), 1)
    return " ".join(str(each) for each in (whole, part) if each)


def parse_number(text: str) -> float:
    """Read a number as it is written in a barn: ``3/8``, ``1 1/4``, ``1-1/4``, ``9.5``.

    Raises
    ------
    WrongSetting
        If it is no such number.
    """
    if not re.fullmatch(NUMBER, text.strip()):
        raise WrongSetting(f"expected a number such as 3/8, 1 1/4 or 9.5, found '{_short(text)}'")
    whole, _, part = text.strip().replace("-", " ").rpartition(" ")
    top, _, bottom = part.partition("/")
    if bottom and not int(bottom):
        raise WrongSetting(f"expected a number such as 3/8, found '{_short(text)}': nothing is divided by 0")
    return float(whole or 0) + float(top) / float(bottom or 1)


def parse_length(text: str) -> float:
    """Read a length with its unit, such as ``10 1/2 in``, ``254mm`` or ``25.4 cm``; metres.

    Raises
    ------
    WrongSetting
        If it is none, or has no unit.
    """
    return _quantity(text, LENGTHS, "a length with its unit, such as '10 1/2 in' or '254 mm'")


def parse_mass(text: str) -> float:
    """Read a mass with its unit, such as ``13.1 oz``, ``380g`` or ``1 lb``; kilograms.

    Raises
    ------
    WrongSetting
        If it is none, or has no unit.
    """
    return _quantity(text, MASSES, "a weight with its unit, such as '13.1 oz' or '380 g'")


def _quantity(text: str, units: dict[str, float], expected: str) -> float:
    """A number times its unit."""
    found = QUANTITY.fullmatch(text)
    unit = found[2].lower() if found else ""
    if not found or unit not in units:
        raise WrongSetting(f"expected {expected}, found '{_short(text)}'")
    return parse_number(found[1]) * units[unit]


def _imperial(units: str) -> bool:
    if units not in UNITS:
        raise WrongSetting(f"units are metric or imperial, not '{_short(units)}'")
    return units == "imperial"


def _plain(value: float, digits: int) -> str:
    """A number rounded, without an empty tail, never minus nothing, and with a true minus sign."""
    rounded = round(value, digits)
    if not math.isfinite(rounded) or rounded == 0:
        return "0" if rounded == 0 else str(rounded)
    text = f"{abs(rounded):.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"−{text}" if rounded < 0 else text


def _short(text: str) -> str:
    """What was written, cut where it is long."""
    return text if len(text) <= 40 else f"{text[:40]}…"
