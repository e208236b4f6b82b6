"""What the board asks of the whole barn at once: one query a question, whatever the number of horses.

Conventions: what lies in the bin, or under something that does, is left out. Days are outings' days.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, NamedTuple

from sqlalchemy import (
    Column,
    ColumnElement,
    Connection,
    FromClause,
    Join,
    ScalarSelect,
    Select,
    and_,
    case,
    func,
    or_,
    select,
)

from evenfall.store.engine import Barn, reading
from evenfall.store.schema import clips, horses, jobs, marks, outings, readings, results

__all__ = [
    "Check",
    "Mark",
    "OpenFilm",
    "Phase",
    "Unsure",
    "checks",
    "last_filmed",
    "open_films",
    "phases",
    "unsure",
]

LIVE = ("waiting", "running")
_other = outings.alias("other")


class Check(NamedTuple):
    """The newest pre-ride check that was gone through."""

    outing_id: int
    on_date: date
    flags: tuple[str, ...]


class Phase(NamedTuple):
    """One film's lateral phase, as its result has it."""

    clip_id: int
    on_date: date
    mean: float
    low: float
    high: float
    left: float | None
    right: float | None


class Mark(NamedTuple):
    """As much of a mark as tells whether it wants checking."""

    id: str
    person: bool
    limb: str
    event: str
    time_s: float
    source: str
    confidence: float
    stands_for: str | None
    rejected: bool
    earlier: bool = False
    """Of a reading of the machine's that is no more the newest; a person spoke of it."""


@dataclass(frozen=True)
class Unsure:
    """A film with doubtful marks of the machine's.

    Parameters
    ----------
    clip_id, horse_id : int
    on_date : date
    doubtful : int
        How many, by themselves.
    marks : tuple of Mark
        All of both readings where a person marked too, else empty.
    """

    clip_id: int
    horse_id: int
    on_date: date
    doubtful: int
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class OpenFilm:
    """A film whose work failed, goes on, or that has no answer yet."""

    clip_id: int
    horse_id: int
    on_date: date
    state: Literal["failed", "running", "waiting", "unanswered"]
    progress: float
    problem: str


def last_filmed(barn: Barn) -> dict[int, date]:
    """The newest day of each horse that has a film."""
    wanted = select(outings.c.horse_id, outings.c.on_date).join(horses, outings.c.id == _newest(_is_filmed()))
    with reading(barn) as connection:
        return {row[0]: row[1] for row in connection.execute(wanted)}


def checks(barn: Barn) -> dict[int, Check]:
    """Each horse's newest outing whose pre-ride check was gone through."""
    columns = (outings.c.horse_id, outings.c.id, outings.c.on_date, outings.c.precheck)
    wanted = select(*columns).join(horses, outings.c.id == _newest(outings.c.checked))
    with reading(barn) as connection:
        return {row[0]: Check(*row[1:]) for row in connection.execute(wanted)}


def phases(barn: Barn, *, newest: int) -> dict[int, tuple[Phase, ...]]:
    """The lateral phases of each horse's newest outings with an answer, oldest first.

    Parameters
    ----------
    barn : Barn
    newest : int
        Outings a horse at most; those of the same day as the last of them are taken too.
    """
    first = func.coalesce(_nth_day(newest), date.min).label("day")
    since = (
        select(horses.c.id, first)
        .where(horses.c.deleted_at.is_(None))
        .cte("since")
        .prefix_with("MATERIALIZED")
    )
    films = (
        select(clips.c.id, outings.c.horse_id, outings.c.on_date)
        .select_from(
            since.join(outings, and_(outings.c.horse_id == since.c.id, outings.c.on_date >= since.c.day))
            .join(clips, clips.c.outing_id == outings.c.id)
        )
        .where(_alive_clip())
        .order_by(outings.c.on_date, clips.c.id)
    )  # fmt: skip
    found: dict[int, list[Phase]] = defaultdict(list)
    with reading(barn) as connection:
        kept = list(connection.execute(films))
        numbers = _numbers(connection, [film[0] for film in kept])
    for clip, horse, day in kept:
        if clip in numbers:
            found[horse].append(Phase(clip, day, *numbers[clip]))
    return {horse: tuple(row) for horse, row in found.items()}


