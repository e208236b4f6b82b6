"""What the films on a step show, held against the proof it asks for, and what is missing.

A film counts when it is not among the first passes after a change, was measured, and went at the earlier step's speed.
What does not count is set apart and told.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, log
from statistics import fmean, median

from evenfall.plan.dip import Slip, slip_of
from evenfall.plan.gates import Gate
from evenfall.plan.ladder import Proof, Step
from evenfall.plan.problem import out_of_band
from evenfall.plan.sureness import Count, Spread, odd_film, share_of, spread_of, sure_of
from evenfall.progress.passes import Pass
from evenfall.progress.settling import is_new

__all__ = ["SPEED_WITHIN_M_S", "SPREAD_WITHIN", "STRIDE_RATE_WITHIN", "Before", "Evidence", "step_evidence"]

SPEED_WITHIN_M_S = 0.30
"""How near the earlier step's speed counts as matched. 0.30 m/s alone raises the fore foot as much as 280 g on it
(Rumpler 2010, abstract, and arithmetic); that it is the limit is our choice."""

STRIDE_RATE_WITHIN = 0.05
"""The same as a share of the stride rate, where no speed is known (our choice)."""

SPREAD_WITHIN = 1.25
"""The strides' spread may be this many times the earlier step's and still be no worse (our choice)."""

MOST_MORE = 20
PHASE = "lateral phase"

_NO_SHARE: tuple[None, None, tuple[None, None]] = (None, None, (None, None))


@dataclass(frozen=True)
class Before:
    """What went before a step.

    Parameters
    ----------
    since : datetime.date or None
        Since when the horse is on the step.
    earlier : tuple of Pass
        The films of the step before: their speed, spread and phase are what the step is held against.
    others : tuple of tuple of Pass
        The horse's films on further steps, a group a step; with ``earlier`` they tell how films of this horse differ.
    """

    since: date | None = None
    earlier: tuple[Pass, ...] = ()
    others: tuple[tuple[Pass, ...], ...] = ()


@dataclass(frozen=True)
class Evidence:
    """The films of a step.

    Parameters
    ----------
    share, share_low, share_high : float or None
        The horse's share of strides in the band on this step, 0 to 1, with its 95 % interval; None without films.
    sure : float or None
        P(share ≥ what the proof asks).
    films, strides, in_band, days, span_days : int
        Films that count, their strides, those of them in the band, on how many days, and the days from first to last.
    directions : tuple of str
        ``left``, ``right``.
    spread_pct, spread_before_pct : float or None
        The strides' spread in a typical film, on this step and the one before, % of the stride.
    out_points : float or None
        How far the mean lateral phase lies outside the band.
    apart : tuple of str
        Films set apart, and why.
    missing : tuple of str
        What the proof still asks for; empty when it is complete.
    slip : Slip or None
        How far the old gait came back since the step, at the earlier speed where the proof asks for it; None where the
        day of the step is not said, or no film tells where the horse was before it.
    more_films : int or None
        How many further films like these would make it sure enough and films enough; 0 if none, None if 20 would not.
    """

    share: float | None
    share_low: float | None
    share_high: float | None
    sure: float | None
    films: int
    strides: int
    in_band: int
    days: int
    span_days: int
    directions: tuple[str, ...]
    spread_pct: float | None
    spread_before_pct: float | None
    out_points: float | None
    apart: tuple[str, ...]
    missing: tuple[str, ...]
    slip: Slip | None
    more_films: int | None

    @property
    def complete(self) -> bool:
        """Whether the proof is complete."""
        return not self.missing


def step_evidence(
    step: Step,
    passes: Sequence[Pass],
    band: tuple[float, float],
    *,
    before: Before | None = None,
    gate: Gate | None = None,
) -> Evidence:
    """Hold the films on a step against its proof.

    Parameters
    ----------
    step : Step
    passes : sequence of Pass
        The films of this step.
    band : tuple of float
        The goal band, % of the stride.
    before : Before, optional
    gate : Gate, optional
        Closed, it is missing evidence by itself.
    """
    before = before or Before()
    counted, apart = _counted(passes, before.earlier, matched=step.proof.speed_matched)
    spread = spread_of([_counts(group) for group in (before.earlier, *before.others)])
    counts = _counts(counted)
    mean, sure, (low, high) = share_of(counts, step.proof.share, spread=spread) if counts else _NO_SHARE
    spreads = _typical_spread(counted), _typical_spread(before.earlier)
    phases = [each.values[PHASE].mean for each in counted if PHASE in each.values]
    return Evidence(
        share=mean,
        share_low=low,
        share_high=high,
        sure=sure,
        films=len(counted),
        strides=sum(count for _, count in counts),
        in_band=sum(inside for inside, _ in counts),
        days=len({each.on_date for each in counted}),
        span_days=_span_days(counted),
        directions=_directions(counted),
        spread_pct=spreads[0],
        spread_before_pct=spreads[1],
        out_points=out_of_band(fmean(phases), band) if phases else None,
        apart=apart,
        missing=(
            *_missing_films(step.proof, counted),
            *_missing_share(step.proof, counts, spread, sure),
            *_missing_spread(step.proof, *spreads, asked=bool(before.earlier)),
            *((f"a flag stands: {gate.reasons[0]}",) if gate and not gate.open else ()),
        ),
        slip=_slip(passes, before, band, matched=step.proof.speed_matched),
        more_films=_more_films(counts, step.proof, spread),
    )


def _slip(passes: Sequence[Pass], before: Before, band: tuple[float, float], *, matched: bool) -> Slip | None:
    """How far the old gait came back, by films at the earlier step's speed, the first after the change among them."""
    if before.since is None or not before.earlier:
        return None
    alike = _at_speed(list(passes), before.earlier) if matched else passes
    return slip_of(alike, band, since=before.since, before=before.earlier)


