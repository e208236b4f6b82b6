"""Tables with nobody in them: for a study, to be given to people who are not to know whose horse it is.

Names become numbers, keys are numbered anew, notes are left out, days are shifted alike by a number of days that the caller
draws and keeps nowhere. Of what people wrote in their own words, only plain words of the trade are kept.
"""

import re
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from evenfall.report.dataset.columns import Column, Study, table_named

__all__ = ["Tables", "as_study", "longest_span"]

Tables = Mapping[str, Sequence[Mapping[str, Any]]]
"""Rows by the name of their table."""

WORD = re.compile(r"[^\W\d_]+")

PLAIN_WORDS = frozenset(
    WORD.findall(
        """a an and at both by from in of on or the there then to with without than
    sand arena grass turf gravel dirt road asphalt concrete track earth soil stone stones rubber mats snow mud hard soft firm deep
    dry wet indoors outdoors field pasture trail lane level flat uphill downhill up down hill slope slight gentle steep
    left right round circle circles straight back forth way ways reins rein hand clockwise slow medium middle fast walk trot pace
    canter rack flat running fox collected working extended easy quick brisk steady speed normal low raised high free loose long
    short natural set plain light heavy stout steel aluminium toe heel heels plate pad pads boot boots wedge wedges bar caulk
    caulks clip clips nail nails leather plastic quarter rolled rocker square level balanced trimmed lowered shortened none bare
    bit snaffle mullen curb shank shanks port jointed bitless hackamore bosal bridle noseband cavesson halter headstall
    tölt paso llano fino marcha picada batida missouri tennessee icelandic trotter peruvian horse mangalarga marchador walking
    rocky mountain kentucky saddle saddler racking spotted standardbred western english treeless endurance
    heat swelling leg tender foot shifted shoe sore girth uneven steps unlike itself resisting mouth unwilling go forward"""
    )
)
"""Words that name nobody (our choice); whoever writes others is given a number instead."""


def longest_span(tables: Tables) -> int:
    """Return the days from the first day in the tables to the last; a shift by more makes no day into another's."""
    days = [
        row[column.name]
        for name, rows in tables.items()
        for column in table_named(name).columns
        if column.study is Study.SHIFTED
        for row in rows
        if row.get(column.name)
    ]
    return (max(days) - min(days)).days if days else 0


def as_study(tables: Tables, *, shift_days: int) -> dict[str, list[dict[str, Any]]]:
    """Return the tables with nobody in them.

    Parameters
    ----------
    tables : mapping of str to sequence of mapping
        By the names of the dictionary.
    shift_days : int
        By how many days every day is moved.
    """
    hiding = _Hiding(timedelta(days=shift_days), PLAIN_WORDS - _words_of_names(tables))
    return {
        name: [hiding.row(table_named(name).columns, row) for row in rows] for name, rows in tables.items()
    }


class _Hiding:
    """Gives numbers in the order in which things are first met, each kind counted by itself."""

    def __init__(self, shift: timedelta, plain: frozenset[str]) -> None:
        self._shift = shift
        self._plain = plain
        self._met: dict[str, dict[object, int]] = {}

    def row(self, columns: Sequence[Column], row: Mapping[str, Any]) -> dict[str, Any]:
        """Hide one row."""
        return {column.name: self._hidden(column, row.get(column.name)) for column in columns}

    def _hidden(self, column: Column, value: Any) -> Any:  # noqa: ANN401 - a cell
        if value is None or value == "" or column.study is Study.OUT:
            return None
        match column.study:
            case Study.SHIFTED:
                return _moved(value, self._shift)
            case Study.ANEW:
                return self._number(column.of, value)
            case Study.NUMBERED:
                return f"{column.name} {self._number(f'{column.name} said', value)}"
            case Study.PLAIN if not _is_plain(value, self._plain):
                return f"{column.name} {self._number(f'{column.name} said', value)}"
        return value

    def _number(self, kind: str, value: object) -> int:
        met = self._met.setdefault(kind, {})
        return met.setdefault(value, len(met) + 1)


def _moved(day: date, shift: timedelta) -> date:
    return day + shift


def _words_of_names(tables: Tables) -> frozenset[str]:
    """A horse may be called Rocky, a rider Lane."""
    names = (
        str(row.get(column.name) or "")
        for name, rows in tables.items()
        for column in table_named(name).columns
        if column.study is Study.NUMBERED
        for row in rows
    )
    return frozenset(word.lower() for name in names for word in WORD.findall(name))


def _is_plain(words: str, plain: frozenset[str]) -> bool:
    """Whether every word names nobody; figures may be a day or a number of somebody's, and are not plain."""
    return not re.search(r"\d", words) and all(word.lower() in plain for word in WORD.findall(words))
