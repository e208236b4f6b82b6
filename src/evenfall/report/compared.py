"""Two sides compared, as one value, and how it is said: in sentences, on the terminal, and as data."""

from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from evenfall.progress import Comparison, data_of
from evenfall.progress.ends import EndMoved
from evenfall.report.progress import (
    SAYINGS,
    measure_table,
    say_counts,
    say_end,
    say_growth_of,
    say_matching,
    say_more,
    say_noise,
    say_probability,
    say_set_apart,
    say_title,
)
from evenfall.report.tables import Table

if TYPE_CHECKING:
    from rich.console import Group

__all__ = ["Compared", "FilmPoint", "Sided", "compared_data", "compared_on_terminal"]


@dataclass(frozen=True)
class FilmPoint:
    """One film's lateral phase, %, with the 95 % interval its strides give.

    Parameters
    ----------
    clip_id : int
    on_date : datetime.date
    mean, low, high : float
    apart : bool
        Whether it is set apart as new.
    """

    clip_id: int
    on_date: date
    mean: float
    low: float
    high: float
    apart: bool


@dataclass(frozen=True)
class Sided:
    """One side of a comparison.

    Parameters
    ----------
    key, name : str
    films : tuple of FilmPoint
        Those with a lateral phase, oldest first.
    growth : str
        How far the toes had grown since shoeing on the last of its days; empty where that is not known.
    """

    key: str
    name: str
    films: tuple[FilmPoint, ...] = ()
    growth: str = ""


@dataclass(frozen=True)
class Compared:
    """Everything that is told of two sides.

    Parameters
    ----------
    horse : str
    before, after : Sided
    worn : str
        What was changed between the setups worn.
    phase : Comparison or None
        None where a side has no film with an answer; then ``problem`` says so.
    problem : str
    others : tuple of Comparison
        The other measures that both sides have.
    unmeasured : tuple of str
        The measures that they have not.
    end : EndMoved or None
    gate : str
        What stands against asking more of the horse; empty while nothing does.
    notes : tuple of str
        Of the choice itself, beside the comparison's own warnings.
    """

    horse: str
    before: Sided
    after: Sided
    worn: str = ""
    phase: Comparison | None = None
    problem: str = ""
    others: tuple[Comparison, ...] = ()
    unmeasured: tuple[str, ...] = ()
    end: EndMoved | None = None
    gate: str = ""
    notes: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """The verdict in one sentence, or why there is none."""
        return self.problem if self.phase is None else say_title(self.phase)

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is said beneath it, the most asked for first."""
        if self.phase is None:
            return (self.worn,) if self.worn else ()
        told = [say_probability(self.phase), say_more(self.phase), self.worn]
        return tuple(filter(None, [*told, say_end(self.end) if self.end else ""]))

    @property
    def grounds(self) -> tuple[str, ...]:
        """What it stands on: films, what is set apart, speed, own noise."""
        if self.phase is None:
            return ()
        told = self.phase
        lines = [
            say_counts(told), say_set_apart(told.set_apart), say_matching(told), say_noise(told.noise),
        ]  # fmt: skip
        return tuple(filter(None, lines))

    @property
    def growth(self) -> tuple[str, ...]:
        """Toe growth since shoeing on each side's last day, for under the picture."""
        told = (("Before", self.before.growth), ("After", self.after.growth))
        return tuple(filter(None, (say_growth_of(side, growth) for side, growth in told)))

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to know before believing it."""
        return (*self.notes, *(self.phase.warnings if self.phase else ()))

    @property
    def table(self) -> Table:
        """The other measures."""
        return measure_table(self.others)

    @property
    def missing(self) -> str:
        """The measures that can't be compared, by name."""
        names = [SAYINGS[each].name for each in self.unmeasured]
        return f"Not measured on both sides: {', '.join(names)}." if names and self.phase else ""


def compared_data(told: Compared) -> dict[str, Any]:
    """Turn the whole into plain data; where there is no verdict, ``error`` says why."""
    data: dict[str, Any] = {
        "schema": 1,
        "horse": told.horse,
        "before": _side_data(told.before),
        "after": _side_data(told.after),
        "worn": told.worn,
        "comparison": told.phase and data_of(told.phase),
        "others": [data_of(each) for each in told.others],
        "unmeasured": list(told.unmeasured),
        "which_end": told.end and _end_data(told.end),
        "gate": told.gate,
        "warnings": list(told.warnings),
        "sentence": told.title,
    }
    if told.phase is None:
        data["error"] = {"code": "too_little_evidence", "message": told.problem}
    return data


def compared_on_terminal(told: Compared) -> "Group":
    """Lay it out for a terminal."""
    from rich.console import Group  # noqa: PLC0415 - the pages do without
    from rich.table import Table as Grid  # noqa: PLC0415

    grid = Grid(box=None, pad_edge=False)
    for head in told.table.head:
        grid.add_column(head)
    for row in told.table.rows:
        grid.add_row(*row)
    sides = f"{told.horse}: {told.before.name} against {told.after.name}" if told.horse else ""
    parts: list[Any] = [
        told.title,
        *told.sentences,
        "",
        *told.grounds,
        *told.growth,
        *([told.gate] if told.gate else []),
    ]
    measures: list[Any] = ["", grid, *([told.missing] if told.missing else [])] if told.others else []
    warned = ["", *(f"! {each}" for each in told.warnings)] if told.warnings else []
    return Group(*([sides, ""] if sides else []), *parts, *measures, *warned)


def _side_data(side: Sided) -> dict[str, Any]:
    films = [
        {"clip": each.clip_id, "on": each.on_date.isoformat(), "lateral_phase_pct": each.mean, "ci95": [each.low, each.high], "set_apart": each.apart}
        for each in side.films
    ]  # fmt: skip
    return {"key": side.key, "name": side.name, "films": films, "toe_growth": side.growth}


def _end_data(end: EndMoved) -> dict[str, Any]:
    data = asdict(end)
    return {name: data[name] for name in ("end", "fronts_ms", "hinds_ms", "more_ms", "words")}
