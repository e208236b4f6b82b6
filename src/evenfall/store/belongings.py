"""What is written down of a horse by the day: setups, weighings, flags and checklists are kept in one way.

Conventions: oldest first; what lies in the bin, or whose horse does, is left out of lists.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from math import isfinite
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from sqlalchemy import Column, Connection, RowMapping, Select, Table, select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.editing import Deed, add_row, change_row, delete_row
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.rows import NOUNS, made, made_all, one

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = [
    "Kind",
    "add",
    "change",
    "delete",
    "get",
    "of_barn",
    "of_horse",
    "plain_object",
    "require_mass",
    "shown",
]

Record = TypeVar("Record", bound="DataclassInstance")
HEAVIEST_KG = 5.0
"""More than any shoe weighs (our choice): a mass above it was typed in another unit."""


@dataclass(frozen=True)
class Kind(Generic[Record]):
    """One kind of thing that is written down of a horse.

    Parameters
    ----------
    table : sqlalchemy.Table
    record : type
        What a row is made into.
    day : str
        The column of its day.
    """

    table: Table
    record: type[Record]
    day: str = "on_date"

    @property
    def noun(self) -> str:
        """What people call it."""
        return NOUNS[self.table.name]


def add(barn: Barn, kind: Kind[Record], fields: "DataclassInstance", *, by: str) -> Record:
    """Write one down, if there is such a horse."""
    values = {**asdict(fields), "created_at": now()}
    with writing(barn) as connection:
        deed = Deed(by, f"added {named(connection, kind, values)}")
        return made(kind.record, add_row(connection, kind.table, values, deed), kind.table)


def get(barn: Barn, kind: Kind[Record], row_id: int) -> Record:
    """Return one that is not in the bin."""
    with reading(barn) as connection:
        return made(kind.record, one(connection, kind.table, row_id), kind.table)


def of_horse(barn: Barn, kind: Kind[Record], horse_id: int) -> tuple[Record, ...]:
    """Return all of one horse, oldest first."""
    return _asked(barn, kind, shown(kind).where(kind.table.c.horse_id == horse_id))


def of_barn(barn: Barn, kind: Kind[Record]) -> tuple[Record, ...]:
    """Return all of every horse, oldest first, in one query."""
    return _asked(barn, kind, shown(kind))


def change(barn: Barn, kind: Kind[Record], row_id: int, fields: "DataclassInstance", *, by: str) -> Record:
    """Change what is said of one."""
    values = asdict(fields)
    with writing(barn) as connection:
        deed = Deed(by, f"changed {named(connection, kind, values)}")
        return made(kind.record, change_row(connection, kind.table, row_id, values, deed), kind.table)


def delete(barn: Barn, kind: Kind[Record], row_id: int, *, by: str) -> None:
    """Put one into the bin."""
    with writing(barn) as connection:
        row = one(connection, kind.table, row_id, binned=True)
        deed = Deed(by, f"put {named(connection, kind, row, binned=True)} into the bin")
        delete_row(connection, kind.table, row_id, deed)


def named(
    connection: Connection,
    kind: Kind[Record],
    row: Mapping[str, Any] | RowMapping,
    *,
    binned: bool = False,
) -> str:
    """What a person would call one; its horse must be there."""
    horse = one(connection, schema.horses, row["horse_id"], binned=binned)
    return f"{horse['name']}'s {kind.noun} of {row[kind.day]}"


def shown(kind: Kind[Record]) -> Select[tuple[Any, ...]]:
    """Ask for those that are in sight, oldest first."""
    table, horses = kind.table, schema.horses
    day: Column[date] = table.c[kind.day]
    return (
        select(table)
        .select_from(table.join(horses, horses.c.id == table.c.horse_id))
        .where(table.c.deleted_at.is_(None), horses.c.deleted_at.is_(None))
        .order_by(day, table.c.id)
    )


def plain_object(payload: Mapping[str, Any], what: str) -> dict[str, Any]:
    """Return a payload as it will be read back.

    Raises
    ------
    WrongSetting
        If JSON cannot hold it.
    """
    try:
        kept = json.loads(json.dumps(dict(payload), allow_nan=False))
    except (TypeError, ValueError) as error:
        raise WrongSetting(
            f"expected {what} that can be written down as JSON, found otherwise: {error}."
        ) from error
    return dict(kept)


def require_mass(mass_kg: float, what: str) -> None:
    """Refuse a mass that no shoe has.

    Raises
    ------
    WrongSetting
    """
    if not (isfinite(mass_kg) and 0 < mass_kg <= HEAVIEST_KG):
        raise WrongSetting(
            f"expected {what} above 0 and up to {HEAVIEST_KG:g} kg, found {mass_kg:g} kg. Check the unit."
        )


def _asked(barn: Barn, kind: Kind[Record], asked: Select[tuple[Any, ...]]) -> tuple[Record, ...]:
    with reading(barn) as connection:
        return made_all(kind.record, connection.execute(asked).mappings(), kind.table)
