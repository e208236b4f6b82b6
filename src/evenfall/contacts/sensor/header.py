"""The header of a sensor file: which column is what, and in which unit.

Conventions: a column's unit is part of its name, ``ax_g`` or ``ax [g]``. A column without one is
refused: a guessed unit is wrong by a factor of ten or of sixty.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import NoReturn

from evenfall.contacts.sensor.model import GRAVITY_MS2
from evenfall.errors import SensorError

__all__ = ["Column", "Columns", "Triple", "read_header"]

UNIT_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "s": "s",
        "ms": "ms",
        "g": "g",
        "m/s2": "ms2",
        "m/s^2": "ms2",
        "m/s²": "ms2",
        "ms2": "ms2",
        "dps": "dps",
        "deg/s": "dps",
        "°/s": "dps",
        "rads": "rads",
        "rad/s": "rads",
    }
)
"""Units as people write them in brackets, and as a name carries them."""


@dataclass(frozen=True)
class Kind:
    """One thing a sensor measures: how its columns are called, and what turns each unit into ours."""

    what: str
    stems: tuple[str, ...]
    units: Mapping[str, float]

    def spelled(self, stem: str) -> str:
        """Return the names a column may have: ``ax_g or ax_ms2``."""
        return " or ".join(f"{stem}_{unit}" for unit in self.units)


TIME = Kind("time", ("time",), MappingProxyType({"s": 1.0, "ms": 1e-3}))
ACCELERATION = Kind("acceleration", ("ax", "ay", "az"), MappingProxyType({"g": GRAVITY_MS2, "ms2": 1.0}))
RATE = Kind("rate of turn", ("gx", "gy", "gz"), MappingProxyType({"dps": math.pi / 180, "rads": 1.0}))


@dataclass(frozen=True)
class Column:
    """A column by its place, with its unit and what turns it into seconds, m/s² or rad/s."""

    place: int
    unit: str
    scale: float


Triple = tuple[Column, Column, Column]


@dataclass(frozen=True)
class Columns:
    """Where a sensor file keeps what."""

    time: Column
    acceleration: Triple | None
    rate: Triple | None
    limb: int | None
    site: int | None


def read_header(cells: Sequence[str], line: int) -> Columns:
    """Find the columns.

    Raises
    ------
    SensorError
        If one is missing, stands twice, or carries no unit.
    """
    names = [_plain(cell) for cell in cells]
    if len(names) < 4:  # a time and three axes are the least; nothing else could be told rightly
        _none(names, "a time and three axes at least are needed", line)
    (time,) = _columns(names, TIME, line) or _none(
        names, f"the column {TIME.spelled('time')} is missing", line
    )
    triples = [_columns(names, kind, line) for kind in (ACCELERATION, RATE)]
    if not any(triples):
        _none(
            names,
            "neither acceleration (ax_g or ax_ms2, ay, az) nor rate of turn (gx_dps or gx_rads, gy, gz)",
            line,
        )
    acceleration, rate = ((t[0], t[1], t[2]) if t else None for t in triples)
    return Columns(time, acceleration, rate, _place(names, "limb", line), _place(names, "site", line))


def _plain(cell: str) -> str:
    """Return a column's name as ``ax_g``, however it was written."""
    bracketed = re.fullmatch(r"(\w+)\s*\[(.+)\]", cell.strip().lower())
    if not bracketed:
        return cell.strip().lower()
    stem, unit = bracketed.groups()
    return f"{stem}_{UNIT_WORDS.get(unit.strip(), unit.strip())}"


def _columns(names: Sequence[str], kind: Kind, line: int) -> list[Column]:
    """Return the columns of one kind, none if it was not measured at all."""
    found = [_column(names, kind, stem, line) for stem in kind.stems]
    there = [column for column in found if column]
    if there and len(there) < len(found):
        stem = kind.stems[found.index(None)]
        raise SensorError(
            f"the column {kind.spelled(stem)} is missing: {kind.what} needs all three axes.", line=line
        )
    if len({column.unit for column in there}) > 1:
        raise SensorError(
            f"the three axes of {kind.what} are in different units; write them in one.", line=line
        )
    return there


def _column(names: Sequence[str], kind: Kind, stem: str, line: int) -> Column | None:
    found = [
        Column(place, unit, scale)
        for place, name in enumerate(names)
        for unit, scale in kind.units.items()
        if name == f"{stem}_{unit}"
    ]
    if len(found) > 1:
        raise SensorError(f"{kind.what} {stem!r} stands twice; delete one column.", line=line)
    odd = [name for name in names if name == stem or name.startswith(f"{stem}_")]
    if odd and not found:
        fault = "carries no unit" if odd[0] == stem else "carries a unit that is not known here"
        raise SensorError(f"the column {odd[0]!r} {fault}: name it {kind.spelled(stem)}.", line=line)
    return found[0] if found else None


def _place(names: Sequence[str], name: str, line: int) -> int | None:
    if names.count(name) > 1:
        raise SensorError(f"the column {name!r} stands twice; delete one.", line=line)
    return names.index(name) if name in names else None


def _none(names: Sequence[str], what: str, line: int) -> NoReturn:
    hint = (
        " The columns seem to be parted by ; or tabs; save with commas." if _parted_otherwise(names) else ""
    )
    raise SensorError(f"{what}: found {', '.join(names)}.{hint}", line=line)


def _parted_otherwise(names: Sequence[str]) -> bool:
    return any(mark in name for name in names for mark in ";\t")
