"""Ladders: one for each horse; what it was before stays in the edits."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from evenfall.store import belongings, schema
from evenfall.store.editing import Deed, add_row, revive_row
from evenfall.store.engine import Barn, alone, now, reading, writing
from evenfall.store.records import LadderRecord
from evenfall.store.rows import made, made_all, one

__all__ = ["of_barn", "of_horse", "save"]

_TABLE, _HORSES = schema.ladders, schema.horses
_SHOWN = (
    select(_TABLE)
    .select_from(_TABLE.join(_HORSES))
    .where(_TABLE.c.deleted_at.is_(None), _HORSES.c.deleted_at.is_(None))
)


def of_horse(barn: Barn, horse_id: int) -> LadderRecord | None:
    """Return a horse's ladder; None if it has none."""
    with reading(barn) as connection:
        row = connection.execute(_SHOWN.where(_TABLE.c.horse_id == horse_id)).mappings().one_or_none()
    return None if row is None else made(LadderRecord, row, _TABLE)


def of_barn(barn: Barn) -> dict[int, LadderRecord]:
    """Return every ladder by its horse, in one query."""
    with reading(barn) as connection:
        found = made_all(LadderRecord, connection.execute(_SHOWN).mappings(), _TABLE)
    return {ladder.horse_id: ladder for ladder in found}


def save(barn: Barn, horse_id: int, payload: Mapping[str, Any], *, by: str = "") -> LadderRecord:
    """Keep a horse's ladder in place of the one it had.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    payload : mapping
        The object of `evenfall.plan.ladder.ladder_data`.
    by : str

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If the payload cannot be kept.
    """
    kept = belongings.plain_object(payload, "a ladder")
    with writing(barn) as connection:
        alone(connection, "ladders")
        return made(LadderRecord, _put(connection, horse_id, kept, by), _TABLE)


def _put(connection: Connection, horse_id: int, payload: dict[str, Any], by: str) -> Any:  # noqa: ANN401
    """A ladder whose making was undone is taken up again, for a horse has one."""
    name = one(connection, _HORSES, horse_id)["name"]
    there = connection.execute(select(_TABLE).where(_TABLE.c.horse_id == horse_id)).mappings().one_or_none()
    moment = now()
    if there is None:
        values = {"horse_id": horse_id, "payload": payload, "created_at": moment, "changed_at": moment}
        return add_row(connection, _TABLE, values, Deed(by, f"made {name}'s ladder"))
    if there["deleted_at"] is None and there["payload"] == payload:
        return there
    connection.execute(_TABLE.update().where(_TABLE.c.id == there["id"]).values(changed_at=moment))
    return revive_row(
        connection, _TABLE, there["id"], {"payload": payload}, Deed(by, f"changed {name}'s ladder")
    )
