"""Marks made by people, act by act.

A batch of acts is done whole or not at all, and an act that was done before is not done again, so a phone that lost the
answer sends the same batch once more. Two people's acts never undo each other: what one adds stays, and where both move
one mark, the later act counts.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from sqlalchemy import Connection, RowMapping, select

from evenfall.contacts import Event, Limb
from evenfall.errors import NotFound, StoreError, WrongSetting
from evenfall.store import schema
from evenfall.store.editing import Change, Deed, difference, plain, write_down
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import MarkRow
from evenfall.store.rows import insert_unless_there, made_all, one

__all__ = ["Act", "act", "of", "spoken_of"]

_TABLE = schema.marks
DONE = {"add": "added", "move": "moved", "delete": "deleted", "restore": "restored"}


@dataclass(frozen=True)
class Act:
    """One act on one mark.

    Parameters
    ----------
    op : str
        A name of this act's own, made where it was done.
    act : str
        ``"add"``, ``"move"``, ``"delete"`` or ``"restore"``.
    id : str
        The mark; whoever adds one names it.
    limb, event : str or None
        Needed to add, unless it stands for another mark.
    time_s : float or None
        Seconds on the clip's clock.
    stands_for : str or None
        The machine's mark that this one speaks of.
    rejected : bool
        There is no such landing or lift-off.
    """

    op: str
    act: str
    id: str
    limb: str | None = None
    event: str | None = None
    time_s: float | None = None
    stands_for: str | None = None
    rejected: bool = False


def of(barn: Barn, reading_id: int, *, deleted: bool = False) -> tuple[MarkRow, ...]:
    """Return the marks of a reading in order of time, those deleted among them if asked for."""
    asked = select(_TABLE).where(_TABLE.c.reading_id == reading_id).order_by(_TABLE.c.time_s, _TABLE.c.id)
    if not deleted:
        asked = asked.where(_TABLE.c.deleted_at.is_(None))
    with reading(barn) as connection:
        return made_all(MarkRow, connection.execute(asked).mappings(), _TABLE)


def spoken_of(barn: Barn, reading_id: int) -> tuple[MarkRow, ...]:
    """Return the machine's marks, of whatever reading, that a reading's marks stand for."""
    told = select(_TABLE.c.stands_for).where(_TABLE.c.reading_id == reading_id, _TABLE.c.deleted_at.is_(None))
    machines = select(schema.readings.c.id).where(schema.readings.c.kind == "machine")
    asked = select(_TABLE).where(_TABLE.c.id.in_(told), _TABLE.c.reading_id.in_(machines))
    with reading(barn) as connection:
        return made_all(MarkRow, connection.execute(asked.order_by(_TABLE.c.id)).mappings(), _TABLE)


def act(barn: Barn, reading_id: int, acts: Sequence[Act], *, by: str = "") -> int:
    """Do acts on a person's or a blind reading, all or none; those done before are left out.

    Parameters
    ----------
    barn : Barn
    reading_id : int
    acts : sequence of Act
    by : str
        Device or person, for the list of edits.

    Returns
    -------
    int
        The reading's revision after it; unchanged where nothing was new.

    Raises
    ------
    NotFound
        If there is no such reading, or no such mark in it.
    WrongSetting
        If an act lacks what it needs.
    StoreError
        If the reading is the machine's.
    """
    with writing(barn) as connection:
        row = one(connection, schema.readings, reading_id, held=True)
        if row["kind"] == "machine":
            raise StoreError(
                "expected marks of a person's reading, found a machine's, which is kept as it was made. "
                "Add a mark that stands for the machine's."
            )
        fresh = [each for each in acts if _is_new(connection, reading_id, each)]
        changes = _changes(connection, reading_id, fresh)
        if changes:
            write_down(connection, _TABLE, changes, Deed(by, _words(fresh)))
            _turn_page(connection, reading_id)
        return int(row["revision"]) + bool(changes)


def _is_new(connection: Connection, reading_id: int, one_act: Act) -> bool:
    _check(one_act)
    values = {"op": one_act.op, "mark_id": one_act.id, "reading_id": reading_id, "at": now()}
    return insert_unless_there(connection, schema.acts, values)


def _check(asked: Act) -> None:
    if asked.act not in DONE:
        raise WrongSetting(f"expected an act {', '.join(DONE)}, found {asked.act!r}.")
    if not asked.op or not asked.id:
        raise WrongSetting("expected an act and a mark with names of their own, found one without.")
    if asked.limb is not None and asked.limb not in set(Limb):
        raise WrongSetting(f"expected a foot {', '.join(Limb)}, found {asked.limb!r}.")
    if asked.event is not None and asked.event not in set(Event):
        raise WrongSetting(f"expected 'on' for a landing or 'off' for a lift-off, found {asked.event!r}.")
    if asked.time_s is not None and not isfinite(asked.time_s):
        raise WrongSetting(f"expected a time in seconds, found {asked.time_s}.")


def _changes(connection: Connection, reading_id: int, acts: Sequence[Act]) -> dict[str, Change]:
    """Do the acts one after another; of each mark, what it was before all of them and what it became."""
    changes: dict[str, Change] = {}
    for each in acts:
        before, after = _done(connection, reading_id, each)
        first, last = changes.get(each.id, ({}, {}))
        changes[each.id] = {**before, **first}, {**last, **after}
    return {mark_id: change for mark_id, change in changes.items() if change[0] != change[1]}


def _done(connection: Connection, reading_id: int, asked: Act) -> Change:
    row = connection.execute(select(_TABLE).where(_TABLE.c.id == asked.id)).mappings().one_or_none()
    if row is not None and row["reading_id"] != reading_id:
        raise WrongSetting(
            f"expected a mark of this film's, found {asked.id} of another. Give a new mark its own name."
        )
    if row is None and asked.act == "add":
        return _added(connection, reading_id, asked)
    if row is None:
        raise NotFound(
            f"expected a mark to {asked.act}, found none named {asked.id}. Load the film's marks again."
        )
    values = _becomes(row, asked)
    change = difference(row, values)
    if change[1]:
        put = _TABLE.update().where(_TABLE.c.id == asked.id).values({**values, "changed_at": now()})
        connection.execute(put)
    return change


def _added(connection: Connection, reading_id: int, asked: Act) -> Change:
    at = {name: value for name, value in _given(asked).items() if value is not None}
    values = {**_spoken_of(connection, reading_id, asked.stands_for), **at}
    if missing := [name for name in ("limb", "event", "time_s") if name not in values]:
        raise WrongSetting(
            f"expected a mark with limb, event and time_s, found none for {', '.join(missing)}."
        )
    more = {"id": asked.id, "reading_id": reading_id, "source": "person", "sd_s": 0.0, "confidence": 1.0}
    connection.execute(
        _TABLE.insert().values(
            **more, **values, stands_for=asked.stands_for, rejected=asked.rejected, changed_at=now()
        )
    )
    return {"deleted_at": plain(now())}, {"deleted_at": None}


def _spoken_of(connection: Connection, reading_id: int, mark_id: str | None) -> dict[str, Any]:
    """Foot, event and time of the mark that a new one stands for."""
    if mark_id is None:
        return {}
    clip = select(schema.readings.c.clip_id).where(schema.readings.c.id == reading_id).scalar_subquery()
    asked = (
        select(_TABLE.c.limb, _TABLE.c.event, _TABLE.c.time_s)
        .join(schema.readings)
        .where(_TABLE.c.id == mark_id, schema.readings.c.clip_id == clip)
    )
    row = connection.execute(asked).mappings().one_or_none()
    if row is None:
        raise NotFound(f"expected a mark of this film's to stand for, found none named {mark_id}.")
    return dict(row)


def _becomes(row: RowMapping, asked: Act) -> Mapping[str, Any]:
    """What an act makes of a mark that is there."""
    if asked.act == "delete":
        return {"deleted_at": row["deleted_at"] or now()}
    if asked.act == "restore":
        return {"deleted_at": None}
    given = {name: value for name, value in _given(asked).items() if value is not None}
    spoken_of = {} if asked.stands_for is None else {"stands_for": asked.stands_for}
    return {**given, **spoken_of, "rejected": asked.rejected, "deleted_at": None}


def _given(asked: Act) -> dict[str, Any]:
    return {"limb": asked.limb, "event": asked.event, "time_s": asked.time_s}


def _turn_page(connection: Connection, reading_id: int) -> None:
    table = schema.readings
    connection.execute(table.update().where(table.c.id == reading_id).values(revision=table.c.revision + 1))


def _words(acts: Sequence[Act]) -> str:
    """The acts in plain words: ``added 2 marks, moved 1 mark``."""
    counted = Counter(each.act for each in acts)
    parts = [f"{DONE[name]} {n} mark{'s' if n > 1 else ''}" for name, n in counted.items()]
    return ", ".join(parts)
