"""Setups: what a horse wears from a day on, until the next one begins."""

from dataclasses import replace
from datetime import date

from evenfall.store import belongings, schema
from evenfall.store.engine import Barn, reading
from evenfall.store.records import SetupFields, SetupRecord
from evenfall.store.rows import made

__all__ = ["add", "change", "delete", "get", "of_barn", "of_horse", "worn_on"]

_KIND = belongings.Kind(schema.setups, SetupRecord, "from_date")


def add(barn: Barn, fields: SetupFields, *, by: str = "") -> SetupRecord:
    """Write down what a horse wears from a day on.

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If the payload cannot be kept.
    """
    return belongings.add(barn, _KIND, _checked(fields), by=by)


def get(barn: Barn, setup_id: int) -> SetupRecord:
    """Return a setup.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    return belongings.get(barn, _KIND, setup_id)


def of_horse(barn: Barn, horse_id: int) -> tuple[SetupRecord, ...]:
    """Return a horse's setups, oldest first."""
    return belongings.of_horse(barn, _KIND, horse_id)


def of_barn(barn: Barn) -> tuple[SetupRecord, ...]:
    """Return the setups of every horse, oldest first, in one query."""
    return belongings.of_barn(barn, _KIND)


def worn_on(barn: Barn, horse_id: int, day: date) -> SetupRecord | None:
    """Return what a horse wore on a day: the last setup that began by then; None if none had."""
    table = _KIND.table
    begun = belongings.shown(_KIND).where(table.c.horse_id == horse_id, table.c.from_date <= day)
    newest = begun.order_by(None).order_by(table.c.from_date.desc(), table.c.id.desc()).limit(1)
    with reading(barn) as connection:
        row = connection.execute(newest).mappings().one_or_none()
    return None if row is None else made(SetupRecord, row, table)


def change(barn: Barn, setup_id: int, fields: SetupFields, *, by: str = "") -> SetupRecord:
    """Change what is said of a setup.

    Raises
    ------
    NotFound, WrongSetting
    """
    return belongings.change(barn, _KIND, setup_id, _checked(fields), by=by)


def delete(barn: Barn, setup_id: int, *, by: str = "") -> None:
    """Put a setup into the bin.

    Raises
    ------
    NotFound
    """
    belongings.delete(barn, _KIND, setup_id, by=by)


def _checked(fields: SetupFields) -> SetupFields:
    return replace(fields, payload=belongings.plain_object(fields.payload, "a setup"))
