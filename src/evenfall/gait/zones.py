"""The zone a gait falls in: by lateral phase and hind duty if it is symmetrical, by its lead if not.

Conventions: shares in % of a stride.
"""

from dataclasses import dataclass

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


@dataclass(frozen=True)
class Placing:
    """Where a gait falls.

    Parameters
    ----------
    zone : str or None
        The likeliest zone; None if the evidence carries none.
    reason : str
        Why there is none, empty otherwise.
    chances : tuple of (str, float)
        Zones with their probabilities, likeliest first, those under 5 % left out.
    symmetrical : bool or None
    lead : str or None
        ``left``, ``right`` or ``disunited`` of a canter or gallop.
    walking_or_running : str
        ``walking``, ``running`` or ``unknown``, by a hind duty above or below 50 %.
    walking_chance : float or None
        Probability that the hind duty lies above 50 %.
    """

    zone: str | None
    reason: str
    chances: tuple[tuple[str, float], ...]
    symmetrical: bool | None
    lead: str | None
    walking_or_running: str
    walking_chance: float | None

    @property
    def confidence(self) -> float | None:
        """Probability of the likeliest zone."""
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
    symmetrical = _symmetrical(timing)
    word, chance = _walking_or_running(timing.duty_hinds_pct)
    if symmetrical is False:
        zone, lead = _canter_or_gallop(timing)
        return Placing(zone, "", ((zone, 1.0),), False, lead, word, chance)
    phase = timing.lateral_phase_pct["both"]
    if isinstance(phase, Unknown):
        return Placing(None, phase.reason, (), symmetrical, None, word, chance)
    chances = zone_chances(phase)
    return Placing(chances[0][0], "", chances, symmetrical, None, word, chance)


def zone_chances(phase: Estimate) -> tuple[tuple[str, float], ...]:
    """Probability of each zone given a lateral phase, likeliest first, those under 5 % left out."""
    turns = (-100.0, 0.0, 100.0)
    all_chances = (
        (zone.name, sum(probability_between(phase, zone.low + t, zone.high + t) for t in turns))
        for zone in ZONES
    )
    ranked = sorted(all_chances, key=lambda entry: -entry[1])
    return tuple(entry for i, entry in enumerate(ranked) if i == 0 or entry[1] >= LEAST_SHOWN)


def _symmetrical(timing: Timing) -> bool | None:
    known = [q for q in (timing.hind_pair_pct, timing.fore_pair_pct) if isinstance(q, Estimate)]
    if not known:
        return None
    return all(abs(pair.mean - 50) <= SYMMETRICAL_WITHIN for pair in known)


def _walking_or_running(duty: Quantity) -> tuple[str, float | None]:
    if isinstance(duty, Unknown):
        return "unknown", None
    return ("walking" if duty.mean > 50 else "running"), probability_between(duty, 50, 200)


def _canter_or_gallop(timing: Timing) -> tuple[str, str]:
    """Name an asymmetrical gait and its lead.

    The foot of a pair that lands second leads: when the right follows the left by less than half a
    stride, the right leads.
    """
    pairs = (timing.hind_pair_pct, timing.fore_pair_pct)
    leads = {"right" if q.mean < 50 else "left" for q in pairs if isinstance(q, Estimate)}
    lead = leads.pop() if len(leads) == 1 else "disunited"
    trailing_side = {"right": "left", "left": "right"}.get(lead)
    gap = timing.diagonal_gap_pct[trailing_side] if trailing_side else Unknown("disunited")
    if isinstance(gap, Unknown):
        return "canter or gallop", lead
    return ("canter" if abs(gap.mean) <= THREE_BEAT_WITHIN else "gallop"), lead
