"""Masses, lengths and days as they are typed on the shoe pages; each mistake beside its field.

Conventions: a bare number is in the barn's units (ounces and inches, or grams and millimetres); with a unit of its own
it is that. Kilograms and metres come out.
"""

import re
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import date
from typing import TypeVar

from evenfall.errors import WrongSetting
from evenfall.units import parse_length, parse_mass, parse_number, say_length, say_mass

__all__ = ["Typed", "length_text", "mass_text", "read_day", "read_length", "read_mass", "read_number"]

T = TypeVar("T")

BOUNDS = re.compile(r" in (m|kg): expected a number from (\S+) to (\S+), found ([\d.e+-]*\d)")


class Typed:
    """The fields of a form as typed, and what was wrong with them.

    Parameters
    ----------
    values : Mapping of str to str
    units : str
        ``metric`` or ``imperial``.
    """

    def __init__(self, values: Mapping[str, str], units: str) -> None:
        self.values, self.units = values, units
        self.errors: dict[str, str] = {}

    def text(self, name: str, default: str = "") -> str:
        """What stands in a field; the default where the form has no such field."""
        return self.values.get(name, default).strip()

    def tried(self, name: str, read: Callable[[], T]) -> T | None:
        """What a field comes to; None, with its mistake kept, where it comes to nothing."""
        try:
            return read()
        except WrongSetting as error:
            self.errors.setdefault(name, _sentence(_as_typed(str(error), self.units)))
            return None

    def kept(self, name: str, filled: str, before: T, read: Callable[[str], T]) -> T:
        """What was there before where a field stands as it was filled in, else what it comes to now."""
        return before if self.text(name, filled) == filled else read(name)

    def mass(self, name: str) -> float | None:
        """A mass in kilograms; None where the field is empty or wrong."""
        return self.tried(name, lambda: read_mass(self.text(name), self.units))

    def length(self, name: str) -> float | None:
        """A length in metres; None where the field is empty or wrong."""
        return self.tried(name, lambda: read_length(self.text(name), self.units))

    def number(self, name: str) -> float | None:
        """A plain number; None where the field is empty or wrong."""
        return self.tried(name, lambda: read_number(self.text(name)))

    def day(self, name: str) -> date | None:
        """A day; None where the field is empty or wrong."""
        return self.tried(name, lambda: read_day(self.text(name)))


def read_mass(text: str, units: str) -> float | None:
    """Read a mass; a bare number is ounces or grams.

    Examples
    --------
    >>> read_mass("380", "metric"), read_mass("1 lb", "metric"), read_mass("", "metric")
    (0.38, 0.45359237, None)
    """
    return parse_mass(_with_unit(text, "oz" if units == "imperial" else "g")) if text.strip() else None


def read_length(text: str, units: str) -> float | None:
    """Read a length; a bare number is inches or millimetres.

    Examples
    --------
    >>> read_length("10 1/2", "imperial"), read_length("254", "metric"), read_length("10 in", "metric")
    (0.2667, 0.254, 0.254)
    """
    return parse_length(_with_unit(text, "in" if units == "imperial" else "mm")) if text.strip() else None


def read_number(text: str) -> float | None:
    """Read a number, with a comma or a point, above or below nothing."""
    plain = text.strip().replace(",", ".").replace("−", "-")
    if not plain:
        return None
    return -parse_number(plain[1:]) if plain.startswith("-") else parse_number(plain)


def read_day(text: str) -> date | None:
    """Read a day as year-month-day.

    Raises
    ------
    WrongSetting
    """
    if not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        raise WrongSetting(
            f"Expected a day as year-month-day such as 2026-05-03, found '{text[:40]}'."
        ) from error


def mass_text(kg: float | None, units: str) -> str:
    """Write a mass back into its field, without its unit."""
    return "" if kg is None else say_mass(kg, units).rpartition(" ")[0]


def length_text(length_m: float | None, units: str) -> str:
    """Write a length back into its field, without its unit."""
    return "" if length_m is None else say_length(length_m, units).rpartition(" ")[0]


def _with_unit(text: str, unit: str) -> str:
    plain = text.strip().replace(",", ".")
    with suppress(WrongSetting):
        parse_number(plain)
        return f"{plain} {unit}"
    return plain


def _as_typed(message: str, units: str) -> str:
    """Bounds told in metres or kilograms, told as they are typed."""

    def told(found: re.Match[str]) -> str:
        say = say_length if found[1] == "m" else say_mass
        low, high, typed = (say(float(number), units) for number in found.groups()[1:])
        return f": expected {low} to {high}, found {typed}"

    return BOUNDS.sub(told, message)


def _sentence(message: str) -> str:
    """An error as a sentence beside its field."""
    told = f"{message[:1].upper()}{message[1:]}"
    return told if told.endswith((".", "?")) else f"{told}."
