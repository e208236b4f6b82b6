"""How a made-up horse differs from day to day and from film to film: figures stated here, drawn by a seed.

So that *real or noise?* is a question, every film's lateral phase is drawn about the truth of its setup ::

    phase = settled + at first × (half gone every HALF_GONE_DAYS) + day + film + rate × (stride rate − usual)

All figures are our choice. They are of the size of the spread that trainers see from one day to the next, and nothing
may be concluded from them about a horse that lives.
"""

import numpy as np

from evenfall.contacts import Limb
from evenfall.demo.story import DemoOuting, Goes, History
from evenfall.synth import GaitTiming

__all__ = [
    "DAY_SD_PCT",
    "FILM_SD_PCT",
    "HALF_GONE_DAYS",
    "PHASE_PER_HZ",
    "outings_of",
    "settled_pct",
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
    days = sorted(history.filmed, reverse=True)
    return tuple(_outing(history, history.goes, day) for day in days)


def _outing(history: History, goes: Goes, day: int) -> DemoOuting:
    rng = np.random.default_rng([history.seed, day])
    phase_pct = settled_pct(history, day) + rng.normal(0, DAY_SD_PCT)
    sides_pct = history.sides_pct.get(day, 0.0) + rng.normal(0, SIDES_SD_PCT)
    head_deg = goes.head_deg + history.worn_on(day).head_deg + rng.normal(0, HEAD_SD_DEG)
    rides = tuple(_ride(goes, phase_pct, sides_pct, rng) for _ in range(history.films_an_outing))
    return DemoOuting(day, rides, history.filmed[day], round(head_deg))


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
