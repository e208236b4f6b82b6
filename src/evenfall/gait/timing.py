"""Timing of the four feet: every statistic with mean, spread, count and interval.

Conventions: lengths of time are real seconds (the playback factor is taken out); shares are % of a
stride. Lateral phase runs from a hind landing to the same-side fore landing: 0 pace, 25 even, 50 trot.
A diagonal gap runs from a fore landing to the diagonal hind's and is positive when the fore lands first
(the sign of the gaited-horse papers: Clayton & Bradbury 1995, Nicodemus et al. 2002; trot papers often
turn it round). Its key is the side of the fore. The two close: lateral + diagonal = 50 in a symmetrical
gait. Left–right differences are left minus right.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from evenfall.contacts import Contact, Limb, between
from evenfall.gait.estimate import Quantity, Unknown, difference, estimate, estimate_phase
from evenfall.gait.support import KINDS, shares_between
from evenfall.strides import Cycle, Stride, Strides, wrap

__all__ = ["PHASE_MIDDLE", "Sample", "Timing", "lateral_phases", "likeness", "measure", "pair_phases"]

PHASE_MIDDLE = 37.5
"""Lateral phases are given from −12.5 to 87.5: the cut lies where no horse goes."""

NO_LIFT_OFFS = "needs lift-offs: mark when the feet leave the ground too"

SIDES = {"left": Limb.LH, "right": Limb.RH}


@dataclass(frozen=True)
class Sample:
    """One stride's value, when, and how sharply the contacts fix it.

    Parameters
    ----------
    time_s : float
        Start of the stride on the clip's clock.
    value, sd : float
        In the statistic's unit.
    """

    time_s: float
    value: float
    sd: float


@dataclass(frozen=True)
class Timing:
    """Everything measured on the timing of a stretch of strides.

    Parameters
    ----------
    stride_s, stride_rate_per_min : Quantity
    stance_s, swing_s, duty_pct : mapping of Limb to Quantity
    duty_hinds_pct : Quantity
        Both hinds together: what tells a walking from a running gait.
    lateral_phase_pct, diagonal_gap_pct : mapping of str to Quantity
        ``left``, ``right`` and ``both``.
    lift_off_pct : mapping of str to Quantity
        Advanced lift-offs: ``lateral`` from hind to same-side fore, ``diagonal`` from fore to diagonal hind.
    hind_pair_pct, fore_pair_pct : Quantity
        From the left to the right landing of the pair; 50 in a symmetrical gait.
    gaps_pct : mapping of str to Quantity
        The four gaps between beats in the order the feet land, keyed ``LH-LF`` and so on.
    support_pct : mapping of str to Quantity
        By kind, `evenfall.gait.support.KINDS`.
    left_right_pct : mapping of str to Quantity
        Left minus right.
    """

    stride_s: Quantity
    stride_rate_per_min: Quantity
    stance_s: Mapping[Limb, Quantity]
    swing_s: Mapping[Limb, Quantity]
    duty_pct: Mapping[Limb, Quantity]
    duty_hinds_pct: Quantity
    lateral_phase_pct: Mapping[str, Quantity]
    diagonal_gap_pct: Mapping[str, Quantity]
    lift_off_pct: Mapping[str, Quantity]
    hind_pair_pct: Quantity
    fore_pair_pct: Quantity
    gaps_pct: Mapping[str, Quantity]
    support_pct: Mapping[str, Quantity]
    left_right_pct: Mapping[str, Quantity]


def measure(strides: Strides) -> Timing:
    """Measure the timing of a stretch of strides.

    Parameters
    ----------
    strides : Strides

    Returns
    -------
    Timing
        Each number on the strides that can give it; `Unknown` with the reason where none can.
    """
    lateral = {side: lateral_phases(strides, hind) for side, hind in SIDES.items()}
    diagonal = {
        "left": _between(strides.of(Limb.LH), Limb.LF, Limb.RH, 12.5),
        "right": _between(strides.of(Limb.RH), Limb.RF, Limb.LH, 12.5),
    }
    duty = {limb: _cycle_samples(strides, limb, _duty) for limb in Limb}
    duty_pct = {limb: _mean(samples, NO_LIFT_OFFS) for limb, samples in duty.items()}
    lateral_pct = {side: _phase(samples, chained=True) for side, samples in lateral.items()}
    lateral_pct["both"] = _phase([*lateral["left"], *lateral["right"]], chained=True)
    return Timing(
        stride_s=_mean(_stride_lengths(strides, _duration)),
        stride_rate_per_min=_mean(_stride_lengths(strides, _rate)),
        stance_s={limb: _mean(_cycle_samples(strides, limb, _stance), NO_LIFT_OFFS) for limb in Limb},
        swing_s={limb: _mean(_cycle_samples(strides, limb, _swing), NO_LIFT_OFFS) for limb in Limb},
        duty_pct={limb: _possible(share) for limb, share in duty_pct.items()},
        duty_hinds_pct=_possible(_mean([*duty[Limb.LH], *duty[Limb.RH]], NO_LIFT_OFFS)),
        lateral_phase_pct=lateral_pct,
        diagonal_gap_pct=_sided(diagonal, about=12.5),
        lift_off_pct=_lift_offs(strides),
        hind_pair_pct=_pair(strides, hinds=True),
        fore_pair_pct=_pair(strides, hinds=False),
        gaps_pct=_gaps(strides),
        support_pct=_support(strides),
        left_right_pct=_left_right(strides, lateral_pct, duty_pct),
    )


def lateral_phases(strides: Strides, hind: Limb) -> list[Sample]:
    """Lateral phase of every stride that a hind foot begins, %."""
    return _between(strides.of(hind), hind, hind.same_side, PHASE_MIDDLE)


def pair_phases(strides: Strides, hind: Limb, *, hinds: bool) -> list[Sample]:
    """Share of the stride from the left to the right landing of a pair, for the strides a hind foot begins, %."""
    left, right = (Limb.LH, Limb.RH) if hinds else (Limb.LF, Limb.RF)
    if hind is Limb.LH:
        return _between(strides.of(hind), left, right, 50)
    turned = _between(strides.of(hind), right, left, 50)
    return [Sample(s.time_s, wrap(100 - s.value, 50), s.sd) for s in turned]


# one stride, one value ----------------------------------------------------------------------------------


def _between(strides: Iterable[Stride], first: Limb, second: Limb, about: float) -> list[Sample]:
    """Share of each stride from one foot's landing to another's; either may be the hind that begins it."""
    samples = []
    for s in strides:
        marks = {**s.landings, s.hind.limb: s.hind.landing}
        if first in marks and second in marks:
            share = 100 * (marks[second].time_s - marks[first].time_s) / s.hind.duration_s
            sd = _share_sd(s.hind, share, (marks[first], marks[second]))
            samples.append(Sample(s.start_s, wrap(share, about), sd))
    return samples


def _share_sd(cycle: Cycle, share_pct: float, ends: tuple[Contact, Contact]) -> float:
    """Standard deviation of (end − end) / cycle from those of the marks, %.

    The cycle's own ends enter with the share: a landing that is one end of both is counted once.
    """
    share = share_pct / 100
    weights: dict[Contact, float] = {}
    for mark, weight in (
        (ends[1], 1.0),
        (ends[0], -1.0),
        (cycle.next_landing, -share),
        (cycle.landing, share),
    ):
        weights[mark] = weights.get(mark, 0.0) + weight
    variance = sum((weight * mark.sd_s) ** 2 for mark, weight in weights.items())
    return float(100 * np.sqrt(variance) / cycle.duration_s)


def _duration(cycle: Cycle, factor: float) -> tuple[float, float]:
    sd = np.hypot(cycle.landing.sd_s, cycle.next_landing.sd_s)
    return cycle.duration_s / factor, float(sd) / factor


def _rate(cycle: Cycle, factor: float) -> tuple[float, float]:
    seconds, sd = _duration(cycle, factor)
    return 60 / seconds, 60 * sd / seconds**2


def _stance(cycle: Cycle, factor: float) -> tuple[float, float] | None:
    if cycle.lift_off is None:
        return None
    sd = np.hypot(cycle.landing.sd_s, cycle.lift_off.sd_s)
    return (cycle.lift_off.time_s - cycle.landing.time_s) / factor, float(sd) / factor


def _swing(cycle: Cycle, factor: float) -> tuple[float, float] | None:
    if cycle.lift_off is None:
        return None
    sd = np.hypot(cycle.lift_off.sd_s, cycle.next_landing.sd_s)
    return (cycle.next_landing.time_s - cycle.lift_off.time_s) / factor, float(sd) / factor


def _duty(cycle: Cycle, factor: float) -> tuple[float, float] | None:  # noqa: ARG001 - a share has no clock
    if cycle.lift_off is None:
        return None
    share = 100 * (cycle.lift_off.time_s - cycle.landing.time_s) / cycle.duration_s
    return share, _share_sd(cycle, share, (cycle.landing, cycle.lift_off))


# many strides -------------------------------------------------------------------------------------------


def _cycle_samples(
    strides: Strides, limb: Limb, value: Callable[[Cycle, float], tuple[float, float] | None]
) -> list[Sample]:
    found = ((c.start_s, value(c, strides.playback_factor)) for c in strides.trusted_cycles(limb))
    return [Sample(start, *pair) for start, pair in found if pair is not None]


def _stride_lengths(strides: Strides, value: Callable[[Cycle, float], tuple[float, float]]) -> list[Sample]:
    """One value a stride, of the foot with most cycles; a hind if it has as many."""
    order = (Limb.LH, Limb.RH, Limb.LF, Limb.RF)
    best = max(order, key=lambda limb: len(strides.trusted_cycles(limb)))
    return _cycle_samples(strides, best, value)


def _mean(samples: Sequence[Sample], missing: str = "no stride was marked for it") -> Quantity:
    return estimate([s.value for s in samples], [s.sd for s in samples], missing=missing)


def _phase(
    samples: Sequence[Sample],
    about: float = PHASE_MIDDLE,
    *,
    readings: int | None = None,
    chained: bool = False,
) -> Quantity:
    """Mean phase; ``chained`` where each stride ends with the landing from which the next is counted."""
    missing = "no stride has both landings it needs"
    values, sds = [s.value for s in samples], [s.sd for s in samples]
    alike = likeness(values) if chained and values else 0.0
    return estimate_phase(values, sds, about=about, missing=missing, readings=readings, likeness=alike)


def likeness(phases_pct: Sequence[float]) -> float:
    """Correlation of neighbouring phases p = (fore − hind) / (next hind − hind) when every landing strays alike.

    A hind landing that comes late by e moves the phase before it by −p e and its own by −(1 − p) e.
    """
    turn = np.exp(2j * np.pi * np.asarray(phases_pct) / 100).mean()
    p = float(np.angle(turn) / (2 * np.pi)) % 1.0
    return p * (1 - p) / (1 + p**2 + (1 - p) ** 2)


def _pair(strides: Strides, *, hinds: bool) -> Quantity:
    """One pair's phase; left and right strides hold the same steps, so the two sides count once."""
    sides = [pair_phases(strides, hind, hinds=hinds) for hind in SIDES.values()]
    return _phase([*sides[0], *sides[1]], about=50, readings=max(map(len, sides)))


