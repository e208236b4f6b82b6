"""The barn's table of class limits and its caps on added mass: as they come, or as they were edited."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from evenfall.errors import NotFound
from evenfall.flow.typed import Typed, length_text, mass_text
from evenfall.plan.loads import Caps
from evenfall.shoeing import Limit, limit_data, limit_of, limits
from evenfall.store import Barn, plans, settings
from evenfall.units import say_length, say_mass

__all__ = [
    "CapsForm", "LimitForm", "LimitRow", "back_to_given", "caps_form", "caps_of", "class_limits", "is_given",
    "limit_form", "limit_rows", "read_caps", "read_limit", "remove_limit", "save_caps", "save_limit",
]  # fmt: skip

WORDS = ("body", "item", "text", "seen", "source", "for_age")
NEEDED = {
    "body": "whose rule it is",
    "item": "what it limits",
    "text": "what the rule says, shortened",
    "seen": "when its text was seen",
    "source": "where its text was seen",
}
MASSES, LENGTHS = ("shoe", "boot"), ("thickness", "width", "toe")
CAPS = {"cap_foot": "per_foot_kg", "cap_step": "per_step_kg"}
OWN_MARK = "read by this barn"
LONGEST_KEY = 150


@dataclass(frozen=True)
class LimitRow:
    """A limit in the list, its numbers in words."""

    limit: Limit
    numbers: str


@dataclass(frozen=True)
class LimitForm:
    """A limit as it was typed; ``key`` is empty for a new one."""

    key: str
    values: Mapping[str, str]
    errors: Mapping[str, str]
    limit: Limit | None


@dataclass(frozen=True)
class CapsForm:
    """The caps as they were typed."""

    values: Mapping[str, str]
    errors: Mapping[str, str]
    caps: Caps | None


def class_limits(barn: Barn) -> tuple[Limit, ...]:
    """Return the class limits: the barn's own table where it was edited, else the one Evenfall comes with."""
    edited = plans.get(barn).limits
    return tuple(limit_of(row) for row in edited) if edited else limits()


def is_given(barn: Barn) -> bool:
    """Whether the table is still the one Evenfall comes with."""
    return not plans.get(barn).limits


def limit_rows(barn: Barn) -> tuple[LimitRow, ...]:
    """Return the table with its numbers in the barn's units."""
    units = settings.get(barn).units
    return tuple(LimitRow(limit, _numbers(limit, units)) for limit in class_limits(barn))


def caps_of(barn: Barn) -> Caps:
    """Return the caps on added mass: the barn's own, else those Evenfall comes with."""
    kept, given = plans.get(barn), Caps()
    return Caps(
        per_foot_kg=given.per_foot_kg if kept.cap_foot_kg is None else kept.cap_foot_kg,
        per_step_kg=given.per_step_kg if kept.cap_step_kg is None else kept.cap_step_kg,
    )


def caps_form(barn: Barn) -> CapsForm:
    """Fill in the caps."""
    units, caps = settings.get(barn).units, caps_of(barn)
    values = {"cap_foot": mass_text(caps.per_foot_kg, units), "cap_step": mass_text(caps.per_step_kg, units)}
    return CapsForm(values, {}, caps)


def read_caps(barn: Barn, values: Mapping[str, str]) -> CapsForm:
    """Read the caps; an empty field is the cap Evenfall comes with, one left as it was filled in stays."""
    filled, given, now = caps_form(barn).values, Caps(), caps_of(barn)
    typed = Typed({**filled, **values}, settings.get(barn).units)
    kept: dict[str, float] = {}
    for name, column in CAPS.items():
        before: float | None = getattr(now, column)
        came = typed.kept(name, filled[name], before, typed.mass)
        kept[column] = getattr(given, column) if came is None else came
        typed.tried(name, partial(Caps, **{column: kept[column]}))
    caps = None if typed.errors else Caps(**kept)
    return CapsForm(typed.values, typed.errors, caps)


def save_caps(barn: Barn, caps: Caps, *, by: str = "") -> None:
    """Keep the caps."""
    plans.change(barn, {"cap_foot_kg": caps.per_foot_kg, "cap_step_kg": caps.per_step_kg}, by=by)


def limit_form(barn: Barn, key: str, today: date) -> LimitForm:
    """Fill in the form of one limit, or of a new one where the key is empty.

    Raises
    ------
    NotFound
        If there is none of that name.
    """
    if not key:
        return LimitForm("", {"seen": today.isoformat()}, {}, None)
    units, limit = settings.get(barn).units, _named(class_limits(barn), key)
    return LimitForm(key, _filled(limit, units), {}, limit)


