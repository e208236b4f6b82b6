"""Outings: one ride or led pass of a horse, the frame that films hang in."""

from dataclasses import asdict

from sqlalchemy import Select, select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.editing import Deed, add_row, change_row, delete_row
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Outing, OutingFields
from evenfall.store.rows import made, made_all, one

__all__ = ["add", "change", "delete", "every", "get", "of_horse"]

_TABLE, _HORSES = schema.outings, schema.horses


def add(barn: Barn, fields: OutingFields, *, by: str = "") -> Outing:
    """Add an outing of a horse.

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If a number makes no sense.
    """
    values = {**asdict(_checked(fields)), "created_at": now()}
    with writing(barn) as connection:
        horse = one(connection, _HORSES, fields.horse_id)
        deed = Deed(by, f"added {horse['name']}'s outing of {fields.on_date}")
        return made(Outing, add_row(connection, _TABLE, values, deed), _TABLE)


def get(barn: Barn, outing_id: int) -> Outing:
    """Return an outing.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    with reading(barn) as connection:
        return made(Outing, one(connection, _TABLE, outing_id), _TABLE)


def every(barn: Barn) -> tuple[Outing, ...]:
    """Return every outing that is not in the bin, newest first."""
    return _asked(barn, _shown())


def of_horse(barn: Barn, horse_id: int) -> tuple[Outing, ...]:
    """Return a horse's outings, newest first."""
    return _asked(barn, _shown().where(_TABLE.c.horse_id == horse_id))


def change(barn: Barn, outing_id: int, fields: OutingFields, *, by: str = "") -> Outing:
    """Change what is said of an outing.

    Raises
    ------
    NotFound, WrongSetting
    """
    values = asdict(_checked(fields))
    with writing(barn) as connection:
        horse = one(connection, _HORSES, fields.horse_id)
        deed = Deed(by, f"changed {horse['name']}'s outing of {fields.on_date}")
        return made(Outing, change_row(connection, _TABLE, outing_id, values, deed), _TABLE)


def delete(barn: Barn, outing_id: int, *, by: str = "") -> None:
    """Put an outing into the bin, and with it out of sight its films.

    Raises
    ------
    NotFound
    """
    with writing(barn) as connection:
        row = one(connection, _TABLE, outing_id, binned=True)
        name = one(connection, _HORSES, row["horse_id"], binned=True)["name"]
        deed = Deed(by, f"put {name}'s outing of {row['on_date']} into the bin")
        delete_row(connection, _TABLE, outing_id, deed)


def _checked(fields: OutingFields) -> OutingFields:
    """What is said of an outing, if it makes sense."""
    if fields.head_deg is not None and not -90 <= fields.head_deg <= 90:
        raise WrongSetting(
            f"expected a head line from -90 to 90° below the level, found {fields.head_deg:g}°. 90° hangs straight down."
        )
    if fields.rider_tack_kg is not None and not 0 <= fields.rider_tack_kg <= 300:
        raise WrongSetting(f"expected rider and tack of 0 to 300 kg, found {fields.rider_tack_kg:g} kg.")
    return fields


def _shown() -> Select[tuple[object, ...]]:
    return (
        select(_TABLE)
        .select_from(_TABLE.join(_HORSES))
        .where(_TABLE.c.deleted_at.is_(None), _HORSES.c.deleted_at.is_(None))
        .order_by(_TABLE.c.on_date.desc(), _TABLE.c.id.desc())
    )


def _asked(barn: Barn, asked: Select[tuple[object, ...]]) -> tuple[Outing, ...]:
    with reading(barn) as connection:
        return made_all(Outing, connection.execute(asked).mappings(), _TABLE)
