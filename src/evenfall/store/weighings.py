"""Weighings: a shoe on the scale, new, worn or pulled, with all that is fixed to it."""

from typing import get_args, get_type_hints

from evenfall.errors import WrongSetting
from evenfall.store import belongings, schema
from evenfall.store.engine import Barn
from evenfall.store.records import WeighingFields, WeighingRecord

__all__ = ["add", "change", "delete", "get", "of_barn", "of_horse"]

_KIND = belongings.Kind(schema.weighings, WeighingRecord)


def add(barn: Barn, fields: WeighingFields, *, by: str = "") -> WeighingRecord:
    """Write a weighing down.

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If the foot or the state is none, or no shoe weighs so much.
    """
    return belongings.add(barn, _KIND, _checked(fields), by=by)


def get(barn: Barn, weighing_id: int) -> WeighingRecord:
    """Return a weighing.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    return belongings.get(barn, _KIND, weighing_id)


def of_horse(barn: Barn, horse_id: int) -> tuple[WeighingRecord, ...]:
    """Return a horse's weighings, oldest first."""
    return belongings.of_horse(barn, _KIND, horse_id)


def of_barn(barn: Barn) -> tuple[WeighingRecord, ...]:
    """Return the weighings of every horse, oldest first, in one query."""
    return belongings.of_barn(barn, _KIND)


def change(barn: Barn, weighing_id: int, fields: WeighingFields, *, by: str = "") -> WeighingRecord:
    """Change what is said of a weighing.

    Raises
    ------
    NotFound, WrongSetting
    """
    return belongings.change(barn, _KIND, weighing_id, _checked(fields), by=by)


def delete(barn: Barn, weighing_id: int, *, by: str = "") -> None:
    """Put a weighing into the bin.

    Raises
    ------
    NotFound
    """
    belongings.delete(barn, _KIND, weighing_id, by=by)


def _checked(fields: WeighingFields) -> WeighingFields:
    hints = get_type_hints(WeighingFields)
    for name, value in (("limb", fields.limb), ("state", fields.state)):
        choices = get_args(hints[name])
        if value not in choices:
            raise WrongSetting(
                f"expected the {name} of a weighing as one of {', '.join(choices)}, found {value!r}."
            )
    belongings.require_mass(fields.mass_kg, "the mass of a shoe")
    return fields
