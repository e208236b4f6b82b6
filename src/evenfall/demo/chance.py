"""How a made-up horse differs from day to day and from film to film: figures stated here, drawn by a seed.

So that *real or noise?* is a question, every film's lateral phase is drawn about the truth of its setup ::

    phase = settled + at first × (half gone every HALF_GONE_DAYS) + day + film + rate × (stride rate − usual)

All figures are our choice. They are of the size of the spread that trainers see from one day to the next, and nothing
may be concluded from them about a horse that lives.
"""

import numpy as np

from evenfall.contacts import Limb
from evenfall.demo.story import TRIAL_FILMS, TRIAL_PARTS, DemoOuting, DemoTrial, Goes, History
from evenfall.synth import GaitTiming

__all__ = [
    "DAY_SD_PCT",
    "FILM_SD_PCT",
    "HALF_GONE_DAYS",
    "PHASE_PER_HZ",
    "TRIAL_SD_PCT",
    "outings_of",
    "settled_pct",
    "trial_effect_pct",
    "two_sided",
]

DAY_SD_PCT = 0.9
"""Spread of the lateral phase from day to day."""

FILM_SD_PCT = 0.6
"""Spread from film to film of one day, besides that of the strides and of the marking."""

SIDES_SD_PCT = 0.4
"""Spread from day to day of where the right hind lands between two landings of the left."""

RATE_SD_SHARE = 0.025
"""Spread of the stride time from film to film, as a share of it."""

PHASE_PER_HZ = -6.0
"""What one stride a second more does to the lateral phase: quicker is more lateral."""

TRIAL_SD_PCT = 2.5
"""Spread, about nothing, of what a thing tried off, on and off again truly does to the lateral phase while it is on."""

HEAD_SD_DEG = 2.0
HALF_GONE_DAYS = 4.0


def settled_pct(history: History, days_before: int) -> float:
    """Lateral phase that a horse's setup gives it on a day, before chance."""
    worn = history.worn_on(days_before)
    days = worn.days_before - days_before
    left: float = 0.5 ** (days / HALF_GONE_DAYS)
    return worn.phase_pct + worn.at_first_pct * left


def outings_of(history: History) -> tuple[DemoOuting, ...]:
    """Draw every earlier outing of a horse, oldest first; a day's draws hang on the seed and that day alone."""
    if history.goes is None:
        return ()
    outings = [_outing(history, history.goes, day) for day in history.filmed]
    if history.trial:
        outings.append(_trial_outing(history, history.goes, history.trial))
    return tuple(sorted(outings, key=lambda outing: -outing.days_before))


def trial_effect_pct(history: History, trial: DemoTrial) -> float:
    """What the thing tried truly does to the lateral phase: drawn first of the day's draws."""
    return float(_chance(history, trial.days_before).normal(0, TRIAL_SD_PCT))


def _chance(history: History, day: int) -> np.random.Generator:
    return np.random.default_rng([history.seed, day])


def _outing(history: History, goes: Goes, day: int) -> DemoOuting:
    rng = _chance(history, day)
    (phase_pct, sides_pct), head_deg = _day(history, goes, day, rng)
    rides = tuple(_ride(goes, phase_pct, sides_pct, rng) for _ in range(history.films_an_outing))
    return DemoOuting(day, rides, history.filmed[day], head_deg)


def _trial_outing(history: History, goes: Goes, trial: DemoTrial) -> DemoOuting:
    """One day, one way: every film drawn alike, but for the effect in those that are on."""
    rng = _chance(history, trial.days_before)
    effect_pct = rng.normal(0, TRIAL_SD_PCT)
    (phase_pct, sides_pct), head_deg = _day(history, goes, trial.days_before, rng)
    parts = tuple(part for part in TRIAL_PARTS for _ in range(TRIAL_FILMS))
    rides = tuple(_ride(goes, phase_pct + effect_pct * (part == "on"), sides_pct, rng) for part in parts)
    return DemoOuting(trial.days_before, rides, trial.note, head_deg, parts)


def _day(history: History, goes: Goes, day: int, rng: np.random.Generator) -> tuple[tuple[float, float], int]:
    """Draw what a day's films share: lateral phase and sides in %, head line in whole degrees."""
    phase_pct = settled_pct(history, day) + rng.normal(0, DAY_SD_PCT)
    sides_pct = history.sides_pct.get(day, 0.0) + rng.normal(0, SIDES_SD_PCT)
    head_deg = goes.head_deg + history.worn_on(day).head_deg + rng.normal(0, HEAD_SD_DEG)
    return (phase_pct, sides_pct), round(head_deg)


def _ride(goes: Goes, phase_pct: float, sides_pct: float, rng: np.random.Generator) -> GaitTiming:
    stride_s = goes.stride_s * (1 + rng.normal(0, RATE_SD_SHARE))
    quicker_hz = 1 / stride_s - 1 / goes.stride_s
    drawn_pct = phase_pct + PHASE_PER_HZ * quicker_hz + rng.normal(0, FILM_SD_PCT)
    return two_sided(Goes(stride_s, goes.duty_fore_pct, goes.duty_hind_pct), drawn_pct, sides_pct)


def two_sided(goes: Goes, phase_pct: float, sides_pct: float) -> GaitTiming:
    """Return a gait whose right hind lands ``sides_pct`` early; both sides together keep their lateral phase."""
    offset = {
        Limb.LH: 0.0,
        Limb.LF: phase_pct - sides_pct / 2,
        Limb.RH: 50 - sides_pct,
        Limb.RF: phase_pct + 50 - sides_pct / 2,
    }
    duty = {limb: goes.duty_hind_pct if limb.is_hind else goes.duty_fore_pct for limb in Limb}
    return GaitTiming(goes.stride_s, offset, duty)
