"""Films counted one by one into what a study comes to, by group; of each film a few numbers are held, never its rows.

Films of one horse are not independent: they share the horse. Where the groups file names horses, the mean of each horse's
films in a group is one value, and films without a horse stand aside. Where it names none, each film is one value, and the
summary says what that means.
"""

import re
from array import array
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from evenfall.report.study.measures import MEASURES, StudyMeasure, value_of
from evenfall.report.study.spread import Spread, spread_of
from evenfall.timebase import FloatArray

__all__ = [
    "EVERY",
    "Collector",
    "Failure",
    "GroupCount",
    "GroupSpread",
    "MeasureSummary",
    "Reason",
    "Summary",
]

EVERY = "all groups"
LISTED = 200
"""How many failures and copies the summary names; the tables hold them all."""

MOST_REASONS = 500
FIGURES = re.compile(r"\d+(?:[.,]\d+)*")

Row = Mapping[str, Any]


@dataclass(frozen=True)
class GroupCount:
    """What there is of one group; ``name`` is empty for films that were given none."""

    name: str
    films: int
    read: int
    refused: int
    failed: int
    copies: int
    strides: int
    horses: int


@dataclass(frozen=True)
class GroupSpread:
    """One measure in one group.

    Parameters
    ----------
    group : str
    values : ndarray, shape (n,)
        One for each horse, or for each film.
    films : int
        Films behind them.
    spread : Spread or None
        None where it was measured in no film.
    """

    group: str
    values: FloatArray
    films: int
    spread: Spread | None


@dataclass(frozen=True)
class MeasureSummary:
    """One measure in every group, and in all of them."""

    measure: StudyMeasure
    groups: tuple[GroupSpread, ...]


@dataclass(frozen=True)
class Reason:
    """Why there is no answer, figures left out of the words.

    Parameters
    ----------
    code, words : str
    films : mapping of str to int
        How many films of each group.
    other : int
        How many places that are no film.
    """

    code: str
    words: str
    films: Mapping[str, int]
    other: int = 0

    @property
    def total(self) -> int:
        """All of them."""
        return sum(self.films.values()) + self.other


@dataclass(frozen=True)
class Failure:
    """One of those."""

    film: str
    group: str
    code: str
    reason: str


@dataclass(frozen=True)
class Summary:
    """What a study comes to.

    Parameters
    ----------
    unit : {"horse", "film"}
        What counts as one value.
    groups : tuple of GroupCount
        By name, films without a group last.
    measures : tuple of MeasureSummary
    reasons : tuple of Reason
        The most frequent first.
    failures : tuple of Failure
        The first of them.
    copies : tuple of (str, str)
        The first films with the same bytes as an earlier one, and that one.
    horseless : int
        Films with an answer that stand aside, since horses are named and theirs is not.
    shared_horses : int
        Horses in more than one group.
    """

    unit: Literal["horse", "film"]
    groups: tuple[GroupCount, ...]
    measures: tuple[MeasureSummary, ...]
    reasons: tuple[Reason, ...]
    failures: tuple[Failure, ...]
    copies: tuple[tuple[str, str], ...]
    horseless: int
    shared_horses: int

    @property
    def films(self) -> int:
        """Films in the folder."""
        return sum(group.films for group in self.groups)

    @property
    def read(self) -> int:
        """Films with an answer, copies among them."""
        return sum(group.read for group in self.groups)


@dataclass
class _Group:
    count: Counter[str] = field(default_factory=Counter)
    films: dict[str, "array[float]"] = field(default_factory=lambda: defaultdict(lambda: array("d")))
    horses: dict[str, dict[str, list[float]]] = field(default_factory=lambda: defaultdict(dict))
    names: set[str] = field(default_factory=set)


