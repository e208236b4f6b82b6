"""The bin: what was deleted stays here for thirty days, and can be taken out again.

What lies under something deleted is out of sight with it, and comes back with it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Literal, TypeAlias

from sqlalchemy import Connection, RowMapping, Select, Table, and_, or_, select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.clips import ORIGINALS
from evenfall.store.editing import Deed, restore_row
from evenfall.store.engine import Barn, alone, reading, writing
from evenfall.store.originals import remove_film, remove_showing
from evenfall.store.records import BinItem
from evenfall.store.rows import NOUNS, one

__all__ = ["KEPT_DAYS", "empty", "items", "restore"]

KEPT_DAYS = 30
_HORSES, _OUTINGS, _CLIPS, _SHOWINGS = schema.horses, schema.outings, schema.clips, schema.showings


@dataclass(frozen=True)
class _Shelf:
    """A kind of thing in the bin, and what it lies under."""

    table: Table
    under: Literal["horses", "outings", "clips"] | None = None
    link: str = ""
    day: str = ""
    """The column of its day, for what is known by its horse and day."""


Shelf: TypeAlias = Literal[
    "horses", "outings", "clips", "setups", "weighings", "flags", "checklists", "costs", "showings"
]
SHELVES: dict[Shelf, _Shelf] = {
    "horses": _Shelf(_HORSES),
    "outings": _Shelf(_OUTINGS, "horses", "horse_id", "on_date"),
    "clips": _Shelf(_CLIPS, "outings", "outing_id"),
    "setups": _Shelf(schema.setups, "horses", "horse_id", "from_date"),
    "weighings": _Shelf(schema.weighings, "horses", "horse_id", "on_date"),
    "flags": _Shelf(schema.flags, "horses", "horse_id", "on_date"),
    "checklists": _Shelf(schema.checklists, "horses", "horse_id", "on_date"),
    "costs": _Shelf(schema.costs, "horses", "horse_id", "on_date"),
    "showings": _Shelf(_SHOWINGS, "clips", "clip_id"),
}
HOLD_FILMS: tuple[Shelf, ...] = ("horses", "outings", "clips")


def items(barn: Barn) -> tuple[BinItem, ...]:
    """Return what lies in the bin, the last thrown in first."""
    with reading(barn) as connection:
        found = [item for name in SHELVES for item in _items(connection, name)]
    return tuple(sorted(found, key=lambda item: item.deleted_at, reverse=True))


def restore(barn: Barn, table: str, row_id: int, *, by: str = "") -> None:
    """Take something out of the bin, and what it lies under with it.

    Raises
    ------
    NotFound
        If it is not there any more.
    WrongSetting
        If such things do not lie in the bin.
    """
    if table not in SHELVES:
        raise WrongSetting(f"expected one of {', '.join(SHELVES)} to take out of the bin, found {table!r}.")
    with writing(barn) as connection:
        _restore(connection, next(shelf for name, shelf in SHELVES.items() if name == table), row_id, by)


def empty(barn: Barn, *, older_than_days: float = KEPT_DAYS, now: datetime) -> int:
    """Remove for good what has lain in the bin long enough, and the originals that no clip uses any more.

    Parameters
    ----------
    barn : Barn
    older_than_days : float
    now : datetime

    Returns
    -------
    int
        How many things went, not counting what lay under them.
    """
    before = now - timedelta(days=older_than_days)
    with writing(barn) as connection:
        films = connection.execute(_films_going(before)).mappings().all()
        shown = connection.execute(_showings_going(before)).mappings().all()
        gone = sum(_remove(connection, shelf.table, before) for shelf in SHELVES.values())
    for showing in shown:
        remove_showing(barn.home, showing["sha256"], showing["id"])
    for film in films:
        _remove_unused(barn, film["sha256"], film["suffix"])
    return gone


def _items(connection: Connection, name: Shelf) -> Iterator[BinItem]:
    table = SHELVES[name].table
    for row in connection.execute(_named(name).where(table.c.deleted_at.is_not(None))).mappings():
        at = row[table.c.deleted_at]
        goes = at + timedelta(days=KEPT_DAYS)
        yield BinItem(table=name, id=row[table.c.id], name=_name(name, row), deleted_at=at, goes_at=goes)


def _named(name: Shelf) -> Select[tuple[Any, ...]]:
    """Ask for rows, with their horse's or film's name where they have none of their own."""
    table = SHELVES[name].table
    if name == "showings":
        return select(table, _CLIPS.c.name).select_from(table.join(_CLIPS, _CLIPS.c.id == table.c.clip_id))
    if not SHELVES[name].day:
        return select(table)
    return select(table, _HORSES.c.name).select_from(table.join(_HORSES, _HORSES.c.id == table.c.horse_id))


def _name(name: Shelf, row: RowMapping) -> str:
    shelf = SHELVES[name]
    if name == "showings":
        return f"{NOUNS[name]} of {row[_CLIPS.c.name]}"
    if not shelf.day:
        return str(row[shelf.table.c.name])
    noun = "" if name == "outings" else f"{NOUNS[name]} of "
    what = f": {row['kind']}" if name in ("flags", "costs") else ""
    return f"{row[_HORSES.c.name]}, {noun}{row[shelf.day]}{what}"


def _restore(connection: Connection, shelf: _Shelf, row_id: int, by: str) -> None:
    row = one(connection, shelf.table, row_id, binned=True)
    if shelf.under is not None:
        _restore(connection, SHELVES[shelf.under], row[shelf.link], by)
    noun = NOUNS[shelf.table.name]
    name = f"the {noun} of {row[shelf.day]}" if shelf.day else row.get("name") or f"a {noun}"
    restore_row(connection, shelf.table, row_id, Deed(by, f"took {name} out of the bin"))


def _films_going(before: datetime) -> Select[tuple[str, str]]:
    """The films of clips that go, for their own sake or for what they lie under."""
    going = or_(
        *(
            and_(shelf.table.c.deleted_at.is_not(None), shelf.table.c.deleted_at <= before)
            for shelf in (SHELVES[name] for name in HOLD_FILMS)
        )
    )
    joined = _CLIPS.join(_OUTINGS).join(_HORSES)
    return select(_CLIPS.c.sha256, _CLIPS.c.suffix).select_from(joined).where(going).distinct()


def _showings_going(before: datetime) -> Select[tuple[str, int]]:
    joined = _SHOWINGS.join(_CLIPS, _CLIPS.c.id == _SHOWINGS.c.clip_id)
    going = _SHOWINGS.c.deleted_at <= before
    return select(_CLIPS.c.sha256, _SHOWINGS.c.id).select_from(joined).where(going)


def _remove(connection: Connection, table: Table, before: datetime) -> int:
    return connection.execute(table.delete().where(table.c.deleted_at <= before)).rowcount


def _remove_unused(barn: Barn, sha256: str, suffix: str) -> None:
    """Remove a film that no clip uses; while this looks, none can come in."""
    with writing(barn) as connection:
        alone(connection, ORIGINALS)
        if connection.execute(select(_CLIPS.c.id).where(_CLIPS.c.sha256 == sha256).limit(1)).first() is None:
            remove_film(barn.home, sha256, suffix)
