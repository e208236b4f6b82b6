"""Shoes on the scale: a weighing as it is typed, kept, and shown with what wore off since the shoe was new."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.flow.setup_form import foot_name
from evenfall.flow.setups import setup_of_record
from evenfall.flow.typed import Typed
from evenfall.shoeing import LIMBS, STATES, Setup, Weighing, same_but, say_wear, setup_data, wear_of
from evenfall.store import Barn, setups, weighings
from evenfall.store.records import SetupFields, WeighingFields, WeighingRecord
from evenfall.units import say_mass

__all__ = ["Weighed", "WeighingForm", "blank_weighing", "read_weighing", "weigh_in", "weighed_of"]


@dataclass(frozen=True)
class Weighed:
    """One weighing in the list, with what wore off since the shoe was new."""

    record: WeighingRecord
    foot: str
    mass: str
    wear: str


@dataclass(frozen=True)
class WeighingForm:
    """A weighing as it was typed; ``into_setup`` asks for it as the shoe's weight in the newest setup."""

    values: Mapping[str, str]
    errors: Mapping[str, str]
    fields: WeighingFields | None
    into_setup: bool


def blank_weighing(today: date) -> WeighingForm:
    """Return an empty form."""
    values = {"weighed_on": today.isoformat(), "state": "new", "into_setup": "yes"}
    return WeighingForm(values, {}, None, into_setup=True)


def read_weighing(values: Mapping[str, str], *, horse_id: int, today: date, units: str) -> WeighingForm:
    """Read a weighing as typed."""
    typed = Typed(values, units)
    for name, choices, what in (("limb", LIMBS, "foot"), ("state", STATES, "state of the shoe")):
        if typed.text(name) not in choices:
            typed.errors[name] = f"Choose the {what}: {', '.join(choices)}."
    day = typed.tried("weighed_on", lambda: _day(typed, today))
    mass_kg = typed.mass("mass")
    if mass_kg is None:
        typed.errors.setdefault("mass", "A weighing needs what the scale said.")
    into = typed.text("state") == "new" and bool(typed.text("into_setup"))
    if typed.errors or day is None or mass_kg is None:
        return WeighingForm(values, typed.errors, None, into)
    typed.tried("mass", lambda: Weighing(day, typed.text("state"), mass_kg))
    row: dict[str, Any] = {"limb": typed.text("limb"), "state": typed.text("state"), "mass_kg": mass_kg}
    fields = WeighingFields(horse_id=horse_id, on_date=day, note=typed.text("weighing_note"), **row)
    return WeighingForm(values, typed.errors, None if typed.errors else fields, into)


def weigh_in(barn: Barn, fields: WeighingFields, *, into_setup: bool = False, by: str = "") -> WeighingRecord:
    """Keep a weighing, and use it as the shoe's weight in the newest setup where that is asked.

    Raises
    ------
    WrongSetting
        If the foot wears no shoe in that setup, or the weight cannot be that shoe's; nothing is kept.
    """
    change = _in_setup(barn, fields) if into_setup else None
    kept = weighings.add(barn, fields, by=by)
    if change is not None:
        setups.change(barn, *change, by=by)
    return kept


def weighed_of(records: Sequence[WeighingRecord], units: str, sides: str) -> tuple[Weighed, ...]:
    """Return weighings newest first, each later one of a shoe with what wore off."""
    told = [
        each
        for limb in LIMBS
        for each in _of_foot([row for row in records if row.limb == limb], units, sides)
    ]
    return tuple(sorted(told, key=lambda each: (each.record.on_date, each.record.id), reverse=True))


def _in_setup(barn: Barn, fields: WeighingFields) -> tuple[int, SetupFields]:
    """The newest setup with the weight in it."""
    records = setups.of_horse(barn, fields.horse_id)
    setup = setup_of_record(records[-1]) if records else Setup()
    foot = setup.foot(fields.limb)
    if foot is None or foot.shoe is None:
        raise WrongSetting(
            f"Expected a shoe on the {foot_name(fields.limb).lower()} in the newest setup, found none. "
            "Write the setup first, or take the tick from 'the weight in the newest setup'."
        )
    shoe = replace(foot.shoe, weighed_kg=fields.mass_kg)
    changed = same_but(setup, limbs=(fields.limb,), shoe=shoe)
    return records[-1].id, SetupFields(fields.horse_id, records[-1].from_date, setup_data(changed))


def _of_foot(records: Sequence[WeighingRecord], units: str, sides: str) -> list[Weighed]:
    ordered = sorted(records, key=lambda row: (row.on_date, STATES.index(row.state)))
    on_scale = [Weighing(row.on_date, row.state, row.mass_kg) for row in ordered]
    told, known = [], 0
    for place, row in enumerate(ordered):
        wears = wear_of(on_scale[: place + 1])
        words = say_wear(wears[-1], units) if len(wears) > known else ""
        known = len(wears)
        told.append(Weighed(row, foot_name(row.limb, sides), say_mass(row.mass_kg, units), words))
    return told


def _day(typed: Typed, today: date) -> date:
    day = typed.day("weighed_on")
    if day is None:
        raise WrongSetting("a weighing needs its day, as year-month-day such as 2026-05-03")
    if day > today:
        raise WrongSetting(f"expected a day up to today, found {day.isoformat()}, which is still to come")
    return day
