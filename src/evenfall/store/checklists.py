"""Checklists: the signs a person saw in one ridden horse on one day."""

from dataclasses import replace

from evenfall.errors import WrongSetting
from evenfall.store import belongings, schema
from evenfall.store.engine import Barn
from evenfall.store.records import ChecklistFields, ChecklistRecord

__all__ = ["add", "change", "delete", "get", "of_barn", "of_horse"]

_KIND = belongings.Kind(schema.checklists, ChecklistRecord)


def add(barn: Barn, fields: ChecklistFields, *, by: str = "") -> ChecklistRecord:
    """Write a checklist down; one with no signs says that it was gone through and none was seen.

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If a sign is empty.
    """
    return belongings.add(barn, _KIND, _checked(fields), by=by)


def get(barn: Barn, checklist_id: int) -> ChecklistRecord:
    """Return a checklist.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    return belongings.get(barn, _KIND, checklist_id)


def of_horse(barn: Barn, horse_id: int) -> tuple[ChecklistRecord, ...]:
    """Return a horse's checklists, oldest first."""
    return belongings.of_horse(barn, _KIND, horse_id)


def of_barn(barn: Barn) -> tuple[ChecklistRecord, ...]:
    """Return the checklists of every horse, oldest first, in one query."""
    return belongings.of_barn(barn, _KIND)


def change(barn: Barn, checklist_id: int, fields: ChecklistFields, *, by: str = "") -> ChecklistRecord:
    """Change what is said in a checklist.

    Raises
    ------
    NotFound, WrongSetting
    """
    return belongings.change(barn, _KIND, checklist_id, _checked(fields), by=by)


def delete(barn: Barn, checklist_id: int, *, by: str = "") -> None:
    """Put a checklist into the bin.

    Raises
    ------
    NotFound
    """
    belongings.delete(barn, _KIND, checklist_id, by=by)


def _checked(fields: ChecklistFields) -> ChecklistFields:
    """Each sign once, in the order seen."""
    if not all(sign.strip() for sign in fields.signs):
        raise WrongSetting("expected every sign of a checklist in words, found an empty one. Leave it out.")
    return replace(fields, signs=tuple(dict.fromkeys(fields.signs)))
