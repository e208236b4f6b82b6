"""The board: who is due for what today, and why.

Conventions: days are calendar days of the barn; lateral phase in % of the stride.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from evenfall.contacts import Contact, Event, Limb
from evenfall.contacts.film import INFERRED
from evenfall.contacts.merging import Mark, merge_marks
from evenfall.flow.due import Due, Facts, Kind, Pending, due_today, say_days
from evenfall.flow.marking import SURE
from evenfall.flow.record import Standing, standing, trend
from evenfall.flow.standing_flags import ladder_films, standing_flags
from evenfall.gait import DEFAULT_GOAL, goals
from evenfall.report.way import BeatMark, beat_mark, say_band
from evenfall.store import Barn, horses, overview, settings
from evenfall.store.overview import OpenFilm, Phase
from evenfall.store.records import Horse

__all__ = ["Board", "Latest", "Row", "asked_of", "board", "to_check"]

NEWEST = 8
"""Outings a horse that its trend on the board goes by."""

SAYS_WHEN = (Kind.AGAIN, Kind.SOON, Kind.NOTHING)


@dataclass(frozen=True)
class Latest:
    """The newest lateral phase, number first.

    Parameters
    ----------
    standing : Standing
    mark : BeatMark
        Where it is drawn.
    on_date : date
    trend : str
        Empty where no direction is told.
    """

    standing: Standing
    mark: BeatMark
    on_date: date
    trend: str


@dataclass(frozen=True)
class Row:
    """A horse on the board.

    Parameters
    ----------
    horse_id : int
    name : str
    goal : str
        With its band.
    due : tuple of Due
        The first first; never empty.
    filmed : str
        When last; empty where a reason says it.
    latest : Latest or None
        None while no film has an answer.
    """

    horse_id: int
    name: str
    goal: str
    due: tuple[Due, ...]
    filmed: str
    latest: Latest | None

    @property
    def is_due(self) -> bool:
        """Whether something is to be done today."""
        return bool(self.due[0].act) and self.due[0].kind < Kind.SOON


@dataclass(frozen=True)
class Board:
    """Every horse, those with something due first."""

    rows: tuple[Row, ...]
    today: date

    @property
    def due(self) -> tuple[Row, ...]:
        """Those with something to be done today."""
        return tuple(row for row in self.rows if row.is_due)

    @property
    def rest(self) -> tuple[Row, ...]:
        """The others."""
        return tuple(row for row in self.rows if not row.is_due)


def board(barn: Barn, today: date, *, name: str = "") -> Board:
    """Say who is due for what.

    Parameters
    ----------
    barn : Barn
    today : date
        The barn's day.
    name : str
        Only horses whose name holds this, however cased.

    Returns
    -------
    Board
    """
    wanted = name.strip().casefold()
    every = [horse for horse in horses.every(barn) if wanted in horse.name.casefold()]
    phases = overview.phases(barn, newest=NEWEST) if every else {}
    facts = _facts(barn, every, phases, today)
    fallback = settings.get(barn).goal
    rows = [_row(horse, facts[horse.id], phases.get(horse.id, ()), today, fallback) for horse in every]
    return Board(tuple(sorted(rows, key=_rank)), today)


def asked_of(horse: Horse, barn_goal: str) -> tuple[str, tuple[float, float]]:
    """Return the goal asked of a horse, and its band; the barn's goal where it has none of its own."""
    known = goals()
    goal = known.get(horse.goal) or known.get(barn_goal) or known[DEFAULT_GOAL]
    return goal.name, horse.band_pct or goal.band_pct


def to_check(marks: Sequence[overview.Mark]) -> int:
    """Count the machine's doubtful marks that no person has looked at."""
    machine = [_merged(mark) for mark in marks if not (mark.person or mark.earlier)]
    person = [_merged(mark) for mark in marks if mark.person]
    earlier = [_merged(mark) for mark in marks if mark.earlier]
    counted = {
        mark.id for mark in (merge_marks(machine, person, earlier=earlier).machine if person else machine)
    }
    return sum(
        mark.id in counted and (mark.confidence < SURE or mark.source == INFERRED)
        for mark in marks
        if not mark.person
    )


def pending_films(
    films: Iterable[OpenFilm], unsure: Mapping[int, tuple[int, date, int]]
) -> dict[int, tuple[Pending, ...]]:
    """Sort what films want by horse: ``unsure`` is by clip its horse, day and contacts to check."""
    found: dict[int, list[Pending]] = defaultdict(list)
    for film in films:
        found[film.horse_id].append(_pending(film))
    busy = {film.clip_id for film in films}
    for clip, (horse, day, count) in unsure.items():
        if count and clip not in busy:
            found[horse].append(Pending(clip, day, "check", count))
    return {horse: tuple(row) for horse, row in found.items()}


def _facts(
    barn: Barn, every: Sequence[Horse], phases: Mapping[int, Sequence[Phase]], today: date
) -> dict[int, Facts]:
    if not every:
        return {}
    filmed, stands = overview.last_filmed(barn), standing_flags(barn)
    films = overview.open_films(barn)
    pending, due = pending_films(films, _unsure(barn)), ladder_films(barn, today)
    return {
        horse.id: Facts(
            horse.id,
            last_filmed=filmed.get(horse.id),
            flags=stands.words(horse.id),
            sides=stands.sides(horse.id, phases.get(horse.id, ())),
            pending=pending.get(horse.id, ()),
            ladder_film=due.get(horse.id),
        )
        for horse in every
    }


def _unsure(barn: Barn) -> dict[int, tuple[int, date, int]]:
    """By clip: horse, day, and contacts to check."""
    return {
        each.clip_id: (each.horse_id, each.on_date, to_check(each.marks) if each.marks else each.doubtful)
        for each in overview.unsure(barn, under=SURE, inferred=INFERRED)
    }


def _row(horse: Horse, facts: Facts, phases: Sequence[Phase], today: date, barn_goal: str) -> Row:
    goal, band = asked_of(horse, barn_goal)
    due = due_today(facts, today)
    return Row(
        horse.id, horse.name, say_band(goal, band), due, _filmed(facts, due, today), _latest(phases, band)
    )


def _filmed(facts: Facts, due: Sequence[Due], today: date) -> str:
    """When last filmed, unless a reason says so already."""
    if facts.last_filmed is None or any(each.kind in SAYS_WHEN for each in due):
        return ""
    return f"last filmed {say_days((today - facts.last_filmed).days)}"


def _latest(phases: Sequence[Phase], band: tuple[float, float]) -> Latest | None:
    if not phases:
        return None
    newest = phases[-1]
    phase = (newest.mean, newest.low, newest.high)
    now = standing(phase, band)
    told = trend([(each.on_date, each.mean) for each in phases], band)
    word = told.word if told.told and now.word != "in the band" else ""
    return Latest(now, beat_mark(phase, band), newest.on_date, word)


def _rank(row: Row) -> tuple[int, str, int]:
    return row.due[0].kind, row.name.casefold(), row.horse_id


def _pending(film: OpenFilm) -> Pending:
    if film.state == "failed":
        return Pending(film.clip_id, film.on_date, "failed", problem=film.problem)
    if film.state == "unanswered":
        return Pending(film.clip_id, film.on_date, "mark")
    return Pending(film.clip_id, film.on_date, film.state, round(100 * film.progress))


def _merged(mark: overview.Mark) -> Mark:
    contact = Contact(Limb(mark.limb), Event(mark.event), mark.time_s, 0.0, mark.source, mark.confidence)
    return Mark(mark.id, contact, mark.stands_for, mark.rejected)