class Collector:
    """Counts films as they go by."""

    def __init__(self) -> None:
        self._groups: dict[str, _Group] = defaultdict(_Group)
        self._every = _Group()
        self._reasons: dict[tuple[str, str], Counter[str | None]] = defaultdict(Counter)
        self._failures: list[Failure] = []
        self._copies: list[tuple[str, str]] = []

    def add(self, row: Row, *, reason: str = "", copy_of: str = "") -> None:
        """Count one film: its row of the table clips, why it has no answer, and the film whose copy it is."""
        group = self._groups[group_of(row)]
        group.count.update(("films", row["state"]))
        if row["state"] != "read":
            self._fail(row["film"], group_of(row), row["code"], reason)
        if copy_of:
            group.count["copies"] += 1
            if len(self._copies) < LISTED:
                self._copies.append((row["film"], copy_of))
        elif row["state"] == "read":
            group.count["strides"] += row["strides"]
            for each in (group, self._every):
                _take(each, row)

    def add_other(self, place: str, code: str, reason: str) -> None:
        """Note a place that is no film, and is counted in no group."""
        self._fail(place, None, code, reason)

    def _fail(self, place: str, group: str | None, code: str, reason: str) -> None:
        plain = (code, FIGURES.sub("…", reason))
        if plain not in self._reasons and len(self._reasons) >= MOST_REASONS:
            plain = (code, "other reasons, see the table failures")
        self._reasons[plain][group] += 1
        if len(self._failures) < LISTED:
            self._failures.append(Failure(place, group or "", code, reason))

    def summary(self) -> Summary:
        """Say what it all comes to."""
        by_horse = bool(self._every.names)
        names = sorted(self._groups, key=lambda name: (not name, name))
        met = Counter(horse for group in self._groups.values() for horse in group.names)
        reasons = [_reason(*told, films) for told, films in self._reasons.items()]
        return Summary(
            unit="horse" if by_horse else "film",
            groups=tuple(_counted(name, self._groups[name]) for name in names),
            measures=tuple(self._measured(measure, names, by_horse=by_horse) for measure in MEASURES),
            reasons=tuple(sorted(reasons, key=lambda each: (-each.total, each.code, each.words))),
            failures=tuple(self._failures),
            copies=tuple(self._copies),
            horseless=self._every.count["horseless"] if by_horse else 0,
            shared_horses=sum(times > 1 for times in met.values()),
        )  # fmt: skip

    def _measured(self, measure: StudyMeasure, names: list[str], *, by_horse: bool) -> MeasureSummary:
        spreads = [_spread(name, self._groups[name], measure, by_horse=by_horse) for name in names]
        if len(names) > 1:
            spreads.append(_spread(EVERY, self._every, measure, by_horse=by_horse))
        return MeasureSummary(measure, tuple(spreads))


def group_of(row: Row) -> str:
    """Name the group of a row of clips; empty for none."""
    return str(row.get("group") or "")


def _reason(code: str, words: str, films: Counter[str | None]) -> Reason:
    by_group = {group: n for group, n in films.items() if group is not None}
    return Reason(code, words, by_group, films[None])


def _take(group: _Group, row: Row) -> None:
    """Hold what one film measured, once by itself and once with its horse's."""
    horse = row.get("horse") or ""
    group.count["horseless"] += not horse
    if horse:
        group.names.add(horse)
    for measure in MEASURES:
        value = value_of(measure, row)
        if value is None:
            continue
        group.films[measure.key].append(value)
        if horse:
            sums = group.horses[measure.key].setdefault(horse, [0.0, 0.0])
            sums[0] += value
            sums[1] += 1


def _counted(name: str, group: _Group) -> GroupCount:
    told = ("films", "read", "refused", "failed", "copies", "strides")
    return GroupCount(name, **{each: group.count[each] for each in told}, horses=len(group.names))


def _spread(name: str, group: _Group, measure: StudyMeasure, *, by_horse: bool) -> GroupSpread:
    if by_horse:
        sums = group.horses.get(measure.key, {})
        values = np.array([total / n for total, n in sums.values()], dtype=np.float64)
        films = round(sum(n for _, n in sums.values()))
    else:
        values = np.array(group.films.get(measure.key, ()), dtype=np.float64)
        films = len(values)
    return GroupSpread(name, values, films, spread_of(values))
