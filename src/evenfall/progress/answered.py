"""What has answered: how each lever moved the beat, in this horse and in this barn, and how sure that is.

Effects are points of lateral phase, positive toward trot. No "so many grams give so many per cent": only what these
horses have shown, with its interval, and never beyond the range seen.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

import numpy as np

from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.progress.levers import BY_ITSELF, LEVERS, Column, Row, columns_of
from evenfall.progress.mixture import Mixture
from evenfall.progress.response import Outings, Response, respond
from evenfall.progress.spread import Prior

__all__ = ["Answered", "Effect", "Row", "WhatIf", "answered", "answered_data", "what_if"]

OUTING = Prior(2.0, 3)
SETUP = Prior(1.0, 3)
OWN_SHARE = 0.25
"""Horses' own effects are first guessed to differ by a quarter of the effect's prior spread (our choice)."""
OWN_WORTH = 3
LEAST_HORSES = 2
LEAST_CHANGES = 3
LEARNED = 0.5
SMALL = 1e-9


@dataclass(frozen=True)
class Effect:
    """How the beat moved with one lever.

    Parameters
    ----------
    lever, per : str
        ``mean`` is for one ``per`` of the lever.
    mean, low, high : float
        Points of lateral phase, positive toward trot, with the 95 % interval.
    horses, changes : int
        Horses within which it changed, and how often: in all, or of a horse's own effect in that horse.
    seen_range : tuple of float
        Lowest and highest seen, in the row's unit (kg, degrees, m/s, days).
    widest : float
        The widest range seen within one horse, same unit.
    enough : bool
        Whether that is enough to say anything.
    words : str
    """

    lever: str
    per: str
    mean: float
    low: float
    high: float
    horses: int
    changes: int
    seen_range: tuple[float, float]
    widest: float
    enough: bool
    words: str


@dataclass(frozen=True)
class Answered:
    """What has answered in a barn.

    Parameters
    ----------
    effects : tuple of Effect
        Over horses; a lever that never moved within a horse is not there.
    own : mapping of int to tuple of Effect
        By horse: its own effect, drawn toward the barn's as far as its own evidence is weak.
    horses, outings : int
    """

    effects: tuple[Effect, ...]
    own: Mapping[int, tuple[Effect, ...]]
    horses: int
    outings: int


@dataclass(frozen=True)
class WhatIf:
    """What a change within the range seen would do: points toward trot, with the 95 % interval."""

    mean: float
    low: float
    high: float
    horses: int
    words: str


def answered(rows: Sequence[Row]) -> Answered:
    """Work out what has answered, from all of a barn's outings.

    Parameters
    ----------
    rows : sequence of Row
        In the order they happened, or with ``on_date``.

    Returns
    -------
    Answered
        Without effects where no lever has moved within any horse.
    """
    ordered = sorted(rows, key=lambda row: (row.horse_id, row.on_date or date.min))
    horses = tuple(dict.fromkeys(row.horse_id for row in ordered))
    columns = columns_of(ordered)
    if not columns:
        return Answered((), dict.fromkeys(horses, ()), len(horses), len(ordered))
    response = respond(_outings(ordered, columns))
    effects = tuple(_over_horses(column, response.effect(i)) for i, column in enumerate(columns))
    own = {horse: _own(horse, i, columns, response) for i, horse in enumerate(horses)}
    return Answered(effects, own, len(horses), len(ordered))


def what_if(told: Answered, horse_id: int, lever: str, frm: float, to: float) -> WhatIf:
    """Say what a change of one lever would do in one horse.

    Parameters
    ----------
    told : Answered
    horse_id : int
    lever : str
        One of the levers that are numbers, but not one that moves by itself.
    frm, to : float
        In the row's unit: kg, degrees, m/s, days.

    Raises
    ------
    WrongSetting
        If the horse or the lever has no outings here, or the change goes beyond what was seen.
    TooLittleEvidence
        If the lever has not moved often enough to say anything.
    """
    effect = _find(told, horse_id, lever)
    if not effect.enough:
        raise TooLittleEvidence(f"{lever}: {effect.words}.")
    _check_range(effect, frm, to)
    steps = (to - frm) / _scale(lever)
    low, high = sorted((effect.low * steps, effect.high * steps))
    mean = effect.mean * steps
    interval = f"95 % {_number(low)} to {_number(high)}"
    words = f"{_points(mean)}, {interval} (minus is toward pace), from {_count(effect.horses, 'horse')}"
    return WhatIf(mean, low, high, effect.horses, words)


def answered_data(told: Answered) -> dict[str, Any]:
    """Turn what has answered into plain data for ``--json``; horses by their number as text."""
    return {
        "horses": told.horses,
        "outings": told.outings,
        "effects": [_effect_data(effect) for effect in told.effects],
        "own": {str(horse): [_effect_data(effect) for effect in own] for horse, own in told.own.items()},
    }


def _effect_data(effect: Effect) -> dict[str, Any]:
    return {**asdict(effect), "seen_range": list(effect.seen_range)}


def _outings(rows: Sequence[Row], columns: Sequence[Column]) -> Outings:
    own = tuple(i for i, column in enumerate(columns) if column.lever.own)
    setups = [
        (row.horse_id, "outing", i) if row.setup_id is None else (row.horse_id, row.setup_id)
        for i, row in enumerate(rows)
    ]
    return Outings(
        y=np.array([row.phase_pct for row in rows]),
        weight=np.array([1 / (1 + (row.se / OUTING.sd) ** 2) for row in rows]),
        horse=_numbered([row.horse_id for row in rows]),
        setup=_numbered(setups),
        x=np.column_stack([column.centred for column in columns]),
        own=own,
        effect_sds=np.array([column.lever.prior_sd for column in columns]),
        outing=OUTING,
        setups=SETUP,
        owns=[Prior(OWN_SHARE * columns[i].lever.prior_sd, OWN_WORTH) for i in own],
    )


def _numbered(keys: Sequence[object]) -> np.ndarray[Any, np.dtype[np.int64]]:
    places = {key: i for i, key in enumerate(dict.fromkeys(keys))}
    return np.array([places[key] for key in keys], dtype=np.int64)


def _over_horses(column: Column, told: Mixture) -> Effect:
    return _effect(column, told, sum(column.horses.values()))


def _own(horse: int, place: int, columns: Sequence[Column], response: Response) -> tuple[Effect, ...]:
    own = [column for column in columns if column.lever.own]
    return tuple(
        _effect(column, response.own(place, i), column.horses.get(horse, 0), own=True)
        for i, column in enumerate(own)
    )


def _effect(column: Column, told: Mixture, changes: int, *, own: bool = False) -> Effect:
    low, high = told.interval()
    horses, in_all = len(column.horses), sum(column.horses.values())
    learned = told.sd < LEARNED * column.lever.prior_sd
    enough = learned and (horses >= LEAST_HORSES or in_all >= LEAST_CHANGES)
    evidence = f"{_count(horses, 'horse')}, {_count(in_all, 'change')}"
    if own:
        evidence += f", {changes} of them in this horse"
    lows, highs = zip(*column.ranges.values(), strict=True)
    return Effect(
        lever=column.lever.name,
        per=column.lever.per,
        mean=told.mean,
        low=low,
        high=high,
        horses=horses,
        changes=changes,
        seen_range=(min(lows), max(highs)),
        widest=max(high - low for low, high in column.ranges.values()),
        enough=enough,
        words=f"{_say(told.mean, low, high) if enough else 'not enough to say'} ({evidence})",
    )


def _say(mean: float, low: float, high: float) -> str:
    clear = "" if low > 0 or high < 0 else "no clear effect: "
    return f"{clear}{_points(mean)}, 95 % {_number(low)} to {_number(high)}"


def _points(mean: float) -> str:
    return f"{abs(mean):.1f} points toward {'trot' if mean >= 0 else 'pace'}"


def _number(value: float) -> str:
    return f"{value:.1f}".replace("-0.0", "0.0").replace("-", "−")


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _find(told: Answered, horse_id: int, lever: str) -> Effect:
    if horse_id not in told.own:
        raise WrongSetting(f"expected a horse with outings in this barn, found number {horse_id}.")
    own = {effect.lever: effect for effect in told.own[horse_id] if effect.lever not in BY_ITSELF}
    if lever not in own:
        known = ", ".join(own) or "none yet"
        raise WrongSetting(
            f"expected a lever that has moved in this barn ({known}), found {lever!r}. What never changed can't be told."
        )
    return own[lever]


def _check_range(effect: Effect, frm: float, to: float) -> None:
    low, high = effect.seen_range
    inside = all(low - SMALL <= value <= high + SMALL for value in (frm, to))
    if not inside or abs(to - frm) > effect.widest + SMALL:
        raise WrongSetting(
            f"expected {effect.lever} within {low:g} to {high:g} and a change of {effect.widest:g} at most, as seen in "
            f"one horse; found {frm:g} to {to:g}. Nothing is said beyond what was seen."
        )


def _scale(lever: str) -> float:
    return next(each.scale for each in LEVERS if each.name == lever)