def read_limit(barn: Barn, values: Mapping[str, str]) -> LimitForm:
    """Read a limit as typed; its text then counts as read by this barn. A number left as it was filled in stays.

    Raises
    ------
    NotFound
        If it changes a limit that is not in the table.
    """
    key, units = values.get("key", ""), settings.get(barn).units
    old = _named(class_limits(barn), key) if key else None
    typed, filled = Typed(values, units), {} if old is None else _filled(old, units)
    words = {name: typed.text(name) for name in WORDS}
    for name, what in NEEDED.items():
        if not words[name]:
            typed.errors[name] = f"A limit needs {what}."
    own = key or f"{words['body']}: {words['item']}"[:LONGEST_KEY]
    numbers = {
        column: typed.kept(name, filled.get(name, ""), getattr(old, column, None), read)
        for column, name, read in _columns(typed)
    }
    limit = typed.tried(
        "text",
        lambda: Limit(key=own, mark=OWN_MARK, no_added=bool(typed.text("no_added")), **words, **numbers),  # type: ignore[arg-type]
    )
    return LimitForm(key, values, typed.errors, None if typed.errors else limit)


def save_limit(barn: Barn, key: str, limit: Limit, *, by: str = "") -> None:
    """Keep a limit in the place of the one it was; a new one comes last."""
    table = class_limits(barn)
    if key:
        _named(table, key)
        return _keep(barn, [limit if each.key == key else each for each in table], by)
    taken = {each.key for each in table}
    fresh = limit_of({**limit_data(limit), "key": _free(limit.key, taken)})
    return _keep(barn, [*table, fresh], by)


def remove_limit(barn: Barn, key: str, *, by: str = "") -> None:
    """Take a limit out of the table.

    Raises
    ------
    NotFound
        If there is none of that name.
    """
    table = class_limits(barn)
    _named(table, key)
    _keep(barn, [each for each in table if each.key != key], by)


def back_to_given(barn: Barn, *, by: str = "") -> None:
    """Go back to the table Evenfall comes with."""
    _keep(barn, [], by)


def _filled(limit: Limit, units: str) -> dict[str, str]:
    """A limit in its fields."""
    values = {name: getattr(limit, name) for name in WORDS}
    values |= {name: mass_text(getattr(limit, f"{name}_kg"), units) for name in MASSES}
    values |= {name: length_text(getattr(limit, f"{name}_m"), units) for name in LENGTHS}
    return {**values, "no_added": "yes" if limit.no_added else ""}


def _columns(typed: Typed) -> Iterator[tuple[str, str, Callable[[str], float | None]]]:
    """The numbers of a limit: column, field, and how the field is read."""
    for name in MASSES:
        yield f"{name}_kg", name, typed.mass
    for name in LENGTHS:
        yield f"{name}_m", name, typed.length


def _keep(barn: Barn, table: Sequence[Limit], by: str) -> None:
    plans.change(barn, {"limits": tuple(limit_data(each) for each in table)}, by=by)


def _named(table: Sequence[Limit], key: str) -> Limit:
    found = next((each for each in table if each.key == key), None)
    if found is None:
        raise NotFound(
            f"expected a limit of the table, found none named '{key[:60]}'. It may have been taken out."
        )
    return found


def _free(key: str, taken: set[str]) -> str:
    """A name no other row has."""
    if key not in taken:
        return key
    return next(each for number in range(2, len(taken) + 3) if (each := f"{key} {number}") not in taken)


def _numbers(limit: Limit, units: str) -> str:
    """The numbers of a limit in words."""
    other = {"metric": "imperial", "imperial": "metric"}[units]
    masses = {"shoe": limit.shoe_kg, "boots": limit.boot_kg}
    sizes = {"thickness": limit.thickness_m, "width": limit.width_m, "toe": limit.toe_m}
    said = [
        f"{name} {say_mass(kg, units)} ({say_mass(kg, other)})"
        for name, kg in masses.items()
        if kg is not None
    ]
    said += [
        f"{name} {say_length(m, units)} ({say_length(m, other)})"
        for name, m in sizes.items()
        if m is not None
    ]
    said += ["nothing added"] if limit.no_added else []
    return re.sub(r" \(0 (?:g|oz)\)", "", ", ".join(said)) or "no number: read the text"