def _numbers(connection: Connection, films: Collection[int]) -> dict[int, tuple[Any, ...]]:
    """Mean, interval and sides of films with an answer."""
    columns = (
        results.c.clip_id, results.c.phase_mean, results.c.phase_low, results.c.phase_high, results.c.phase_left,
        results.c.phase_right,
    )  # fmt: skip
    wanted = select(*columns).where(
        results.c.clip_id.in_(films), results.c.too_little == "", results.c.phase_mean.is_not(None)
    )
    return {row[0]: tuple(row[1:]) for row in connection.execute(wanted)}


def _newest(wanted: ColumnElement[bool]) -> ScalarSelect[int]:
    """The number of a horse's newest outing of a kind: one look into the index a horse."""
    return (
        select(outings.c.id)
        .where(outings.c.horse_id == horses.c.id, _alive(), wanted)
        .order_by(outings.c.on_date.desc(), outings.c.id.desc())
        .limit(1)
        .correlate(horses)
        .scalar_subquery()
    )


def _nth_day(place: int) -> ScalarSelect[date]:
    """The day of a horse's n-th newest outing with an answer; none where it has fewer."""
    answered = (
        select(results.c.clip_id)
        .join(clips, clips.c.id == results.c.clip_id)
        .where(
            clips.c.outing_id == _other.c.id, clips.c.deleted_at.is_(None), results.c.phase_mean.is_not(None)
        )
        .correlate(_other)
        .exists()
    )
    return (
        select(_other.c.on_date)
        .where(_other.c.horse_id == horses.c.id, _other.c.deleted_at.is_(None), answered)
        .order_by(_other.c.on_date.desc(), _other.c.id.desc())
        .limit(1)
        .offset(place - 1)
        .correlate(horses)
        .scalar_subquery()
    )


def open_films(barn: Barn) -> tuple[OpenFilm, ...]:
    """Films whose newest work failed or goes on, or that have no answer; the newest first.

    A film to show is told of on its own page, and is no work that the film itself waits for.
    """
    newest = (
        select(jobs.c.clip_id, func.max(jobs.c.id).label("id"))
        .where(jobs.c.kind != "show")
        .group_by(jobs.c.clip_id, jobs.c.kind)
        .subquery()
    )
    work = (
        select(jobs)
        .join(newest, newest.c.id == jobs.c.id)
        .where(jobs.c.state.in_(("failed", *LIVE)))
        .subquery()
    )
    worst, wanted = _worst(work), _wanted(work)
    told = (
        select(
            clips.c.id, outings.c.horse_id, outings.c.on_date, clips.c.state, clips.c.problem, work.c.state, work.c.progress,
            work.c.message,
        )
        .select_from(
            _clips()
            .join(work, work.c.clip_id == clips.c.id, isouter=True)
        )
        .where(_alive_clip(), wanted)
        .order_by(outings.c.on_date.desc(), clips.c.id.desc(), worst)
    )  # fmt: skip
    films: dict[int, OpenFilm] = {}
    with reading(barn) as connection:
        for row in connection.execute(told):
            films.setdefault(row[0], _open_film(tuple(row)))
    return tuple(films.values())


def unsure(barn: Barn, *, under: float, inferred: str) -> tuple[Unsure, ...]:
    """Films of each horse's newest filmed outing whose newest machine reading holds doubtful marks.

    Doubtful is what lies below ``under`` or comes from the source ``inferred``. Where a person marked too, what is
    left to check hangs on both readings, and all marks are given.
    """
    with reading(barn) as connection:
        kept = _newest_readings(connection)
        counts = _counts(connection, [each.reading_id for each in kept], under, inferred)
        doubted = {
            each.clip_id: counts[each.reading_id][0]
            for each in kept
            if each.kind == "machine" and each.reading_id in counts
        }
        marked = {each.clip_id for each in kept if each.kind == "person" and each.reading_id in counts}
        both = {
            each.reading_id: each for each in kept if each.clip_id in marked and doubted.get(each.clip_id)
        }
        found = _marks(connection, both)
    return tuple(
        Unsure(each.clip_id, each.horse_id, each.on_date, doubted[each.clip_id], found.get(each.clip_id, ()))
        for each in kept
        if each.kind == "machine" and doubted.get(each.clip_id)
    )


def _counts(
    connection: Connection, numbers: Collection[int], under: float, inferred: str
) -> dict[int, tuple[int, int]]:
    """By reading: how many of its marks are doubtful, and how many there are."""
    doubtful = case((or_(marks.c.confidence < under, marks.c.source == inferred), 1), else_=0)
    wanted = select(marks.c.reading_id, func.sum(doubtful), func.count()).group_by(marks.c.reading_id)
    return {row[0]: (row[1], row[2]) for row in _among(connection, wanted, numbers)}


