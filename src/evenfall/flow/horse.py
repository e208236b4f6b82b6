"""One horse: where it is on the way, how alike its outings are, whether its sides differ anew, and its films.

Conventions: lateral phase and left–right differences in % of the stride, left minus right.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any

from evenfall.flow.board import Latest, asked_of
from evenfall.flow.films_due import films_after, next_due
from evenfall.flow.forms import write_height
from evenfall.flow.gates import Seen, seen_of
from evenfall.flow.ladder import kept_ladder
from evenfall.flow.record import Own, own_record, say_spread, standing, trend
from evenfall.flow.setups import growth_line, setup_on
from evenfall.flow.sides import STATISTICS, differences_of, estimate_of
from evenfall.flow.under import under_way
from evenfall.plan import Ladder
from evenfall.report.sided import sided, sided_chart, sided_table
from evenfall.report.tables import Table
from evenfall.report.way import (
    Outcome,
    Side,
    Under,
    beat_mark,
    difference_table,
    say_band,
    say_interval,
    side_table,
    speed_table,
    way_table,
)
from evenfall.report.words import fixed
from evenfall.store import Barn, clips, horses, outings, settings
from evenfall.store.outcomes import Told, told_of
from evenfall.store.records import ClipRecord, Horse, Outing
from evenfall.store.steps import filmed_days

__all__ = ["Film", "HorsePage", "Ride", "horse_charts", "horse_page", "ride_page"]

SHOWN = "hind_step"
"""The one that is drawn."""


@dataclass(frozen=True)
class Film:
    """A film in the list of outings, with what it came to in words."""

    clip: ClipRecord
    says: str


@dataclass(frozen=True)
class Ride:
    """An outing with its films."""

    outing: Outing
    films: tuple[Film, ...]


@dataclass(frozen=True)
class HorsePage:
    """What a horse's page shows.

    Parameters
    ----------
    horse : Horse
    goal : str
        With its band.
    latest : Latest or None
    answers : int
        Films with an answer.
    trend, spread : str
        Sentences.
    sides : tuple of Own
        The left–right differences against the horse's own record.
    tables : Mapping of str to Table
        By chart: ``way``, ``sides``, ``speed``, ``difference``.
    rides : tuple of Ride
        Newest first.
    height : str
        In the barn's units.
    seen : Seen
        What stands against asking more.
    ladder : str
        Where it stands on its ladder; empty where it has none.
    under : Under
        The setups and steps drawn under the way travelled.
    growth : str
        How far the toes have grown since shoeing.
    """

    horse: Horse
    goal: str
    latest: Latest | None
    answers: int
    trend: str
    spread: str
    sides: tuple[Own, ...]
    tables: Mapping[str, Table]
    rides: tuple[Ride, ...]
    height: str
    seen: Seen
    ladder: str
    under: Under
    growth: str

    @property
    def newest(self) -> Film | None:
        """The newest film."""
        return next((film for ride in self.rides for film in ride.films), None)


def horse_page(barn: Barn, horse_id: int, today: date) -> HorsePage:
    """Say where a horse is on the way.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse = horses.get(barn, horse_id)
    barn_settings = settings.get(barn)
    goal, band = asked_of(horse, barn_settings.goal)
    told = told_of(barn, horse_id)
    outcomes = _outcomes(told)
    phases = [(each.on_date, each.mean) for each in outcomes]
    ladder, worn = kept_ladder(barn, horse_id), setup_on(barn, horse_id, today)
    return HorsePage(
        horse=horse,
        goal=say_band(goal, band),
        latest=_latest(outcomes, band),
        answers=len(outcomes),
        trend=_say_trend(phases, band),
        spread=say_spread(phases),
        sides=_own(told, barn_settings.sides),
        tables=_tables(told, outcomes, barn_settings.sides),
        rides=_rides(barn, horse_id, told),
        height=_say_height(horse.height_m, barn_settings.units),
        seen=seen_of(barn, horse_id, today, told=told),
        ladder=_say_ladder(barn, ladder, today),
        under=under_way(barn, horse_id, ladder, units=barn_settings.units, sides=barn_settings.sides),
        growth=growth_line(worn[1] if worn else None, today, barn_settings.units),
    )


