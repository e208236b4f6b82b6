"""The shoe bench: what a shoe weighs and where, and what four feet would carry with it.

The bench reckons; it advises nothing. What is typed here is kept nowhere until it is put on a horse as a setup.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import Any
from urllib.parse import urlencode

from evenfall.errors import WrongSetting
from evenfall.flow.feet import Feet, feet_of
from evenfall.flow.foot_form import FootForm, foot_form, stock_choices
from evenfall.flow.foot_reading import read_shoe
from evenfall.flow.setup_form import PAIRS
from evenfall.flow.setup_list import say_closed, setup_before
from evenfall.flow.setups import setup_on
from evenfall.flow.typed import Typed, length_text
from evenfall.report.shoes import shoe_lines
from evenfall.shoeing import (
    LIMBS,
    Axis,
    Setup,
    Shoe,
    masses_of,
    same_but,
    weigh,
)  # fmt: skip
from evenfall.store import Barn, horses, settings
from evenfall.store.records import Horse

__all__ = ["BenchPage", "bench_page", "feet_chart", "put_on"]

ON = {"front": PAIRS["front"], "hind": PAIRS["hind"], "all": LIMBS}
"""Feet a shoe of the bench may be put on."""

DISTANCES = {
    "coffin_from_toe_m": "coffin",
    "swing_radius_fore_m": "swing_fore",
    "swing_radius_hind_m": "swing_hind",
}
"""The distances that moments are reckoned with, and the fields they are typed in."""

SHOE = "shoe"
"""In front of the fields of the bench's shoe."""


@dataclass(frozen=True)
class BenchPage:
    """What the bench shows.

    Parameters
    ----------
    values, errors : Mapping of str to str
        The form as typed, and what was wrong with it.
    form : FootForm
        Of the shoe.
    stock : tuple of str
        Bars to choose from.
    shoe : Shoe or None
    lines : tuple of (str, str)
        The shoe's numbers.
    stable : tuple of Horse
    horse : Horse or None
    on : str
        On which feet of the horse the shoe is to be tried: one of `ON`, or empty.
    tried : bool
        Whether there is a shoe to try on them.
    feet : Feet or None
    closed : str
        What stands against asking more of the horse.
    distances : Mapping of str to str
        The distances in their fields.
    put : str
        The query that leads to a setup with this shoe; empty where there is none.
    query : str
        The form as a query, for the picture.
    """

    values: Mapping[str, str]
    errors: Mapping[str, str]
    form: FootForm
    stock: tuple[str, ...]
    shoe: Shoe | None
    lines: tuple[tuple[str, str], ...]
    stable: tuple[Horse, ...]
    horse: Horse | None
    on: str
    tried: bool
    feet: Feet | None
    closed: str
    distances: Mapping[str, str]
    put: str
    query: str


@dataclass(frozen=True)
class _Bench:
    """The form read: shoe, horse, feet, distances."""

    typed: Typed
    form: FootForm
    axis: Axis
    shoe: Shoe | None
    horse: Horse | None
    worn: Setup | None
    setup_id: int | None
    on: str


def bench_page(barn: Barn, values: Mapping[str, str], today: date) -> BenchPage:
    """Reckon a shoe, and what a horse would carry with it.

    Parameters
    ----------
    barn : Barn
    values : Mapping of str to str
        The form as typed; all of it may be missing.
    today : date

    Raises
    ------
    NotFound
        If the horse is none of the barn's.
    """
    bench = _read(barn, values, today)
    typed, shoe = bench.typed, bench.shoe
    stock_feet = [foot for _, foot in (bench.worn or Setup()).feet()]
    return BenchPage(
        values=values,
        errors=typed.errors,
        form=bench.form,
        stock=stock_choices(stock_feet, typed.units),
        shoe=shoe,
        lines=() if shoe is None else tuple(_lines(shoe, bench.axis, typed.units)),
        stable=horses.every(barn),
        horse=bench.horse,
        on=bench.on,
        tried=_tried(bench),
        feet=_feet(barn, bench, today),
        closed=say_closed(barn, bench.horse.id, today) if bench.horse else "",
        distances=_distances(typed),
        put="" if shoe is None else urlencode(_shoe_values(values)),
        query=urlencode(values),
    )


def feet_chart(barn: Barn, values: Mapping[str, str], today: date, *, width: int) -> dict[str, Any]:
    """Draw the four feet of the bench: ``name``, ``spec`` and ``table`` of a chart; no spec where there is nothing."""
    from evenfall.report.charts.shoes import shoes_chart  # noqa: PLC0415 - a second

    bench = _read(barn, values, today)
    setup, units = _resulting(bench), bench.typed.units
    if setup is None:
        return {"name": "", "spec": None, "table": None}
    spec = shoes_chart(masses_of(setup, axis=bench.axis), setup, units=units, width=width)
    spec.pop("title", None)  # the page says it in words above
    return {"name": "Four feet from above, toes up", "spec": spec, "table": None}


