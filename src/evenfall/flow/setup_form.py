"""A setup as it is written down: the same as the one before, but for what was typed anew.

The setup it begins from travels with the form, so that nothing typed is lost if another device changes the record
meanwhile.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.flow.foot_form import FootForm, foot_form, made_alike, stock_choices
from evenfall.flow.foot_reading import read_foot
from evenfall.flow.typed import Typed
from evenfall.shoeing import (
    FORES,
    HEAD_AIMS,
    HINDS,
    LIMBS,
    Foot,
    Setup,
    limb_name,
    say_foot,
    setup_data,
    setup_of,
)
from evenfall.store.records import SetupFields

__all__ = [
    "AIMS",
    "PAIRS",
    "PairForm",
    "SetupForm",
    "foot_choices",
    "foot_name",
    "pair_lines",
    "read_setup_form",
    "setup_form",
]

PAIRS = {"front": FORES, "hind": HINDS}
AIMS = HEAD_AIMS
"""Words for the head asked for, from low to high."""

WORDS = ("bit", "head_gear", "saddle", "note")


@dataclass(frozen=True)
class PairForm:
    """A pair of feet in the form: together, or apart on request."""

    name: str
    title: str
    brief: tuple[str, ...]
    apart: bool
    both: FootForm
    each: tuple[tuple[str, FootForm], ...]
    stock: tuple[str, ...]


@dataclass(frozen=True)
class SetupForm:
    """A setup's form.

    Parameters
    ----------
    values : Mapping of str to str
        As typed, or as filled in.
    errors : Mapping of str to str
        By field: what was expected, what came.
    base : str
        The setup it begins from, as JSON.
    pairs : tuple of PairForm
    setup : Setup or None
        What it comes to; None while there are errors.
    day : date or None
    """

    values: Mapping[str, str]
    errors: Mapping[str, str]
    base: str
    pairs: tuple[PairForm, ...]
    setup: Setup | None
    day: date | None

    def amiss(self, pair: PairForm) -> bool:
        """Whether anything typed of a pair was wrong."""
        names = {pair.both.name, *(form.name for _, form in pair.each)}
        return any(name.partition("_")[0] in names for name in self.errors)

    def fields(self, horse_id: int) -> SetupFields | None:
        """What is kept; None while there are errors."""
        if self.setup is None or self.day is None:
            return None
        return SetupFields(horse_id, self.day, setup_data(self.setup))


def setup_form(base: Setup, *, day: date, units: str, sides: str = "left-right") -> SetupForm:
    """Fill in a form from the setup it begins from."""
    filled = {"on_date": day.isoformat(), **_head_values(base)}
    return SetupForm(filled, {}, json.dumps(setup_data(base)), _pairs(base, {}, units, sides), None, day)


def read_setup_form(
    values: Mapping[str, str], *, today: date, units: str, sides: str = "left-right"
) -> SetupForm:
    """Read a form that was sent.

    Raises
    ------
    WrongSetting
        If the setup it began from cannot be read.
    """
    base = _base(values.get("base", ""))
    typed = Typed(values, units)
    pairs = _pairs(base, values, units, sides)
    day = typed.tried("on_date", lambda: _day(typed, today))
    feet = {limb: foot for pair in pairs for limb, foot in _feet(pair, typed, base, day or today).items()}
    head = _head(base, typed)
    setup = typed.tried("head_aim", lambda: Setup(**feet, **head))  # type: ignore[arg-type]
    filled = {**_head_values(base), **values}
    known = None if typed.errors else setup
    return SetupForm(filled, typed.errors, json.dumps(setup_data(base)), pairs, known, day)


def foot_name(limb: str, sides: str = "left-right") -> str:
    """A foot as the barn calls it.

    Examples
    --------
    >>> foot_name("RH", "near-off"), foot_name("LF")
    ('Off hind', 'Left fore')
    """
    return limb_name(limb, sides).capitalize()


def foot_choices(sides: str = "left-right") -> tuple[tuple[str, str], ...]:
    """Return each foot's letters with its name, to choose from."""
    return tuple((limb, foot_name(limb, sides)) for limb in LIMBS)


