"""The page of what has answered: the barn's levers or one horse's, and what-if within the range seen."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from evenfall.errors import EvenfallError, TooLittleEvidence
from evenfall.flow.answered import Standing, rows_of
from evenfall.flow.gates import gate_of
from evenfall.flow.ladder import horse_named
from evenfall.flow.typed import read_mass, read_number
from evenfall.progress.answered import Answered, Effect, answered, what_if
from evenfall.progress.levers import BY_ITSELF
from evenfall.report.answered import (
    AIM,
    MASS_LEVERS,
    NOTHING_AHEAD,
    AnsweredReading,
    effect_table,
    lever_unit,
    say_beyond,
    say_lever,
    say_rests,
    say_seen,
    say_what_if,
)
from evenfall.report.tables import Table
from evenfall.shoeing import HEAD_AIMS
from evenfall.store import Barn, horses, settings
from evenfall.store.records import Horse

__all__ = ["AnsweredPage", "LeverChoice", "answered_page", "answered_reading"]


@dataclass(frozen=True)
class LeverChoice:
    """A lever that can be asked about, with its range and its unit in words."""

    name: str
    seen: str
    unit: str


@dataclass(frozen=True)
class AnsweredPage:
    """What the page shows.

    Parameters
    ----------
    horse : Horse or None
        None for the whole barn.
    stable : tuple of Horse
    standing : Standing
    table : Table or None
    own : Table or None
        The horse's own effects.
    levers : tuple of LeverChoice
    asked : mapping
        The what-if form as it was filled in.
    what_if, problem : str
        Its answer, or why there is none.
    gate : str
        What stands against asking more of the horse; empty while nothing does.
    rests : str
        How many outings and horses all of it rests on.
    """

    horse: Horse | None
    stable: tuple[Horse, ...]
    standing: Standing
    table: Table | None
    own: Table | None
    levers: tuple[LeverChoice, ...]
    asked: Mapping[str, str]
    what_if: str = ""
    problem: str = ""
    gate: str = ""
    rests: str = ""


def answered_page(barn: Barn, standing: Standing, query: Mapping[str, str], *, today: date) -> AnsweredPage:
    """Gather the page.

    Parameters
    ----------
    barn : Barn
    standing : Standing
    query : mapping
        ``horse``; for what-if also ``lever``, ``from`` and ``to`` in the barn's units.
    today : datetime.date

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    asked = {name: query.get(name, "").strip() for name in ("horse", "lever", "from", "to")}
    horse = horses.get(barn, int(asked["horse"])) if asked["horse"].isdecimal() else None
    stable, units, told = horses.every(barn), settings.get(barn).units, standing.told
    if told is None:
        return AnsweredPage(horse, stable, standing, None, None, (), asked)
    own = told.own.get(horse.id, ()) if horse else ()
    gate = gate_of(barn, horse.id, today) if horse else None
    shut = gate is not None and not gate.open
    answer, problem = ("", NOTHING_AHEAD) if shut and asked["lever"] else _asked(told, horse, asked, units)
    return AnsweredPage(
        horse=horse,
        stable=stable,
        standing=standing,
        table=effect_table(told.effects, units) if told.effects else None,
        own=effect_table(own, units, own=True) if own else None,
        levers=tuple(_choice(each, units) for each in own if each.lever not in BY_ITSELF),
        asked=asked,
        what_if=answer,
        problem=problem,
        gate=gate.says if gate and shut else "",
        rests=say_rests(told.outings, told.horses),
    )


def answered_reading(barn: Barn, wanted: str | None) -> AnsweredReading:
    """Work out what has answered, and wait for it.

    Parameters
    ----------
    barn : Barn
    wanted : str or None
        A horse by its name or number; None for the whole barn.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse = horse_named(barn, wanted) if wanted else None
    return AnsweredReading(
        told=answered(rows_of(barn)),
        horse_id=horse.id if horse else None,
        horse=horse.name if horse else "",
        names=tuple((each.id, each.name) for each in horses.every(barn)),
        units=settings.get(barn).units,
    )


def _choice(effect: Effect, units: str) -> LeverChoice:
    return LeverChoice(effect.lever, say_seen(effect, units), lever_unit(effect.lever, units))


def _asked(told: Answered, horse: Horse | None, asked: Mapping[str, str], units: str) -> tuple[str, str]:
    """What a change would do, or why that can't be said."""
    if horse is None or not asked["lever"]:
        return "", ""
    lever = asked["lever"]
    try:
        frm, to = (_value(lever, asked[name], units) for name in ("from", "to"))
        if frm is None or to is None:
            return "", "Fill in from and to."
        beyond = _beyond(told, horse.id, lever, (frm, to), units)
        if beyond:
            return "", beyond
        found = what_if(told, horse.id, lever, frm, to)
    except TooLittleEvidence:
        return "", f"Not enough to say of {lever} yet."
    except EvenfallError as error:
        return "", f"{str(error)[:1].upper()}{str(error)[1:]}"
    change = say_lever(lever, frm, units), say_lever(lever, to, units)
    return say_what_if(horse.name, lever, change, (found.mean, found.low, found.high, found.horses)), ""


def _beyond(told: Answered, horse_id: int, lever: str, change: tuple[float, float], units: str) -> str:
    """Why a change lies beyond what was seen, in the barn's units; empty where it does not."""
    effect = next((each for each in told.own.get(horse_id, ()) if each.lever == lever), None)
    if effect is None:
        return ""
    low, high = effect.seen_range
    small = 1e-9
    if (
        all(low - small <= each <= high + small for each in change)
        and abs(change[1] - change[0]) <= effect.widest + small
    ):
        return ""
    return say_beyond(effect, units)


def _value(lever: str, text: str, units: str) -> float | None:
    if lever == AIM and text.strip().lower() in HEAD_AIMS:
        return HEAD_AIMS.index(text.strip().lower()) / (len(HEAD_AIMS) - 1)
    if lever not in MASS_LEVERS:
        return read_number(text)
    minus = text.lstrip().startswith(("-", "−"))
    mass = read_mass(text.strip().lstrip("-−"), units)
    if mass is None:
        return None
    return -mass if minus else mass
