"""What show rules allow on a foot: a dated, editable table, and a setup held against one row of it.

Rules change. Every answer carries the date its text was seen and the words "check the present text".
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields
from functools import cache
from importlib.resources import files
from typing import Any

from evenfall.errors import ShoeError
from evenfall.shoeing.checks import number_within, text_of
from evenfall.shoeing.saying import LIMB_NAMES
from evenfall.shoeing.setup import Foot, Setup
from evenfall.shoeing.shoe import Added, Shoe
from evenfall.shoeing.weighing import weigh
from evenfall.units import say_length, say_mass

__all__ = ["CHECK_WORDS", "Limit", "LimitCheck", "check", "check_foot", "limit_data", "limit_of", "limits"]

CHECK_WORDS = "check the present text"
UNDER, OVER, NOT_KNOWN = "under", "over", "not known"
BOOT = re.compile(r"\b(boots?|collars?|wraps?)\b", re.IGNORECASE)
SLACK = 1e-9
"""So that a bar just as thick as allowed is not over for a rounding."""


@dataclass(frozen=True)
class Limit:
    """One row of the table.

    Parameters
    ----------
    key, body, item, text : str
        Our name for it, whose rule it is, what it limits, the rule shortened.
    seen, source, mark : str
        When its text was seen, where, and how.
    for_age : str
    shoe_kg, thickness_m, width_m, toe_m, boot_kg : float or None
        The most that is allowed.
    no_added : bool
        Nothing may be added to the shoe.
    """

    key: str
    body: str
    item: str
    text: str
    seen: str
    source: str
    mark: str
    for_age: str = ""
    shoe_kg: float | None = None
    thickness_m: float | None = None
    width_m: float | None = None
    toe_m: float | None = None
    boot_kg: float | None = None
    no_added: bool = False

    def __post_init__(self) -> None:
        for name in WORDS:
            text_of(f"limit: {name}", getattr(self, name))
        if not self.key.strip():
            raise ShoeError("limit: expected a name of its own")
        for name, (low, high, unit) in NUMBERS.items():
            number_within(f"limit {self.key[:40]}: {name}", getattr(self, name), low, high, unit)
        if not isinstance(self.no_added, bool):
            raise ShoeError(f"limit {self.key[:40]}: no_added: expected yes or no")


WORDS = ("key", "body", "item", "text", "seen", "source", "mark", "for_age")
NUMBERS = {
    "shoe_kg": (0.02, 3, "kg"), "thickness_m": (0.001, 0.05, "m"), "width_m": (0.002, 0.1, "m"),
    "toe_m": (0.03, 0.3, "m"), "boot_kg": (0, 3, "kg"),
}  # fmt: skip


@dataclass(frozen=True)
class LimitCheck:
    """A setup held against one limit.

    Parameters
    ----------
    limit : Limit
    feet : Mapping of str to str
        By limb: ``under`` (or just at it), ``over``, ``not known``.
    words : str
        What is over and by what number, with the date and the request to check the present text.
    """

    limit: Limit
    feet: Mapping[str, str]
    words: str


@dataclass(frozen=True)
class _Finding:
    state: str
    words: str = ""


@cache
def limits() -> tuple[Limit, ...]:
    """All rows that come with Evenfall."""
    text = (files("evenfall.shoeing") / "data" / "limits.toml").read_text(encoding="utf-8")
    return tuple(limit_of(row) for row in tomllib.loads(text)["limit"])


def limit_of(data: object) -> Limit:
    """Read a row back from plain data.

    Raises
    ------
    ShoeError
        If it is no row of the table.
    """
    if not isinstance(data, Mapping):
        raise ShoeError(f"limit: expected an object with named values, found a {type(data).__name__}")
    names = [each.name for each in fields(Limit)]
    if any(name not in names for name in data) or any(name not in data for name in WORDS[:-1]):
        raise ShoeError(f"limit: expected {', '.join(WORDS[:-1])} and numbers of {', '.join(names[7:])}")
    return Limit(**data)


def limit_data(limit: Limit) -> dict[str, Any]:
    """Write a row as plain data."""
    return asdict(limit)


def check(setup: Setup, limit: Limit, *, units: str = "metric") -> LimitCheck:
    """Hold a setup against a limit; a reckoned mass counts as it is reckoned, which is the most it can be."""
    found = {limb: check_foot(foot, limit, units=units) for limb, foot in setup.feet()}
    feet = {limb: state for limb, (state, _) in found.items()}
    over = [f"{LIMB_NAMES[limb]}: {', '.join(reasons)}" for limb, (_, reasons) in found.items() if reasons]
    return LimitCheck(limit, feet, _say(limit, feet, over))


def check_foot(foot: Foot | None, limit: Limit, *, units: str = "metric") -> tuple[str, tuple[str, ...]]:
    """Hold one foot against a limit: ``under``, ``over`` or ``not known``, and what is over."""
    findings = list(_foot(foot, limit, units))
    over = tuple(each.words for each in findings if each.state == OVER)
    return _worst([each.state for each in findings]), over


def _say(limit: Limit, feet: Mapping[str, str], over: list[str]) -> str:
    unknown = [LIMB_NAMES[limb] for limb, state in feet.items() if state == NOT_KNOWN]
    told = [f"{_begun('; '.join(over))}."] if over else []
    if len(unknown) == len(feet):
        told.append("Not known of any foot: read the text.")
    elif unknown:
        told.append(f"Not known of {', '.join(unknown)}.")
    if not over and not unknown:
        told.append("Within it on all four feet.")
    return f"{' '.join(told)} {_begun(limit.body)}, {limit.item}: {limit.text} ({limit.seen}, {limit.mark}); {CHECK_WORDS}."


def _begun(text: str) -> str:
    """With a capital, as a sentence begins."""
    return text[:1].upper() + text[1:]


def _worst(states: list[str]) -> str:
    return next((state for state in (OVER, NOT_KNOWN, UNDER) if state in states), NOT_KNOWN)


def _foot(foot: Foot | None, limit: Limit, units: str) -> Iterator[_Finding]:
    """What is known of one foot against each number of the limit."""
    if foot is None:
        yield _Finding(NOT_KNOWN)
        return
    if limit.toe_m is not None:
        yield _most("toe", foot.toe_m, limit.toe_m, say_length(limit.toe_m, units), units)
    if foot.shoe is None:
        if any(
            value is not None for value in (limit.shoe_kg, limit.thickness_m, limit.width_m, limit.boot_kg)
        ):
            yield _Finding(UNDER)
    else:
        yield from _shoe(foot.shoe, limit, units)


def _shoe(shoe: Shoe, limit: Limit, units: str) -> Iterator[_Finding]:
    boots = [each for each in shoe.added if BOOT.search(each.what)]
    if limit.shoe_kg is not None:
        mass = weigh(shoe)
        kg = mass.bar_kg + mass.added_kg - sum(each.mass_kg for each in boots)
        known = "" if mass.weighed else " (reckoned: weigh it)" if mass.upper else " (as said: weigh it)"
        yield _heaviest("shoe", kg, limit.shoe_kg, units, known=known)
    for side, most in (("thickness_m", limit.thickness_m), ("width_m", limit.width_m)):
        if most is not None:
            came = getattr(shoe.section, side) if shoe.section else None
            yield _most(f"bar {side.removesuffix('_m')}", came, most, say_length(most, units), units)
    if limit.boot_kg is not None:
        yield _heaviest("boots", sum(each.mass_kg for each in boots), limit.boot_kg, units)
    if limit.no_added:
        yield _nothing_added([each for each in shoe.added if each not in boots])


def _nothing_added(added: list[Added]) -> _Finding:
    if not added:
        return _Finding(UNDER)
    return _Finding(OVER, f"{', '.join(each.what for each in added)} added, and nothing may be")


def _heaviest(what: str, kg: float, most_kg: float, units: str, *, known: str = "") -> _Finding:
    if kg <= most_kg * (1 + SLACK):
        return _Finding(UNDER)
    return _Finding(OVER, f"{what} {say_mass(kg, units)}{known}, and {say_mass(most_kg, units)} is the most")


def _most(what: str, came_m: float | None, most_m: float, most: str, units: str) -> _Finding:
    if came_m is None:
        return _Finding(NOT_KNOWN)
    if came_m <= most_m * (1 + SLACK):
        return _Finding(UNDER)
    return _Finding(OVER, f"{what} {say_length(came_m, units)}, and {most} is the most")
