"""One horse sent as a zip that another barn takes in: its record as lines, its originals, and a list of both.

The parts are stored as they are. What lies in the bin, what can be made again from the originals, and the list of changes
stay here; of the changes only those of the ladder go along, for they tell when the horse stood on which step.
"""

import json
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Select, Text, cast, select

from evenfall.store import schema, settings
from evenfall.store.editing import plain
from evenfall.store.engine import Barn, now, on_disk
from evenfall.store.migrating import HEAD
from evenfall.store.originals import original_path
from evenfall.store.packing import snapshot
from evenfall.store.rows import one
from evenfall.store.streaming import COPIES, Part, Stream, begun

__all__ = ["FORMAT", "HORSE_LIST", "RECORD", "SINCE", "VERSION", "horse_stream"]

FORMAT, VERSION = "evenfall horse", 1
HORSE_LIST = "horse.json"
RECORD = (
    "horses", "outings", "clips", "readings", "marks", "results", "measures", "setups", "weighings", "flags", "checklists",
    "ladders", "costs", "edits",
)  # fmt: skip
"""Tables that go along, those first that others speak of."""

SINCE = {"costs": "0003"}
"""Tables that an older Evenfall had not, and the step that brought each."""

OF_CLIPS = ("readings", "results", "measures")


def horse_stream(barn: Barn, horse_id: int) -> Stream:
    """Begin to send one horse as it is at this moment.

    Returns
    -------
    Stream
        An original that is not there is left out and listed as missing.

    Raises
    ------
    NotFound
        If there is no such horse, or it lies in the bin.
    DiskFull, StoreError
    """
    goal = settings.get(barn).goal
    with on_disk(barn.home), ExitStack() as undone:
        folder = Path(undone.enter_context(tempfile.TemporaryDirectory(dir=barn.home, prefix=COPIES)))
        with snapshot(barn) as connection:
            one(connection, schema.horses, horse_id)
            record = [_written(connection, folder, name, horse_id) for name in RECORD]
            films = connection.execute(_films(horse_id)).all()
        there = {sha256: original_path(barn.home, sha256, suffix) for sha256, suffix in films}
        told = {
            "format": FORMAT, "version": VERSION, "step": HEAD, "made_at": now().isoformat(), "goal": goal,
            "missing": sorted(sha256 for sha256, path in there.items() if not path.is_file()),
        }  # fmt: skip
        originals = [_part(path, barn.home) for path in there.values() if path.is_file()]
        return begun([*record, *originals], told, undone.pop_all(), listed=HORSE_LIST)


def _part(path: Path, within: Path) -> Part:
    return Part(path.relative_to(within).as_posix(), path, path.stat().st_size)


def _written(connection: Connection, folder: Path, name: str, horse_id: int) -> Part:
    path = folder / "record" / f"{name}.jsonl"
    path.parent.mkdir(exist_ok=True)
    with path.open("wb") as file:
        file.writelines(_lines(connection, _rows(name, horse_id)))
    return _part(path, folder)


def _lines(connection: Connection, asked: Select[Any]) -> Iterator[bytes]:
    for row in connection.execute(asked).mappings():
        yield json.dumps(_plain(row)).encode() + b"\n"


def _plain(row: Mapping[Any, Any]) -> dict[str, Any]:
    return {name: plain(value) for name, value in row.items()}


def _rows(name: str, horse_id: int) -> Select[Any]:
    """A table's rows of one horse that are in sight, in the order of their numbers."""
    table = schema.metadata.tables[name]
    if name == "edits":
        kept = select(cast(schema.ladders.c.id, Text)).where(
            schema.ladders.c.horse_id == horse_id, schema.ladders.c.deleted_at.is_(None)
        )
        wanted = (table.c.table == "ladders") & table.c.row_id.in_(kept) & table.c.undone_at.is_(None)
        return select(table).where(wanted).order_by(table.c.id)
    if name == "marks":
        readings = select(schema.readings.c.id).where(schema.readings.c.clip_id.in_(_clips(horse_id)))
        return select(table).where(table.c.reading_id.in_(readings)).order_by(table.c.id)
    return select(table).where(_of(name, horse_id)).order_by(*table.primary_key.columns)


def _of(name: str, horse_id: int) -> Any:  # noqa: ANN401 - a condition
    table = schema.metadata.tables[name]
    match name:
        case "horses":
            mine = table.c.id == horse_id
        case "clips":
            mine = table.c.outing_id.in_(_outings(horse_id))
        case _ if name in OF_CLIPS:
            mine = table.c.clip_id.in_(_clips(horse_id))
        case _:
            mine = table.c.horse_id == horse_id
    return mine & table.c.deleted_at.is_(None) if "deleted_at" in table.c else mine


def _outings(horse_id: int) -> Select[Any]:
    return select(schema.outings.c.id).where(_of("outings", horse_id))


def _clips(horse_id: int) -> Select[Any]:
    return select(schema.clips.c.id).where(_of("clips", horse_id))


def _films(horse_id: int) -> Select[Any]:
    return (
        select(schema.clips.c.sha256, schema.clips.c.suffix)
        .where(_of("clips", horse_id))
        .distinct()
        .order_by(schema.clips.c.sha256)
    )
