"""How this barn likes it: one row."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import get_args, get_type_hints

from sqlalchemy import select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.editing import Deed, change_row
from evenfall.store.engine import Barn, reading, writing
from evenfall.store.records import BarnSettings
from evenfall.store.rows import insert_unless_there, made

__all__ = ["change", "get", "save"]

_TABLE = schema.settings
ONLY = 1


def get(barn: Barn) -> BarnSettings:
    """Return the settings; those that nobody chose are as they come."""
    with reading(barn) as connection:
        row = connection.execute(select(_TABLE)).mappings().one_or_none()
    return BarnSettings() if row is None else made(BarnSettings, row, _TABLE)


def save(barn: Barn, chosen: BarnSettings, *, by: str = "") -> BarnSettings:
    """Keep settings, all of them.

    Raises
    ------
    WrongSetting
        If one is none of its choices.
    """
    return change(barn, asdict(chosen), by=by)


def change(barn: Barn, chosen: Mapping[str, str | bool], *, by: str = "") -> BarnSettings:
    """Keep the settings that are named, and leave the others as they are, whoever changed them meanwhile.

    Parameters
    ----------
    barn : Barn
    chosen : mapping of str to str or bool
        By the names of `BarnSettings`.
    by : str

    Returns
    -------
    BarnSettings
        As they are now, all of them.

    Raises
    ------
    WrongSetting
        If there is no such setting, or one is none of its choices; nothing is changed.
    """
    for name, value in chosen.items():
        _check(name, value)
    with writing(barn) as connection:
        insert_unless_there(connection, _TABLE, {"id": ONLY, **asdict(BarnSettings())})
        row = change_row(connection, _TABLE, ONLY, chosen, Deed(by, "changed the settings"))
        return made(BarnSettings, row, _TABLE)


def _check(name: str, value: str | bool) -> None:
    hints = get_type_hints(BarnSettings)
    if name not in hints:
        raise WrongSetting(f"expected a setting {', '.join(hints)}, found {name!r}.")
    choices = get_args(hints[name])
    if choices and value not in choices:
        raise WrongSetting(f"expected {name} {' or '.join(choices)}, found {value!r}.")
    if not choices and not isinstance(value, hints[name]):
        raise WrongSetting(f"expected {name} as {hints[name].__name__}, found {value!r}.")
