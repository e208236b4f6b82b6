"""Measures: clicks on one picture of a clip, for the head line or a hoof's height. Pixels of the upright original."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import schema
from evenfall.store.editing import Deed, add_row, delete_row
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Measure
from evenfall.store.rows import made, made_all, one

__all__ = ["add", "delete", "of_clip"]

_TABLE = schema.measures


def add(barn: Barn, clip_id: int, kind: str, points: Mapping[str, Any], by: str = "") -> Measure:
    """Keep the clicks on one picture; ``kind`` is ``"head"`` or ``"hoof"``.

    Raises
    ------
    NotFound, WrongSetting
    """
    if kind not in ("head", "hoof"):
        raise WrongSetting(f"expected a measure 'head' or 'hoof', found {kind!r}.")
    values = {"clip_id": clip_id, "kind": kind, "points": dict(points), "by": by, "made_at": now()}
    with writing(barn) as connection:
        one(connection, schema.clips, clip_id)
        return made(Measure, add_row(connection, _TABLE, values, Deed(by, f"measured a {kind}")), _TABLE)


def of_clip(barn: Barn, clip_id: int) -> tuple[Measure, ...]:
    """Return a clip's measures in the order they were made."""
    asked = (
        select(_TABLE).where(_TABLE.c.clip_id == clip_id, _TABLE.c.deleted_at.is_(None)).order_by(_TABLE.c.id)
    )
    with reading(barn) as connection:
        return made_all(Measure, connection.execute(asked).mappings(), _TABLE)


def delete(barn: Barn, clip_id: int, measure_id: int, *, by: str = "") -> None:
    """Take a measure of a clip away; `evenfall.store.edits.undo` brings it back.

    Raises
    ------
    NotFound
        If there is no such measure, or it is another clip's.
    """
    with writing(barn) as connection:
        if one(connection, _TABLE, measure_id, binned=True)["clip_id"] != clip_id:
            raise NotFound(
                f"expected a measure of the film {clip_id}, found the measure {measure_id} on another. "
                "Load the film's measures again."
            )
        delete_row(connection, _TABLE, measure_id, Deed(by, "took a measure away"))