def _counted(
    passes: Sequence[Pass], earlier: Sequence[Pass], *, matched: bool
) -> tuple[list[Pass], tuple[str, ...]]:
    """The films that count, and why the others do not."""
    measured = [each for each in passes if each.in_band is not None and each.strides > 0]
    settled = [each for each in measured if not is_new(each)]
    counted = _at_speed(settled, earlier) if matched else settled
    reasons = (
        (len(passes) - len(measured), "without strides held against the band"),
        (len(measured) - len(settled), "among the first passes after a change, when anything is new"),
        (len(settled) - len(counted), "at another speed than the earlier step, or of unknown speed"),
    )
    return counted, tuple(f"{_films(count)} {why}" for count, why in reasons if count)


def _at_speed(passes: list[Pass], earlier: Sequence[Pass]) -> list[Pass]:
    """The films at the earlier step's speed, or at their own middle speed if there is no earlier step."""
    reference = [each for each in earlier if not is_new(each)] or list(earlier) or passes
    by_speed = all(each.speed_m_s is not None for each in (*passes, *reference))
    rates = [each.stride_rate_hz for each in reference if each.stride_rate_hz]
    if by_speed and reference:
        middle = median(each.speed_m_s or 0.0 for each in reference)
        return [each for each in passes if abs((each.speed_m_s or 0.0) - middle) <= SPEED_WITHIN_M_S]
    if not rates:
        return []
    middle = median(rates)
    return [
        each
        for each in passes
        if each.stride_rate_hz and abs(each.stride_rate_hz / middle - 1) <= STRIDE_RATE_WITHIN
    ]


def _span_days(passes: Sequence[Pass]) -> int:
    """Days from the first to the last."""
    days = [each.on_date for each in passes]
    return (max(days) - min(days)).days if days else 0


def _counts(passes: Sequence[Pass]) -> list[Count]:
    return [(each.in_band, each.strides) for each in passes if each.in_band is not None and each.strides > 0]


def _typical_spread(passes: Sequence[Pass]) -> float | None:
    """Geometric mean over the films of the strides' spread, % of the stride."""
    values = [each.values["evenness"].mean for each in passes if "evenness" in each.values]
    logs = [log(value) for value in values if value > 0]
    return exp(fmean(logs)) if logs else None


def _directions(passes: Sequence[Pass]) -> tuple[str, ...]:
    """Left, right, or both, by the words of the outings."""
    words = [each.direction.lower() for each in passes]
    both = any("there and back" in each or "both" in each for each in words)
    return tuple(side for side in ("left", "right") if both or any(side in each for each in words))


def _missing_films(proof: Proof, counted: Sequence[Pass]) -> list[str]:
    missing = []
    if len(counted) < proof.least_films:
        missing.append(
            f"{_films(proof.least_films - len(counted))} more at the earlier speed ({proof.least_films} in all)"
        )
    span = _span_days(counted)
    if span < proof.days_apart:
        missing.append(f"films at least {proof.days_apart} days apart; these are {span} apart")
    absent = [side for side in ("left", "right") if side not in _directions(counted)]
    if proof.both_directions and absent:
        missing.append(f"a film on the {' and the '.join(absent)} rein, or there and back")
    return missing


def _missing_share(proof: Proof, counts: list[Count], spread: Spread, sure: float | None) -> list[str]:
    missing = []
    if sure is not None and sure < proof.sure:
        missing.append(
            f"sureness that at least {100 * proof.share:.0f} % of the strides are in the band: "
            f"{_cut(sure)}, {proof.sure:g} asked for"
        )
    if (odd := odd_film(counts, spread=spread)) is not None:
        inside, strides = counts[odd]
        missing.append(f"why one film lies far below the others ({inside} of {strides} strides in the band)")
    return missing


def _missing_spread(proof: Proof, own: float | None, before: float | None, *, asked: bool) -> list[str]:
    if not proof.spread_no_worse or not asked:
        return []
    if own is None or before is None:
        return ["the spread of the strides, here and on the earlier step"]
    if own > SPREAD_WITHIN * before:
        return [f"strides that spread no more than before: {own:.1f} %, on the earlier step {before:.1f} %"]
    return []


def _more_films(counts: list[Count], proof: Proof, spread: Spread) -> int | None:
    """How many further films of the same share and length would do; never fewer than are asked for."""
    if not counts:
        return None
    inside, strides = sum(k for k, _ in counts), sum(n for _, n in counts)
    length = max(1, round(strides / len(counts)))
    like_these = (int(length * inside / strides), length)
    for more in range(max(0, proof.least_films - len(counts)), MOST_MORE + 1):
        if sure_of([*counts, *[like_these] * more], proof.share, spread=spread) >= proof.sure:
            return more
    return None


def _films(count: int) -> str:
    return f"{count} film{'' if count == 1 else 's'}"


def _cut(share: float) -> str:
    """Two decimals, cut and not rounded, so that what falls short never reads as enough."""
    return f"{int(100 * share) / 100:.2f}"
