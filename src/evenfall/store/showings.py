"""Films to show: how each is made of one film, or of two side by side. The files themselves can be made again."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import ColumnElement, or_, select

from evenfall.store import schema
from evenfall.store.belongings import plain_object
from evenfall.store.editing import Deed, add_row, delete_row
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records_out import Showing
from evenfall.store.rows import made, made_all, one

__all__ = ["add", "delete", "get", "of_clip", "of_horse"]

_TABLE, _CLIPS, _OUTINGS, _HORSES = schema.showings, schema.clips, schema.outings, schema.horses


def add(
    barn: Barn, clip_id: int, other_id: int | None, settings: Mapping[str, Any], *, by: str = ""
) -> Showing:
    """Write down a film to show.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    other_id : int or None
        The film beside it.
    settings : mapping
    by : str

    Raises
    ------
    NotFound, WrongSetting
    """
    kept = {"clip_id": clip_id, "other_id": other_id, "settings": plain_object(settings, "settings")}
    with writing(barn) as connection:
        names = [one(connection, _CLIPS, each)["name"] for each in (clip_id, other_id) if each is not None]
        deed = Deed(by, f"added a film to show of {' beside '.join(names)}")
        return made(Showing, add_row(connection, _TABLE, {**kept, "created_at": now()}, deed), _TABLE)


def get(barn: Barn, showing_id: int) -> Showing:
    """Return a film to show.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    with reading(barn) as connection:
        return made(Showing, one(connection, _TABLE, showing_id), _TABLE)


def of_clip(barn: Barn, clip_id: int) -> tuple[Showing, ...]:
    """Return the films to show that are made of a film, alone or beside another, the last first."""
    return _asked(barn, or_(_TABLE.c.clip_id == clip_id, _TABLE.c.other_id == clip_id))


def of_horse(barn: Barn, horse_id: int) -> tuple[Showing, ...]:
    """Return the films to show of a horse's films, the last first; by the first film of two."""
    return _asked(barn, _OUTINGS.c.horse_id == horse_id)


def delete(barn: Barn, showing_id: int, *, by: str = "") -> None:
    """Put a film to show into the bin.

    Raises
    ------
    NotFound
    """
    with writing(barn) as connection:
        row = one(connection, _TABLE, showing_id, binned=True)
        name = one(connection, _CLIPS, row["clip_id"], binned=True)["name"]
        delete_row(connection, _TABLE, showing_id, Deed(by, f"put a film to show of {name} into the bin"))


def _asked(barn: Barn, where: ColumnElement[bool]) -> tuple[Showing, ...]:
    shown = _TABLE.join(_CLIPS, _CLIPS.c.id == _TABLE.c.clip_id).join(_OUTINGS).join(_HORSES)
    seen = [each.c.deleted_at.is_(None) for each in (_TABLE, _CLIPS, _OUTINGS, _HORSES)]
    asked = select(_TABLE).select_from(shown).where(where, *seen).order_by(_TABLE.c.id.desc())
    with reading(barn) as connection:
        return made_all(Showing, connection.execute(asked).mappings(), _TABLE)
