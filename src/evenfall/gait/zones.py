"""The zone a gait falls in: by lateral phase and hind duty if it is symmetrical, by its lead if not.

Conventions: shares in % of a stride.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from evenfall.gait.estimate import Estimate, Quantity, Unknown, probability_between
from evenfall.gait.timing import Timing

__all__ = ["ZONES", "Placing", "Zone", "place"]


@dataclass(frozen=True)
class Zone:
    """A band of lateral phase with its name."""

    low: float
    high: float
    name: str


ZONES = (
    Zone(-6.25, 6.25, "pace"),
    Zone(6.25, 18.75, "lateral sequence, lateral couplets"),
    Zone(18.75, 31.25, "lateral sequence singlefoot"),
    Zone(31.25, 43.75, "lateral sequence, diagonal couplets"),
    Zone(43.75, 56.25, "trot"),
    Zone(56.25, 68.75, "diagonal sequence, diagonal couplets"),
    Zone(68.75, 81.25, "diagonal sequence singlefoot"),
    Zone(81.25, 93.75, "diagonal sequence, lateral couplets"),
)
"""Hildebrand's eight equal bands of limb phase (Hildebrand 1976; limits from memory, the trot band
matched by Clayton & Hobbs 2019 at second hand)."""

SYMMETRICAL_WITHIN = 10.0
"""Both pairs land within this of half a stride apart (Schmitt et al. 2006, figure 2 caption: cycles that
deviate by no more than 10 % in both pairs are kept)."""

THREE_BEAT_WITHIN = 6.25
"""A canter's leading hind and trailing fore land within half a zone of each other; beyond, it is the
four-beat order of the gallop (our choice)."""

LEAST_SHOWN = 0.05
LIKELIER_THAN_NOT = 0.5


@dataclass(frozen=True)
class Placing:
    """Where a gait falls.

    Parameters
    ----------
    zone : str or None
        The likeliest zone, canter or gallop only where both pairs land unevenly; None if the evidence carries none.
    reason : str
        Why there is none, empty otherwise.
    chances : tuple of (str, float)
        Zones with their probabilities, the one that is given first, those under 5 % left out.
    symmetrical : bool or None
        Whether both pairs land evenly enough; None if neither is known.
    uneven : tuple of str
        Pairs that do not: ``hinds``, ``fores``.
    lead : str or None
        ``left``, ``right`` or ``disunited`` of a canter or gallop, None of any other gait.
    walking_or_running : str
        ``walking``, ``running`` or ``unknown``, by a hind duty above or below 50 %.
    walking_chance : float or None
        Probability that the hind duty lies above 50 %.
    """

    zone: str | None
    reason: str
    chances: tuple[tuple[str, float], ...]
    symmetrical: bool | None
    uneven: tuple[str, ...]
    lead: str | None
    walking_or_running: str
    walking_chance: float | None

    @classmethod
    def unknown(cls, reason: str) -> "Placing":
        """Return a placing that cannot be told, with the reason."""
        return cls(None, reason, (), None, (), None, "unknown", None)

    @property
    def confidence(self) -> float | None:
        """Probability of the zone that is given."""
        return self.chances[0][1] if self.chances else None


def place(timing: Timing) -> Placing:
    """Place a gait by its timing.

    Parameters
    ----------
    timing : Timing

    Returns
    -------
    Placing

    Notes
    -----
    Walking and running are told apart by the hind duty factor at 50 % (Hildebrand's convention). Tölt is
    its known conflict: duty says run, the missing flight says walk (Starke et al. 2009).
    """
    word, walking = _walking_or_running(timing.duty_hinds_pct)
    pairs = {"hinds": timing.hind_pair_pct, "fores": timing.fore_pair_pct}
    known = {name: pair for name, pair in pairs.items() if isinstance(pair, Estimate)}
    uneven = tuple(name for name, pair in known.items() if abs(pair.mean - 50) > SYMMETRICAL_WITHIN)
    asymmetrical = _chance_of_lead(known)
    lead = _lead(known) if len(uneven) == 2 and asymmetrical >= LIKELIER_THAN_NOT else None
    chances = _chances(timing, asymmetrical, lead)
    return Placing(
        zone=chances[0][0] if chances else None,
        reason="" if chances else _why_no_zone(timing),
        chances=chances,
        symmetrical=not uneven if known else None,
        uneven=uneven,
        lead=lead,
        walking_or_running=word,
        walking_chance=walking,
    )


def zone_chances(phase: Estimate) -> tuple[tuple[str, float], ...]:
    """Probability of each zone given a lateral phase, likeliest first, those under 5 % left out."""
    turns = (-100.0, 0.0, 100.0)
    all_chances = (
        (zone.name, sum(probability_between(phase, zone.low + t, zone.high + t) for t in turns))
        for zone in ZONES
    )
    ranked = sorted(all_chances, key=lambda entry: -entry[1])
    return tuple(entry for i, entry in enumerate(ranked) if i == 0 or entry[1] >= LEAST_SHOWN)


def _chances(timing: Timing, asymmetrical: float, lead: str | None) -> tuple[tuple[str, float], ...]:
    """Zones with their probabilities; canter or gallop among them as far as both pairs may be uneven."""
    phase = timing.lateral_phase_pct["both"]
    zones = () if isinstance(phase, Unknown) else zone_chances(phase)
    if not zones and not lead:
        return ()
    ranked = [(zone, chance * (1 - asymmetrical)) for zone, chance in zones]
    with_lead = (_canter_or_gallop(timing, lead), asymmetrical)
    likeliest, *others = [with_lead, *ranked] if lead else [*ranked, with_lead]
    return (likeliest, *(entry for entry in others if entry[1] >= LEAST_SHOWN))


def _chance_of_lead(pairs: Mapping[str, Estimate]) -> float:
    """Probability that the pairs land unevenly, each by its own interval; a pair that is not known rules nothing out."""
    even = (50 - SYMMETRICAL_WITHIN, 50 + SYMMETRICAL_WITHIN)
    chances = [1 - probability_between(pair, *even) for pair in pairs.values()]
    return float(np.prod(chances)) if chances else 0.0


def _why_no_zone(timing: Timing) -> str:
    phase = timing.lateral_phase_pct["both"]
    return phase.reason if isinstance(phase, Unknown) else ""


def _walking_or_running(duty: Quantity) -> tuple[str, float | None]:
    if isinstance(duty, Unknown):
        return "unknown", None
    return ("walking" if duty.mean > 50 else "running"), probability_between(duty, 50, 200)


def _lead(pairs: Mapping[str, Estimate]) -> str | None:
    """The lead of two uneven pairs.

    The foot of a pair that lands second leads: when the right follows the left by less than half a
    stride, the right leads. Fores and hinds on different leads are disunited only if both are surely so.
    """
    leads = {"right" if pair.mean < 50 else "left" for pair in pairs.values()}
    if len(leads) == 1:
        return leads.pop()
    sure = all(pair.high < 50 or pair.low > 50 for pair in pairs.values())
    return "disunited" if sure else None


def _canter_or_gallop(timing: Timing, lead: str | None) -> str:
    trailing_side = {"right": "left", "left": "right"}.get(lead or "")
    gap = timing.diagonal_gap_pct[trailing_side] if trailing_side else Unknown("no lead")
    if isinstance(gap, Unknown):
        return "canter or gallop"
    return "canter" if abs(gap.mean) <= THREE_BEAT_WITHIN else "gallop"