def _sided(samples: Mapping[str, Sequence[Sample]], about: float) -> dict[str, Quantity]:
    both = [sample for side in samples.values() for sample in side]
    return {**{side: _phase(each, about) for side, each in samples.items()}, "both": _phase(both, about)}


def _lift_offs(strides: Strides) -> dict[str, Quantity]:
    lateral = [x for hind in SIDES.values() for x in _off_to_off(strides, hind, hind.same_side)]
    diagonal = [x for hind in SIDES.values() for x in _off_to_off(strides, hind.same_side, hind.across)]
    return {
        name: estimate_phase(
            [s.value for s in each],
            [s.sd for s in each],
            about=about,
            missing=NO_LIFT_OFFS,
            likeness=likeness([s.value for s in each]) if each else 0.0,
        )
        for name, each, about in (("lateral", lateral, PHASE_MIDDLE), ("diagonal", diagonal, 12.5))
    }


def _off_to_off(strides: Strides, first: Limb, second: Limb) -> list[Sample]:
    """From each lift-off of one foot to another's in the stride around it, as a share of the first one's cycle."""
    others = strides.contacts.lift_offs(second)
    samples = []
    for cycle in strides.trusted_cycles(first):
        if cycle.lift_off is None:
            continue
        off = cycle.lift_off
        window = (off.time_s - 0.25 * cycle.duration_s, off.time_s + 0.75 * cycle.duration_s)
        for other in between(others, *window)[:1]:
            share = 100 * (other.time_s - off.time_s) / cycle.duration_s
            samples.append(Sample(cycle.start_s, share, _share_sd(cycle, share, (off, other))))
    return samples


