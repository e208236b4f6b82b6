"""The rows of one horse put in under numbers of this barn's own, each speaking of the others as before."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection

from evenfall.store import figures, schema
from evenfall.store.editing import Deed, plain, write_down
from evenfall.store.engine import now
from evenfall.store.looking_in import HorseZip, Row, refused
from evenfall.store.records import Horse
from evenfall.store.rows import key_of, made, one

__all__ = ["put_rows"]

BATCH = 500

LINKS = {
    "outings": {"horse_id": "horses"}, "clips": {"outing_id": "outings"}, "readings": {"clip_id": "clips"},
    "marks": {"reading_id": "readings"}, "results": {"clip_id": "clips"}, "measures": {"clip_id": "clips"},
    "setups": {"horse_id": "horses"}, "weighings": {"horse_id": "horses"}, "checklists": {"horse_id": "horses"},
    "flags": {"horse_id": "horses"}, "ladders": {"horse_id": "horses"}, "costs": {"horse_id": "horses"},
}  # fmt: skip
"""Which column of a table speaks of which other."""


def put_rows(connection: Connection, found: HorseZip, by: str, goal: str) -> Horse:
    """Put all rows in and return the horse; where it has no goal, it keeps the one its barn asked for.

    Parameters
    ----------
    connection : sqlalchemy.Connection
    found : HorseZip
    by : str
        For the list of changes.
    goal : str
        What this barn asks for.

    Raises
    ------
    StoreError
        If a row belongs to nothing.
    """
    return _Rows(connection, found, by).put(goal)


@dataclass
class _Rows:
    """Puts rows in under numbers of this barn's own."""

    connection: Connection
    found: HorseZip
    by: str
    _ids: dict[str, dict[Any, Any]] = field(default_factory=dict)

    def put(self, goal: str) -> Horse:
        """Put all rows in and return the horse; where it has no goal, it keeps the one its barn asked for."""
        asked = self.found.told["goal"]
        horse = dict(self.found.horse)
        if not horse.get("goal") and (asked or "even") != (goal or "even"):
            horse["goal"] = asked or "even"
        self._numbered("horses", [horse])
        for name in ("outings", "clips", "readings"):
            self._numbered(name, self.found.rows[name])
        self._marks()
        self._results()
        for name in ("measures", "setups", "weighings", "flags", "checklists", "ladders", "costs"):
            self._numbered(name, self.found.rows[name])
        self._edits()
        new = next(iter(self._ids["horses"].values()))
        gone = ({"deleted_at": plain(now())}, {"deleted_at": None})
        deed = Deed(self.by, f"took {horse['name']} in from another barn")
        write_down(self.connection, schema.horses, {str(new): gone}, deed)
        return made(Horse, one(self.connection, schema.horses, new), schema.horses)

    def _numbered(self, name: str, rows: list[Row]) -> None:
        table = schema.metadata.tables[name]
        ids: dict[Any, Any] = self._ids.setdefault(name, {})
        for row in rows:
            values = {column: value for column, value in self._linked(name, row).items() if column != "id"}
            put = table.insert().values(**values).returning(key_of(table))
            ids[row["id"]] = self.connection.execute(put).scalar_one()
        if len(ids) != len(rows):
            raise refused(f"a number that two rows of {name} share")

    def _linked(self, name: str, row: Row) -> Row:
        """The row, speaking of this barn's numbers."""
        linked = (
            {column: self._new(of, row[column], name) for column, of in LINKS[name].items()}
            if name in LINKS
            else {}
        )
        if name == "flags":  # raised by a check that lies in the bin, it stands without it
            linked["outing_id"] = self._ids["outings"].get(row.get("outing_id"))
        if name == "ladders":
            linked["payload"] = {**row["payload"], "horse_id": linked["horse_id"]}
        return {**row, **linked}

    def _new(self, of: str, old: object, where: str) -> Any:  # noqa: ANN401 - a key
        if old not in self._ids[of]:
            raise refused(f"a row of {where} that belongs to nothing in {of}")
        return self._ids[of][old]

    def _marks(self) -> None:
        """Marks keep the order of their names, by which those of one moment are told apart."""
        table, batch = schema.marks, uuid4().hex
        rows = sorted(self.found.rows["marks"], key=lambda row: str(row["id"]))
        ids = {row["id"]: f"{batch}-{number:09d}" for number, row in enumerate(rows)}
        if len(ids) != len(rows):
            raise refused("a name that two marks share")
        values = [
            {
                **self._linked("marks", row),
                "id": ids[row["id"]],
                "stands_for": row["stands_for"] and ids.get(row["stands_for"], f"{batch}-gone"),
            }
            for row in ({"stands_for": None, **row} for row in rows)
        ]
        for start in range(0, len(values), BATCH):
            self.connection.execute(table.insert(), values[start : start + BATCH])

    def _results(self) -> None:
        for row in self.found.rows["results"]:
            linked = self._linked("results", row)
            self.connection.execute(schema.results.insert().values(**linked))
            figures.keep(self.connection, linked["clip_id"], linked["data"])

    def _edits(self) -> None:
        """What the ladder was before, so that the steps it stood on are still told."""
        for row in self.found.rows["edits"]:
            if row["table"] != "ladders":
                raise refused(f"a change of {row['table'][:40]}")
            values = {name: value for name, value in row.items() if name not in ("id", "undone_at")}
            sides = {side: self._of_ladder(row[side]) for side in ("before", "after")}
            before, after = sides.values()
            if {key: set(told) for key, told in before.items()} != {
                key: set(told) for key, told in after.items()
            }:
                raise refused("a change of a ladder whose two sides do not speak of the same")
            new = self._new("ladders", int(row["row_id"]) if row["row_id"].isdigit() else None, "edits")
            self.connection.execute(schema.edits.insert().values(**{**values, **sides, "row_id": str(new)}))

    def _of_ladder(self, side: Mapping[str, Any]) -> dict[str, Any]:
        horse = next(iter(self._ids["horses"].values()))
        told: dict[str, Any] = {}
        for key, columns in side.items():
            new = self._new("ladders", int(key) if key.isdigit() else None, "edits")
            if not isinstance(columns, dict):
                raise refused("a change of a ladder that says nothing")
            kept = (
                {"deleted_at": columns["deleted_at"] and now().isoformat()} if "deleted_at" in columns else {}
            )
            if isinstance(payload := columns.get("payload"), dict):
                kept["payload"] = {**payload, "horse_id": horse}
            told[str(new)] = kept
        return told
