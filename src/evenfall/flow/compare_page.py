"""The page that compares: what can be chosen, the answer, and the two films that are played side by side."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from evenfall.errors import EvenfallError, NotFound
from evenfall.flow.board import asked_of
from evenfall.flow.compare import choose, told_of_sides
from evenfall.flow.passes import passes_of
from evenfall.flow.sides_chosen import Chosen, horse_of, say_day, side_key
from evenfall.progress import Pass
from evenfall.report.compared import Compared
from evenfall.report.words import fixed
from evenfall.store import Barn, clips, horses, outings, plans, settings, setups
from evenfall.store.records import ClipRecord, Horse

__all__ = ["Choice", "ComparePage", "compare_chart_of", "compare_page", "save_worthwhile"]

PHASE = "lateral phase"


@dataclass(frozen=True)
class Choice:
    """One thing that can be chosen."""

    key: str
    name: str


@dataclass(frozen=True)
class ComparePage:
    """What the page shows.

    Parameters
    ----------
    horse : Horse
    choices : tuple of (str, tuple of Choice)
        Setups, outings, films; newest first.
    before, after : str
        What is chosen; empty while nothing can be.
    told : Compared or None
        None while there is nothing to compare; then ``problem`` says so.
    problem : str
    films : tuple of two tuples of Choice
        The films of each side that can be played.
    shown : tuple of int or None
        Those that are.
    worthwhile : str
        The smallest worthwhile change of the lateral phase, as a field holds it.
    """

    horse: Horse
    choices: tuple[tuple[str, tuple[Choice, ...]], ...]
    before: str
    after: str
    told: Compared | None
    problem: str
    films: tuple[tuple[Choice, ...], tuple[Choice, ...]] = ((), ())
    shown: tuple[int | None, int | None] = (None, None)
    worthwhile: str = ""


def compare_page(barn: Barn, horse_id: int, query: Mapping[str, str], *, today: date) -> ComparePage:
    """Gather the page.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    query : mapping
        ``before`` and ``after``; without them the newest setup against the one before, or the newest two outings.
        ``left`` and ``right`` choose the films that are played.
    today : datetime.date

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse = horses.get(barn, horse_id)
    films = clips.of_horse(barn, horse_id)
    choices = _choices(barn, horse_id, films)
    usual = _usual(choices)
    before, after = query.get("before") or usual[0], query.get("after") or usual[1]
    worthwhile = f"{plans.get(barn).worthwhile_pct:g}"
    page = ComparePage(horse, choices, before, after, None, _nothing(horse), worthwhile=worthwhile)
    if not (before and after):
        return page
    try:
        return _told(barn, page, films, query, today)
    except EvenfallError as error:
        return _with_problem(page, str(error))


def compare_chart_of(
    barn: Barn, horse_id: int, sides: tuple[str, str], *, today: date, width: int
) -> dict[str, Any]:
    """Draw the picture of a comparison, with its table.

    Raises
    ------
    NotFound, WrongSetting
        As `compare_page` tells them in words.
    """
    from evenfall.report.charts.compare import compare_chart, compare_table  # noqa: PLC0415 - a second

    told = told_of_sides(barn, horse_id, *_sides(barn, horse_id, *sides), today=today)
    goal, band = asked_of(horses.get(barn, horse_id), settings.get(barn).goal)
    spec = compare_chart(told, goal, band, width=width) if told.phase else None
    return {"name": "Before and after", "spec": spec, "table": compare_table(told)}


def save_worthwhile(barn: Barn, text: str, *, by: str = "") -> str:
    """Keep the smallest worthwhile change of the lateral phase; return what is wrong with it, or nothing."""
    try:
        plans.change(barn, {"worthwhile_pct": float(text.strip().replace(",", "."))}, by=by)
    except (ValueError, EvenfallError):
        return f"Expected a number of points above 0 and up to 25, found {text.strip()[:20]!r}."
    return ""