def pair_lines(setup: Setup, name: str, units: str, sides: str = "left-right") -> tuple[str, ...]:
    """What a pair wears: in one line where both are alike, else a line each."""
    left, right = (say_foot(setup.foot(limb), units) for limb in PAIRS[name])
    if left == right:
        return (left,)
    return tuple(
        f"{foot_name(limb, sides)}: {words}" for limb, words in zip(PAIRS[name], (left, right), strict=True)
    )


def _pairs(base: Setup, values: Mapping[str, str], units: str, sides: str) -> tuple[PairForm, ...]:
    return tuple(_pair(base, name, values, units, sides) for name in PAIRS)


def _pair(base: Setup, name: str, values: Mapping[str, str], units: str, sides: str) -> PairForm:
    limbs = PAIRS[name]
    feet = [base.foot(limb) for limb in limbs]
    each = tuple(
        (foot_name(limb, sides), foot_form(limb.lower(), [foot], units))
        for limb, foot in zip(limbs, feet, strict=True)
    )
    asked = bool(values.get(f"{name}_apart")) if values else not made_alike(*feet)
    return PairForm(
        name=name,
        title="Front feet" if name == "front" else "Hind feet",
        brief=_brief(each),
        apart=asked,
        both=foot_form(name, feet, units),
        each=each,
        stock=stock_choices([foot for _, foot in base.feet()], units),
    )


def _brief(each: Sequence[tuple[str, FootForm]]) -> tuple[str, ...]:
    """What a pair wears, in few words: once where both wear the same."""
    worn = {form.before for _, form in each}
    return tuple(worn) if len(worn) == 1 else tuple(f"{name}: {form.before}" for name, form in each)


def _feet(pair: PairForm, typed: Typed, base: Setup, day: date) -> dict[str, Foot | None]:
    """Both feet of a pair as typed, by the names of a setup's fields."""
    forms = [form for _, form in pair.each] if pair.apart else [pair.both, pair.both]
    return {
        limb.lower(): read_foot(form, typed, base.foot(limb), day=day)
        for limb, form in zip(PAIRS[pair.name], forms, strict=True)
    }


def _head_values(base: Setup) -> dict[str, str]:
    degrees = "" if base.head_deg is None else f"{base.head_deg:g}"
    return {**{name: getattr(base, name) for name in WORDS}, "head_aim": base.head_aim, "head_deg": degrees}


def _head(base: Setup, typed: Typed) -> dict[str, Any]:
    """Head, bit, saddle and note as typed; what was not sent stays."""
    words = {name: typed.text(name, getattr(base, name)) for name in WORDS}
    aim = typed.text("head_aim", base.head_aim)
    degrees = typed.number("head_deg") if "head_deg" in typed.values else base.head_deg
    typed.tried("head_deg", lambda: Setup(head_deg=degrees))
    for name, text in words.items():
        typed.tried(name, partial(Setup, **{name: text}))  # type: ignore[arg-type]
    if aim not in ("", *HEAD_AIMS):
        typed.errors["head_aim"] = f"Expected one of {', '.join(HEAD_AIMS)}, or nothing; found '{aim[:40]}'."
        aim = ""
    return {**words, "head_aim": aim, "head_deg": None if "head_deg" in typed.errors else degrees}


def _day(typed: Typed, today: date) -> date:
    day = typed.day("on_date")
    if day is None:
        raise WrongSetting("a setup needs its day, as year-month-day such as 2026-05-03")
    if day > today:
        raise WrongSetting(f"expected a day up to today, found {day.isoformat()}, which is still to come")
    return day


def _base(text: str) -> Setup:
    if not text:
        return Setup()
    try:
        return setup_of(json.loads(text))
    except ValueError as error:
        raise WrongSetting(
            "expected the setup this form began from, found no such data. Open the form again."
        ) from error