def horse_charts(barn: Barn, horse_id: int, *, sides: bool = False, width: int = 640) -> dict[str, Any]:
    """Draw a horse's charts, each with its table.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    sides : bool
        Left and right apart in the way travelled.
    width : int
        Of the drawings, pixels.

    Returns
    -------
    dict
        ``charts`` and ``tables`` by name; a chart is left out where there is nothing to draw.
    """
    from evenfall.report.charts.way import difference_chart, speed_chart, way_chart  # noqa: PLC0415 - a second

    horse = horses.get(barn, horse_id)
    liking = settings.get(barn)
    goal, band = asked_of(horse, liking.goal)
    told = told_of(barn, horse_id)
    outcomes, differences = _outcomes(told), differences_of(told, SHOWN)
    tables, charts = _tables(told, outcomes, liking.sides), {}
    if outcomes:
        under = under_way(barn, horse_id, kept_ladder(barn, horse_id), units=liking.units, sides=liking.sides)
        charts["way"] = way_chart(outcomes, goal, band, sides=sides, width=width, under=under)
    if any(each.stride_s for each in outcomes):
        charts["speed"] = speed_chart(outcomes, goal, band, width=width)
    if differences:
        own = own_record(differences, STATISTICS[SHOWN])
        charts["difference"] = difference_chart(differences, own.range_pct, width=width)
    if sides:
        tables["way"] = tables["sides"]
    return {
        "charts": sided_chart(charts, liking.sides),
        "tables": {name: asdict(tables[name]) for name in charts},
    }


def ride_page(barn: Barn, outing_id: int) -> tuple[Horse, Ride]:
    """Return an outing with its films and its horse.

    Raises
    ------
    NotFound
        If there is no such outing.
    """
    outing = outings.get(barn, outing_id)
    told = {each.clip_id: each for each in told_of(barn, outing.horse_id)}
    films = tuple(Film(clip, _says(clip, told.get(clip.id))) for clip in clips.of_outing(barn, outing_id))
    return horses.get(barn, outing.horse_id), Ride(outing, films)


def _outcomes(told: Sequence[Told]) -> list[Outcome]:
    """Films with an answer, oldest first."""
    return [
        Outcome(
            each.clip_id, each.on_date, *each.phase, each.strides, _side(each, "left"), _side(each, "right"),
            each.stride_s, each.speed_m_s,
        )
        for each in told
        if each.phase is not None and not each.too_little
    ]  # fmt: skip


def _say_ladder(barn: Barn, ladder: Ladder | None, today: date) -> str:
    """Which step, since when, and which film is due on it."""
    if ladder is None:
        return ""
    told = f"Step {ladder.at + 1} of {len(ladder.steps)}: {ladder.step.title}"
    if ladder.since is None:
        return f"{told}."
    days = filmed_days(barn, [ladder.horse_id], since=ladder.since).get(ladder.horse_id, ())
    due = next_due(films_after(ladder.since, days, today))
    film = f" The film of day {due.after} is due." if due else ""
    return f"{told}, since {ladder.since.day} {ladder.since:%B %Y}.{film}"


def _say_height(height_m: float | None, units: str) -> str:
    written = write_height(height_m, units)
    return f"{written} {'hands' if units == 'imperial' else 'm'}" if written else ""


def _side(told: Told, name: str) -> Side | None:
    known = estimate_of((told.sides or {}).get(name))
    return Side(*known) if known else None


def _latest(outcomes: Sequence[Outcome], band: tuple[float, float]) -> Latest | None:
    if not outcomes:
        return None
    newest = outcomes[-1]
    phase = (newest.mean, newest.low, newest.high)
    return Latest(standing(phase, band), beat_mark(phase, band), newest.on_date, "")


def _say_trend(phases: Sequence[tuple[date, float]], band: tuple[float, float]) -> str:
    found = trend(phases, band)
    if found.per_week is None:
        return f"{found.word[:1].upper()}{found.word[1:]}."
    mean, low, high = (fixed(each, 2) for each in found.per_week)
    return f"{mean} % a week ({low} to {high}): {found.word}."


def _own(told: Sequence[Told], sides: str) -> tuple[Own, ...]:
    """The horse's own record of each difference, in the barn's words."""
    found = (own_record(differences_of(told, key), words) for key, words in STATISTICS.items())
    return tuple(replace(each, sentence=sided(each.sentence, sides)) for each in found)


def _tables(told: Sequence[Told], outcomes: Sequence[Outcome], sides: str) -> dict[str, Table]:
    return {
        "way": way_table(outcomes),
        "sides": sided_table(side_table(outcomes), sides),
        "speed": speed_table(outcomes),
        "difference": sided_table(difference_table(differences_of(told, SHOWN)), sides),
    }


def _rides(barn: Barn, horse_id: int, told: Sequence[Told]) -> tuple[Ride, ...]:
    known = {each.clip_id: each for each in told}
    films: dict[int, list[Film]] = defaultdict(list)
    for clip in clips.of_horse(barn, horse_id):
        films[clip.outing_id].append(Film(clip, _says(clip, known.get(clip.id))))
    return tuple(Ride(outing, tuple(films[outing.id])) for outing in outings.of_horse(barn, horse_id))


def _says(clip: ClipRecord, told: Told | None) -> str:
    """What a film came to: number first, or why there is none."""
    if clip.state == "failed":
        return f"could not be opened: {clip.problem}"
    if told is None:
        return "being made ready" if clip.state == "waiting" else "not marked yet"
    if told.phase is None or told.too_little:
        return f"too little evidence: {told.too_little or 'no lateral phase'}"
    return f"{say_interval(*told.phase)}, {told.strides} strides"
