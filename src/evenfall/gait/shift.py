"""What would have to change, in time: fronts sooner or later, or hinds later or sooner.

Conventions: milliseconds of real time, positive *later*, negative *sooner*. Landings alone fix only
relative timing, so every answer is given both ways round.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from evenfall.contacts import Limb
from evenfall.gait.estimate import Estimate, Quantity, Unknown, estimate
from evenfall.gait.goals import Goal
from evenfall.gait.timing import Sample, Timing, lateral_phases, likeness
from evenfall.strides import Strides, wrap

__all__ = ["Shift", "share_in_band", "shift_to"]


SURE = 1.5
"""A stride is surely in or out of the band beyond this many of its own dating spreads (by simulation)."""


@dataclass(frozen=True)
class Shift:
    """How much later the fronts, or the hinds, would have to land.

    Parameters
    ----------
    fronts_ms, hinds_ms : Quantity
        To the middle of the goal; positive later, negative sooner.
    fronts_to_band_ms, hinds_to_band_ms : Quantity
        To the near edge of the band; 0 inside it.
    """

    fronts_ms: Quantity
    hinds_ms: Quantity
    fronts_to_band_ms: Quantity
    hinds_to_band_ms: Quantity

    @classmethod
    def unknown(cls, reason: str) -> "Shift":
        """Return a shift that cannot be told, with the reason."""
        return cls(*(Unknown(reason) for _ in range(4)))


def shift_to(goal: Goal, strides: Strides, timing: Timing) -> Shift:
    """Work out the shift of fronts or hinds that would bring the mean stride to the goal.

    Parameters
    ----------
    goal : Goal
    strides : Strides
    timing : Timing
        Measured on the same strides.

    Returns
    -------
    Shift
    """
    phase = timing.lateral_phase_pct["both"]
    if isinstance(phase, Unknown):
        return Shift.unknown(phase.reason)
    rows = [
        (wrap(goal.middle_pct - sample.value, 0.0), sample.sd, length_s)
        for hind in (Limb.LH, Limb.RH)
        for sample, length_s in zip(lateral_phases(strides, hind), _lengths(strides, hind), strict=True)
    ]
    fronts = estimate(
        [10 * gap * length for gap, _, length in rows],
        [10 * sd * length for _, sd, length in rows],
        likeness=likeness([phase.mean]),
    )
    if isinstance(fronts, Unknown):
        return Shift.unknown(fronts.reason)
    to_band = _to_band(phase, goal, 10 * float(np.mean([length for _, _, length in rows])))
    return Shift(fronts, fronts.scaled(-1), to_band, to_band.scaled(-1))


def share_in_band(goal: Goal, strides: Strides) -> Quantity:
    """Share of strides, 0 to 1, whose lateral phase lies in the goal band, both sides counted.

    Returns
    -------
    Estimate or Unknown
        The interval is Jeffreys' for a proportion (Brown, Cai & DasGupta 2001), its lower end counting
        only strides that are in the band by `SURE` times their own dating spread, its upper end those
        that are not out of it by as much: near an edge the pictures alone decide in or out.
    """
    samples = [sample for hind in (Limb.LH, Limb.RH) for sample in lateral_phases(strides, hind)]
    if len(samples) < 2:
        return Unknown("fewer than two strides have a lateral phase")
    n = len(samples)
    surely, inside, maybe = (_count_inside(samples, goal, margin) for margin in (-SURE, 0.0, SURE))
    share = inside / n
    sd = float(np.sqrt(share * (1 - share) * n / (n - 1)))
    return Estimate(share, sd, n, _jeffreys(surely, n, 0.025), _jeffreys(maybe, n, 0.975), n - 1.0)


def _count_inside(samples: Sequence[Sample], goal: Goal, margin: float) -> int:
    """Strides inside the band widened by so many of their own spreads, or narrowed."""
    low, high = goal.band_pct
    return sum(low - margin * s.sd <= wrap(s.value, goal.middle_pct) <= high + margin * s.sd for s in samples)


def _jeffreys(inside: int, n: int, level: float) -> float:
    from scipy.special import betaincinv  # noqa: PLC0415 - half a second, and only needed here

    if (inside, level < 0.5) in ((0, True), (n, False)):
        return float(level > 0.5)
    return float(betaincinv(inside + 0.5, n - inside + 0.5, level))


def _lengths(strides: Strides, hind: Limb) -> list[float]:
    """Real seconds of the strides that have a lateral phase, in their order."""
    return [
        s.hind.duration_s / strides.playback_factor for s in strides.of(hind) if hind.same_side in s.landings
    ]


def _to_band(phase: Estimate, goal: Goal, ms_per_point: float) -> Estimate:
    """The way to the near edge, the interval carried through; nothing to go inside the band."""
    mean = wrap(phase.mean, goal.middle_pct)
    ways = [_way(value, goal.band_pct) for value in (mean, mean + phase.half_width, mean - phase.half_width)]
    return replace(
        phase,
        mean=ways[0] * ms_per_point,
        sd=phase.sd * ms_per_point,
        low=min(ways) * ms_per_point,
        high=max(ways) * ms_per_point,
    )


def _way(phase_pct: float, band_pct: tuple[float, float]) -> float:
    low, high = band_pct
    return max(low - phase_pct, 0.0) + min(high - phase_pct, 0.0)