def put_on(base: Setup, values: Mapping[str, str], on: str, day: date, *, units: str) -> Setup:
    """Put the shoe of the bench's form on some feet of a setup.

    Raises
    ------
    WrongSetting
        If the shoe cannot be, or the feet are none.
    """
    if on not in ON:
        raise WrongSetting(f"expected feet to put the shoe on, one of {', '.join(ON)}; found '{on[:20]}'.")
    typed = Typed(values, units)
    shoe = read_shoe(foot_form(SHOE, [None], units), typed, None)
    if typed.errors:
        raise WrongSetting(next(iter(typed.errors.values())))
    if shoe is None:
        raise WrongSetting("expected a shoe from the bench to put on, found none. Choose one there first.")
    return _tried_on(base, shoe, on, typed, shod_on=day)


def _read(barn: Barn, values: Mapping[str, str], today: date) -> _Bench:
    units = settings.get(barn).units
    typed, form = Typed(values, units), foot_form(SHOE, [None], units)
    chosen = values.get("horse", "")
    horse = horses.get(barn, int(chosen)) if chosen.isascii() and chosen.isdigit() else None
    found = setup_on(barn, horse.id, today) if horse else None
    return _Bench(
        typed=typed,
        form=form,
        axis=_axis(typed),
        shoe=read_shoe(form, typed, None) if values.get(f"{SHOE}_shoe") else None,
        horse=horse,
        worn=found[1] if found else None,
        setup_id=found[0].id if found else None,
        on=values.get("on", "") if values.get("on") in ON else "",
    )


def _axis(typed: Typed) -> Axis:
    """The distances as typed; those not typed, or wrong, as they come."""
    good = {}
    for name, field in DISTANCES.items():
        value = typed.length(field)
        if value is not None and typed.tried(field, partial(_one_distance, name, value)) is not None:
            good[name] = value
    return Axis(**good)


def _one_distance(name: str, value: float) -> Axis:
    return Axis(**{name: value})


def _distances(typed: Typed) -> dict[str, str]:
    given = Axis()
    return {
        field: typed.text(field) or length_text(getattr(given, name), typed.units)
        for name, field in DISTANCES.items()
    }


def _lines(shoe: Shoe, axis: Axis, units: str) -> Sequence[tuple[str, str]]:
    return shoe_lines(
        shoe, {end: weigh(shoe, axis=axis, hind=end == "hind") for end in ("fore", "hind")}, units
    )


def _resulting(bench: _Bench) -> Setup | None:
    """What the horse would wear with the shoe; what it wears where none is tried; the shoe on all four without a horse."""
    if bench.horse is None:
        reckoned = bench.shoe is not None and not bench.typed.errors
        return same_but(Setup(), limbs=LIMBS, shoe=bench.shoe) if reckoned else None
    if _tried(bench):
        return _tried_on(bench.worn or Setup(), bench.shoe, bench.on, bench.typed)
    return bench.worn


def _tried_on(base: Setup, shoe: Shoe | None, on: str, typed: Typed, **more: object) -> Setup:
    """The setup with the shoe on some feet; its nails, where none were said, as many as each foot had."""
    for limb in ON[on]:
        worn = base.foot(limb)
        nails = worn.shoe.nails if worn and worn.shoe and not typed.text(f"{SHOE}_nails") else None
        own = replace(shoe, nails=nails) if shoe and nails is not None else shoe
        base = same_but(base, limbs=(limb,), shoe=own, **more)
    return base


def _feet(barn: Barn, bench: _Bench, today: date) -> Feet | None:
    setup = _resulting(bench)
    if setup is None or setup == Setup():
        return None
    if bench.horse is None:
        return feet_of(barn, setup, None, axis=bench.axis, day=None)
    if _tried(bench):
        return feet_of(barn, setup, bench.worn, axis=bench.axis, day=None)
    before = setup_before(barn, bench.horse.id, bench.setup_id)
    return feet_of(barn, setup, before, axis=bench.axis, day=today)


def _tried(bench: _Bench) -> bool:
    """Whether the shoe is tried on some feet of a horse."""
    return bool(bench.horse and bench.shoe and bench.on and not bench.typed.errors)


def _shoe_values(values: Mapping[str, str]) -> dict[str, str]:
    return {name: value for name, value in values.items() if name.startswith(f"{SHOE}_") and value}
