"""Flags: something amiss with a horse, which stands until a named person clears it on a day.

A pre-ride check raises a flag once: the same outing, kind and foot make one flag, however often the check is saved. A
flag belongs to the horse and outlives its outing.
"""

from collections import defaultdict
from dataclasses import asdict
from datetime import date
from typing import Any, get_args, get_type_hints

from sqlalchemy import Connection, RowMapping, and_, select

from evenfall.errors import WrongSetting
from evenfall.store import belongings, schema
from evenfall.store.editing import Deed, add_row, change_row, revive_row
from evenfall.store.engine import Barn, alone, now, reading, writing
from evenfall.store.records import FlagFields, FlagRecord
from evenfall.store.rows import made, made_all, one

__all__ = ["clear", "delete", "get", "of_horse", "raise_flag", "standing"]

_TABLE = schema.flags
_KIND = belongings.Kind(_TABLE, FlagRecord)
_NOT_CLEARED = {"cleared_on": None, "cleared_by": "", "cleared_note": ""}


def raise_flag(barn: Barn, fields: FlagFields, *, by: str = "") -> FlagRecord:
    """Raise a flag.

    Of the same outing, kind and foot there is one flag: raised again it stays as it is, cleared or not. Taken out of
    the bin, or raised for another horse because the outing was moved there, it stands anew.

    Raises
    ------
    NotFound
        If there is no such horse or outing.
    WrongSetting
        If it has no kind, or the foot is none.
    """
    _check(fields)
    with writing(barn) as connection:
        alone(connection, "flags")
        there = _raised(connection, fields)
        deed = Deed(by, f"raised {belongings.named(connection, _KIND, asdict(fields))}: {fields.kind}")
        return made(FlagRecord, _put(connection, fields, there, deed), _TABLE)


def get(barn: Barn, flag_id: int) -> FlagRecord:
    """Return a flag.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    return belongings.get(barn, _KIND, flag_id)


def of_horse(barn: Barn, horse_id: int) -> tuple[FlagRecord, ...]:
    """Return a horse's flags, cleared ones too, oldest first."""
    return belongings.of_horse(barn, _KIND, horse_id)


def standing(barn: Barn) -> dict[int, tuple[FlagRecord, ...]]:
    """Return the flags that nobody has cleared, by horse, oldest first; one query."""
    asked = belongings.shown(_KIND).where(_TABLE.c.cleared_on.is_(None))
    found: dict[int, list[FlagRecord]] = defaultdict(list)
    with reading(barn) as connection:
        for flag in made_all(FlagRecord, connection.execute(asked).mappings(), _TABLE):
            found[flag.horse_id].append(flag)
    return {horse: tuple(flags) for horse, flags in found.items()}


def clear(  # noqa: PLR0913 - keyword-only
    barn: Barn, flag_id: int, *, cleared_by: str, on: date, note: str = "", by: str = ""
) -> FlagRecord:
    """Clear a flag: a named person says on a day that it is over. The flag stays in the horse's history.

    Parameters
    ----------
    barn : Barn
    flag_id : int
    cleared_by : str
        Who says so, by name.
    on : date
        The day, not before the flag was raised.
    note : str
    by : str
        The device it was written on.

    Raises
    ------
    NotFound
    WrongSetting
        If nobody is named, the day comes before the flag, or somebody cleared it already.
    """
    values = {"cleared_on": on, "cleared_by": cleared_by.strip(), "cleared_note": note}
    with writing(barn) as connection:
        row = one(connection, _TABLE, flag_id, held=True)
        _require_clearable(row, values)
        deed = Deed(
            by, f"{values['cleared_by']} cleared {belongings.named(connection, _KIND, row)}: {row['kind']}"
        )
        return made(FlagRecord, change_row(connection, _TABLE, flag_id, values, deed), _TABLE)


def delete(barn: Barn, flag_id: int, *, by: str = "") -> None:
    """Put a flag that was raised by mistake into the bin; one that is over is cleared instead.

    Raises
    ------
    NotFound
    """
    belongings.delete(barn, _KIND, flag_id, by=by)


def _raised(connection: Connection, fields: FlagFields) -> RowMapping | None:
    """The flag of this outing, kind and foot, wherever it lies."""
    if fields.outing_id is None:
        return None
    one(connection, schema.outings, fields.outing_id)
    same = and_(*(_TABLE.c[name] == getattr(fields, name) for name in ("outing_id", "kind", "limb")))
    return connection.execute(select(_TABLE).where(same)).mappings().one_or_none()


def _put(connection: Connection, fields: FlagFields, there: RowMapping | None, deed: Deed) -> RowMapping:
    if there is None:
        return add_row(connection, _TABLE, {**asdict(fields), **_NOT_CLEARED, "created_at": now()}, deed)
    if there["deleted_at"] is None and there["horse_id"] == fields.horse_id:
        return there
    return revive_row(connection, _TABLE, there["id"], {**asdict(fields), **_NOT_CLEARED}, deed)


def _check(fields: FlagFields) -> None:
    if not fields.kind.strip():
        raise WrongSetting("expected what a flag is raised for, found nothing. Say it in words.")
    feet = get_args(get_type_hints(FlagFields)["limb"])
    if fields.limb not in feet:
        raise WrongSetting(
            f"expected the foot of a flag as one of {', '.join(feet[1:])} or none, found {fields.limb!r}."
        )


def _require_clearable(row: RowMapping, values: dict[str, Any]) -> None:
    if not values["cleared_by"]:
        raise WrongSetting(
            "expected the name of who clears the flag, found none. A flag is cleared by a named person."
        )
    if values["cleared_on"] < row["on_date"]:
        raise WrongSetting(
            f"expected a day from {row['on_date']} on, when the flag was raised, found {values['cleared_on']}."
        )
    told = {name: row[name] for name in values}
    if row["cleared_on"] is not None and told != values:
        raise WrongSetting(
            f"this flag was cleared by {row['cleared_by']} on {row['cleared_on']}. Raise a new one, or undo that first."
        )
