"""How this barn plans: one row."""

from collections.abc import Mapping
from dataclasses import asdict, fields
from math import isfinite
from typing import Any

from sqlalchemy import select

from evenfall.errors import WrongSetting
from evenfall.store import belongings, schema
from evenfall.store.editing import Deed, change_row
from evenfall.store.engine import Barn, reading, writing
from evenfall.store.records import PlanSettings
from evenfall.store.rows import insert_unless_there, made

__all__ = ["change", "get", "save"]

_TABLE = schema.plans
ONLY = 1
WIDEST_PCT = 25.0
"""A worthwhile change beyond this would be half the way from pace to trot (our choice)."""


def get(barn: Barn) -> PlanSettings:
    """Return the settings; those that nobody chose are as they come."""
    with reading(barn) as connection:
        row = connection.execute(select(_TABLE)).mappings().one_or_none()
    return PlanSettings() if row is None else made(PlanSettings, row, _TABLE)


def save(barn: Barn, chosen: PlanSettings, *, by: str = "") -> PlanSettings:
    """Keep settings, all of them.

    Raises
    ------
    WrongSetting
        If one makes no sense.
    """
    return change(barn, asdict(chosen), by=by)


def change(barn: Barn, chosen: Mapping[str, Any], *, by: str = "") -> PlanSettings:
    """Keep the settings that are named, and leave the others as they are, whoever changed them meanwhile.

    Parameters
    ----------
    barn : Barn
    chosen : mapping
        By the names of `PlanSettings`.
    by : str

    Returns
    -------
    PlanSettings
        As they are now, all of them.

    Raises
    ------
    WrongSetting
        If there is no such setting, or one makes no sense; nothing is changed.
    """
    values = {name: _checked(name, value) for name, value in chosen.items()}
    with writing(barn) as connection:
        insert_unless_there(connection, _TABLE, {"id": ONLY, **asdict(PlanSettings())})
        row = change_row(connection, _TABLE, ONLY, values, Deed(by, "changed how the barn plans"))
        return made(PlanSettings, row, _TABLE)


def _checked(name: str, value: Any) -> Any:  # noqa: ANN401
    """A setting as it will be read back, if it makes sense."""
    names = [each.name for each in fields(PlanSettings)]
    if name not in names:
        raise WrongSetting(f"expected a setting {', '.join(names)}, found {name!r}.")
    if name == "proof":
        return belongings.plain_object(value, "the proof of a step")
    if name == "limits":
        return tuple(belongings.plain_object(limit, "a class limit") for limit in value)
    if name == "worthwhile_pct":
        return _worthwhile(value)
    if value is not None:
        belongings.require_mass(value, "a cap on added mass")
    return value


def _worthwhile(value: float) -> float:
    if not (isfinite(value) and 0 < value <= WIDEST_PCT):
        raise WrongSetting(
            f"expected a worthwhile change above 0 and up to {WIDEST_PCT:g} %, found {value:g} %."
        )
    return value
