"""The horses of the barn."""

from dataclasses import asdict
from datetime import date
from math import isfinite

from sqlalchemy import func, select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.editing import Deed, add_row, change_row, delete_row
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Horse, HorseFields
from evenfall.store.rows import made, made_all, one

__all__ = ["add", "change", "delete", "every", "get"]

_TABLE = schema.horses


def add(barn: Barn, fields: HorseFields, *, by: str = "") -> Horse:
    """Add a horse.

    Raises
    ------
    WrongSetting
        If it has no name, or a number makes no sense.
    """
    values = {**asdict(_checked(fields)), "created_at": now()}
    with writing(barn) as connection:
        return made(Horse, add_row(connection, _TABLE, values, Deed(by, f"added {fields.name}")), _TABLE)


def get(barn: Barn, horse_id: int) -> Horse:
    """Return a horse.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    with reading(barn) as connection:
        return made(Horse, one(connection, _TABLE, horse_id), _TABLE)


def every(barn: Barn) -> tuple[Horse, ...]:
    """Return every horse that is not in the bin, by name."""
    asked = (
        select(_TABLE).where(_TABLE.c.deleted_at.is_(None)).order_by(func.lower(_TABLE.c.name), _TABLE.c.id)
    )
    with reading(barn) as connection:
        return made_all(Horse, connection.execute(asked).mappings(), _TABLE)


def change(barn: Barn, horse_id: int, fields: HorseFields, *, by: str = "") -> Horse:
    """Change what is said of a horse.

    Raises
    ------
    NotFound, WrongSetting
    """
    values = asdict(_checked(fields))
    with writing(barn) as connection:
        row = change_row(connection, _TABLE, horse_id, values, Deed(by, f"changed {fields.name}"))
        return made(Horse, row, _TABLE)


def delete(barn: Barn, horse_id: int, *, by: str = "") -> None:
    """Put a horse into the bin, and with it out of sight all that is its own.

    Raises
    ------
    NotFound
    """
    with writing(barn) as connection:
        name = one(connection, _TABLE, horse_id, binned=True)["name"]
        delete_row(connection, _TABLE, horse_id, Deed(by, f"put {name} into the bin"))


def _checked(fields: HorseFields) -> HorseFields:
    """What is said of a horse, if it makes sense."""
    if not fields.name.strip():
        raise WrongSetting("expected the horse's name, found none. Give it one.")
    if fields.birth_year is not None and not 1950 <= fields.birth_year <= date.today().year:
        raise WrongSetting(f"expected a year of birth from 1950 to this year, found {fields.birth_year}.")
    if fields.height_m is not None and not 0.5 <= fields.height_m <= 2.2:
        raise WrongSetting(f"expected a height at the withers of 0.5 to 2.2 m, found {fields.height_m:g} m.")
    if fields.mass_kg is not None and not 30 <= fields.mass_kg <= 1200:
        raise WrongSetting(f"expected a horse's mass of 30 to 1200 kg, found {fields.mass_kg:g} kg.")
    if fields.band_pct is not None and not _is_band(fields.band_pct):
        raise WrongSetting(
            f"expected a goal band as two shares of 0 to 50 %, the lower first, found {fields.band_pct}."
        )
    return fields


def _is_band(band: tuple[float, float]) -> bool:
    return len(band) == 2 and all(isfinite(end) for end in band) and 0 <= band[0] < band[1] <= 50