def _told(
    barn: Barn, page: ComparePage, films: Sequence[ClipRecord], query: Mapping[str, str], today: date
) -> ComparePage:
    passes, sides = _sides(barn, page.horse.id, page.before, page.after)
    told = told_of_sides(barn, page.horse.id, passes, sides, today=today)
    left, right = (_films(side, films) for side in sides)
    shown = _shown((left, right), {str(each.id): each.facing for each in films}, query)
    return ComparePage(
        page.horse, page.choices, page.before, page.after, told, "", (left, right), shown, page.worthwhile
    )


def _sides(
    barn: Barn, horse_id: int, before: str, after: str
) -> tuple[tuple[Pass, ...], tuple[Chosen, Chosen]]:
    keys = side_key(before), side_key(after)
    if horse_of(barn, keys) != horse_id:
        raise NotFound("expected sides of this horse, found another's. Choose again.")
    passes = passes_of(barn, horse_id)
    return passes, (choose(barn, passes, keys[0]), choose(barn, passes, keys[1]))


def _with_problem(page: ComparePage, problem: str) -> ComparePage:
    told = f"{problem[:1].upper()}{problem[1:]}"
    return ComparePage(
        page.horse, page.choices, page.before, page.after, None, told, worthwhile=page.worthwhile
    )


def _nothing(horse: Horse) -> str:
    return (
        f"Nothing to compare yet. Write down what {horse.name} wears, change one thing, and film both on two days or "
        "more; or film two outings."
    )


def _choices(
    barn: Barn, horse_id: int, films: Sequence[ClipRecord]
) -> tuple[tuple[str, tuple[Choice, ...]], ...]:
    """Everything that can stand on a side, newest first."""
    worn = reversed(setups.of_horse(barn, horse_id))
    ridden = outings.of_horse(barn, horse_id)
    days = {each.id: say_day(each.on_date) for each in ridden}
    filmed = {each.outing_id for each in films}
    groups = (
        ("Setups", [Choice(f"setup:{each.id}", f"from {say_day(each.from_date)}") for each in worn]),
        ("Outings", [Choice(f"outing:{each.id}", days[each.id]) for each in ridden if each.id in filmed]),
        ("Films", [Choice(f"clip:{each.id}", f"{days[each.outing_id]}, {each.name}") for each in films]),
    )
    return tuple((name, tuple(found)) for name, found in groups if found)


def _usual(choices: Sequence[tuple[str, Sequence[Choice]]]) -> tuple[str, str]:
    """The newest setup against the one before; the newest outings where there are no two setups."""
    for name, found in choices:
        if len(found) > 1 and name != "Films":
            return found[1].key, found[0].key
    return "", ""


def _films(side: Chosen, films: Sequence[ClipRecord]) -> tuple[Choice, ...]:
    """The films of a side with an answer, the newest first, with what each came to."""
    names = {each.id: each.name for each in films}
    return tuple(
        Choice(str(each.clip_id), f"{say_day(each.on_date)}, {names[each.clip_id]}: {_phase(each)}")
        for each in reversed(side.passes)
        if each.clip_id in names
    )


def _phase(of: Pass) -> str:
    value = of.values.get(PHASE)
    return f"{fixed(value.mean, 1)} %" if value else "no lateral phase"


def _shown(
    films: tuple[Sequence[Choice], Sequence[Choice]],
    facing: Mapping[str, str | None],
    query: Mapping[str, str],
) -> tuple[int | None, int | None]:
    """The films asked for; else the newest after, and the newest before in which the horse goes the same way."""
    before, after = films
    right = _asked_for(after, query.get("right", "")) or next(iter(after), None)
    alike = [each for each in before if right and facing.get(each.key) == facing.get(right.key)]
    left = _asked_for(before, query.get("left", "")) or next(iter([*alike, *before]), None)
    return int(left.key) if left else None, int(right.key) if right else None


def _asked_for(films: Sequence[Choice], wanted: str) -> Choice | None:
    return next((each for each in films if each.key == wanted), None)