def _gaps(strides: Strides) -> dict[str, Quantity]:
    """The four gaps between beats, in the order in which the feet land on average."""
    hind = max(SIDES.values(), key=lambda limb: sum(s.complete for s in strides.of(limb)))
    whole = [s for s in strides.of(hind) if s.complete]
    if not whole:
        return dict.fromkeys(("LH-LF", "LF-RH", "RH-RF", "RF-LH"), Unknown("no stride has all four landings"))
    places = {limb: _phase(_between(whole, hind, limb, PHASE_MIDDLE)) for limb in Limb if limb is not hind}
    means = {limb: 0.0 if isinstance(q, Unknown) else q.mean for limb, q in places.items()} | {hind: 0.0}
    order = sorted(means, key=lambda limb: (means[limb] - means[Limb.LH]) % 100)
    gaps: dict[str, Quantity] = {}
    for first, second in zip(order, [*order[1:], order[0]], strict=True):
        expected = (means[second] - means[first]) % 100
        gaps[f"{first}-{second}"] = _phase(_between(whole, first, second, expected), about=expected)
    return gaps


def _support(strides: Strides) -> dict[str, Quantity]:
    hind = max(SIDES.values(), key=lambda limb: len(strides.of(limb)))
    spans = [s.hind for s in strides.of(hind) if s.complete]
    rows = [(c, shares_between(strides.contacts, c.start_s, c.next_landing.time_s)) for c in spans]
    known = [(cycle, shares) for cycle, shares in rows if shares is not None]
    result: dict[str, Quantity] = {}
    for kind in KINDS:
        sds = [100 * np.sqrt(2) * c.landing.sd_s / c.duration_s for c, _ in known]
        share = estimate([shares[kind] for _, shares in known], sds, missing=NO_LIFT_OFFS)
        result[kind] = _possible(share)
    return result


def _left_right(
    strides: Strides, lateral_pct: Mapping[str, Quantity], duty_pct: Mapping[Limb, Quantity]
) -> dict[str, Quantity]:
    """Left minus right: of the steps (left to right against right to left), the phases and the duties."""
    steps = {name: _pair(strides, hinds=hinds) for name, hinds in (("hind_step", True), ("fore_step", False))}
    return {
        **{
            name: step if isinstance(step, Unknown) else step.scaled(2, plus=-100)
            for name, step in steps.items()
        },
        "lateral_phase": _nearest_zero(difference(lateral_pct["left"], lateral_pct["right"])),
        "duty_hind": difference(duty_pct[Limb.LH], duty_pct[Limb.RH]),
        "duty_fore": difference(duty_pct[Limb.LF], duty_pct[Limb.RF]),
    }


def _nearest_zero(share: Quantity) -> Quantity:
    """A difference of two places on the circle, the short way round."""
    if isinstance(share, Unknown):
        return share
    return share.scaled(1.0, plus=wrap(share.mean, 0.0) - share.mean)


def _possible(share: Quantity) -> Quantity:
    """A share with its interval cut to 0 to 100 %."""
    return share if isinstance(share, Unknown) else share.clipped(0.0, 100.0)