class _Reading(NamedTuple):
    """A reading with its clip, horse and day."""

    reading_id: int
    kind: str
    clip_id: int
    horse_id: int
    on_date: date


def _newest_readings(connection: Connection) -> list[_Reading]:
    """The person's reading and the newest of the machine's, of every clip of newest filmed outings."""
    told = (
        select(
            func.max(readings.c.id),
            readings.c.kind,
            readings.c.clip_id,
            outings.c.horse_id,
            outings.c.on_date,
        )
        .select_from(
            horses.join(outings, outings.c.id == _newest(_is_filmed()))
            .join(clips, clips.c.outing_id == outings.c.id)
            .join(readings, readings.c.clip_id == clips.c.id)
        )
        .where(readings.c.kind.in_(("person", "machine")), clips.c.deleted_at.is_(None))
        .group_by(readings.c.clip_id, readings.c.kind, outings.c.horse_id, outings.c.on_date)
    )
    return [_Reading(*row) for row in connection.execute(told)]


def _marks(connection: Connection, of: dict[int, _Reading]) -> dict[int, tuple[Mark, ...]]:
    columns = (
        marks.c.reading_id, marks.c.id, marks.c.limb, marks.c.event, marks.c.time_s, marks.c.source,
        marks.c.confidence, marks.c.stands_for, marks.c.rejected,
    )  # fmt: skip
    found: dict[int, list[Mark]] = defaultdict(list)
    for number, name, *rest in _among(connection, select(*columns), of):
        found[of[number].clip_id].append(Mark(name, of[number].kind == "person", *rest))
    newest = {each.clip_id: number for number, each in of.items() if each.kind == "machine"}
    person = [number for number, each in of.items() if each.kind == "person"]
    for clip, number, name, *rest in _spoken_of(connection, columns, person):
        if number != newest.get(clip):
            found[clip].append(Mark(name, False, *rest)._replace(earlier=True))
    return {clip: tuple(rows) for clip, rows in found.items()}


def _spoken_of(
    connection: Connection, columns: Sequence[Column[Any]], numbers: Collection[int]
) -> Sequence[Any]:
    """With its clip, each mark of the machine's that a mark of these readings stands for."""
    if not numbers:
        return []
    told = select(marks.c.stands_for).where(marks.c.reading_id.in_(numbers), marks.c.deleted_at.is_(None))
    spoken_of = marks.alias("spoken_of")
    wanted = (
        select(readings.c.clip_id, *(spoken_of.c[column.key] for column in columns))
        .select_from(spoken_of.join(readings, readings.c.id == spoken_of.c.reading_id))
        .where(spoken_of.c.id.in_(told), readings.c.kind == "machine")
    )
    return list(connection.execute(wanted))


def _among(connection: Connection, told: Select[Any], numbers: Collection[int]) -> Sequence[Any]:
    """Rows of marks of these readings, what was deleted left out."""
    if not numbers:
        return []
    wanted = told.where(marks.c.reading_id.in_(numbers), marks.c.deleted_at.is_(None))
    return list(connection.execute(wanted))


def _open_film(row: tuple[Any, ...]) -> OpenFilm:
    clip, horse, day, state, problem, work, progress, message = row
    if state == "failed" or work == "failed":
        return OpenFilm(clip, horse, day, "failed", 0.0, problem or message or "")
    return OpenFilm(clip, horse, day, work or "unanswered", progress or 0.0, "")


def _worst(work: FromClause) -> ColumnElement[int]:
    return case((work.c.state == "failed", 0), (work.c.state == "running", 1), else_=2)


def _wanted(work: FromClause) -> ColumnElement[bool]:
    answered = select(results.c.clip_id).where(results.c.too_little == "")
    unanswered = clips.c.id.not_in(answered)
    return or_(clips.c.state == "failed", work.c.id.is_not(None), unanswered)


def _clips() -> Join:
    return clips.join(outings, outings.c.id == clips.c.outing_id)


def _alive() -> ColumnElement[bool]:
    """Outings that are not in the bin; their horses are looked up by those that are asked for."""
    return outings.c.deleted_at.is_(None)


def _alive_clip() -> ColumnElement[bool]:
    return and_(outings.c.deleted_at.is_(None), clips.c.deleted_at.is_(None))


def _is_filmed() -> ColumnElement[bool]:
    """Outings with a film."""
    return select(clips.c.id).where(clips.c.outing_id == outings.c.id, clips.c.deleted_at.is_(None)).exists()
