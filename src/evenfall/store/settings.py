"""How this barn likes it: one row."""

from dataclasses import asdict, fields
from typing import get_args, get_type_hints

from sqlalchemy import select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.editing import Deed, change_row
from evenfall.store.engine import Barn, reading, writing
from evenfall.store.records import BarnSettings
from evenfall.store.rows import insert_unless_there, made

__all__ = ["get", "save"]

_TABLE = schema.settings
ONLY = 1


def get(barn: Barn) -> BarnSettings:
    """Return the settings; those that nobody chose are as they come."""
    with reading(barn) as connection:
        row = connection.execute(select(_TABLE)).mappings().one_or_none()
    return BarnSettings() if row is None else made(BarnSettings, row, _TABLE)


def save(barn: Barn, chosen: BarnSettings, *, by: str = "") -> BarnSettings:
    """Keep settings.

    Raises
    ------
    WrongSetting
        If one is none of its choices.
    """
    hints = get_type_hints(BarnSettings)
    for each in fields(BarnSettings):
        choices, value = get_args(hints[each.name]), getattr(chosen, each.name)
        if choices and value not in choices:
            raise WrongSetting(f"expected {each.name} {' or '.join(choices)}, found {value!r}.")
    with writing(barn) as connection:
        insert_unless_there(connection, _TABLE, {"id": ONLY, **asdict(BarnSettings())})
        change_row(connection, _TABLE, ONLY, asdict(chosen), Deed(by, "changed the settings"))
    return chosen
