"""Where in a stretch the foot lands and lifts off: one rule for hooves, one for pasterns and cannons.

Conventions: times are seconds on the sensor's clock. Nothing here depends on how the sensor is turned: only
lengths of vectors are used, and the axis about which the bone turns most, found from the signal itself.

::

    hoof     turn ▁▁▁▁▁▁▁▂▅▇▇▅▂▃▅▇▅▂▁▁▁▁▁▁▁▂▅      still while it stands
                         ╵off        ╵on           jolt as it lands, snap as it leaves

    cannon   turn ─────╲__╱▔▔▔╲─────────╲__╱▔      back with the ground, forward in the swing
                        ╵off   ╵on                 furthest back-turning, then jolt after the forward swing
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from evenfall.contacts.model import Event
from evenfall.contacts.sensor.stepping import Stepping, Stretch, kick_of, running_mean
from evenfall.timebase import FloatArray

__all__ = ["Found", "hoof_events", "limb_events"]

# All our choice; shares are of a stride.
STILL = 0.2  # of the level that the activity stays under for four fifths of the time
BRIEF_S, LEAST_STILL = 0.025, 0.06  # a stir this short breaks no stance; a lull this short makes none
BEFORE_STILL_S, INTO_STILL_S = 0.06, 0.06  # where the landing is sought
AFTER_STILL, BEFORE_END_S = 0.20, 0.02  # where the lift-off is sought
HALF = 0.4  # a jolt begins where it first reaches this share of its highest
SNAP_S, SLOW_S, PROMINENT, ALONE_S = 0.01, 0.035, 0.6, 0.02  # what lasts longer is swing, not snap
SWING_APART, HIGH = 0.6, 0.4
AROUND_CROSSING = (-0.06, 0.15)
BEFORE_SWING = 0.45
AROUND_TROUGH = (-0.12, 0.04)

Span = tuple[int, int]


@dataclass(frozen=True)
class Found:
    """A contact as a signal shows it: when, and how strong its sign is in m/s³, m/s² or rad/s."""

    event: Event
    time_s: float
    strength: float


def hoof_events(stretch: Stretch, stepping: Stepping) -> list[Found]:
    """Return landings and lift-offs of a hoof: it is still from soon after the one to a little before the other."""
    kick = kick_of(
        cast(FloatArray, stretch.turn if stretch.turn is not None else stretch.felt), stretch.rate_hz
    )
    snap = _snap(stretch.felt, stretch.rate_hz) if stretch.felt is not None else None
    found = []
    for first, last in _still_spans(stretch, stepping):
        into_s = min(INTO_STILL_S, 0.5 * (last - first) / stretch.rate_hz)
        around_on = _span(stretch, first, -BEFORE_STILL_S, into_s)
        around_off = _span(stretch, last, -BEFORE_END_S, AFTER_STILL * stepping.near_s(last))
        if around_on and stepping.kept(first - 1, first):
            found.append(_rise(stretch, kick, around_on))
        if around_off and snap is not None and stepping.kept(last, last + 1):
            found.append(_peak(stretch, snap, around_off))
    return found


def limb_events(stretch: Stretch, stepping: Stepping) -> list[Found]:
    """Return landings and lift-offs of a pastern or a cannon, which need acceleration and rate of turn both."""
    felt = cast(FloatArray, stretch.felt)
    kick, snap = kick_of(felt, stretch.rate_hz), _snap(felt, stretch.rate_hz)
    swing = _swing(stretch, stepping, kick)
    found = []
    for peak, crossing in _swings(swing, stepping, stretch.rate_hz):
        period = stepping.near_s(peak)
        around_on = _span(stretch, crossing, *(share * period for share in AROUND_CROSSING))
        before = _span(stretch, peak, -BEFORE_SWING * period, 0.0)
        if around_on:
            found.append(_rise(stretch, kick, around_on))
        if before:
            trough = before[0] + int(np.argmin(swing[before[0] : before[1]]))
            around_off = _span(stretch, trough, *(share * period for share in AROUND_TROUGH))
            if around_off:
                found.append(_peak(stretch, snap, around_off))
    return found


def _snap(felt: FloatArray, rate_hz: float) -> FloatArray:
    """Return how strong the short part of what the sensor feels is, m/s²: the swing's long push and pull left out."""
    quick = running_mean(felt, SNAP_S * rate_hz) - running_mean(felt, SLOW_S * rate_hz)
    return np.asarray(np.linalg.norm(quick, axis=1))


def _still_spans(stretch: Stretch, stepping: Stepping) -> Iterator[Span]:
    """Yield first and last sample of each time the hoof keeps still, one in a stride; it rests where it does not step."""
    still = (stretch.activity < STILL * stepping.level) | np.isnan(stepping.period_s)
    kept: list[Span] = []
    for span in _joined(_runs(still), round(BRIEF_S * stretch.rate_hz)):
        period = stepping.near_s(span[0]) * stretch.rate_hz
        if span[1] - span[0] < LEAST_STILL * period:
            continue
        if kept and span[0] - kept[-1][0] < SWING_APART * period:
            kept[-1] = max(kept[-1], span, key=lambda s: s[1] - s[0])
        else:
            kept.append(span)
    yield from kept


def _runs(flags: NDArray[np.bool_]) -> list[Span]:
    """Return first and last place of each run of true."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    return [(int(a), int(b) - 1) for a, b in edges.reshape(-1, 2)]


def _joined(spans: list[Span], brief: int) -> list[Span]:
    """Join runs that stand no more than ``brief`` samples apart."""
    out: list[Span] = []
    for span in spans:
        if out and span[0] - out[-1][1] <= brief:
            out[-1] = (out[-1][0], span[1])
        else:
            out.append(span)
    return out


def _swing(stretch: Stretch, stepping: Stepping, kick: FloatArray) -> FloatArray:
    """Return the rate of turn about the main axis, rad/s, positive as the limb swings forward.

    Which way is forward the axis does not tell. The landing does: it jolts the limb just as the forward swing ends,
    and nothing jolts it as the backward one does.
    """
    turn = cast(FloatArray, stretch.turn)
    steps = turn[~np.isnan(stepping.period_s)]
    axis = np.linalg.eigh(np.cov(steps.T))[1][:, -1]
    along = running_mean(turn @ axis, 0.02 * stretch.rate_hz)
    return max((along, -along), key=lambda swing: _kicked(stretch, stepping, swing, kick))


def _kicked(stretch: Stretch, stepping: Stepping, swing: FloatArray, kick: FloatArray) -> float:
    """Return the usual jolt at the end of the forward swings."""
    highest = []
    for peak, crossing in _swings(swing, stepping, stretch.rate_hz):
        period = stepping.near_s(peak)
        span = _span(stretch, crossing, *(share * period for share in AROUND_CROSSING))
        if span:
            highest.append(float(kick[span[0] : span[1]].max()))
    return float(np.median(highest)) if highest else 0.0


def _swings(swing: FloatArray, stepping: Stepping, rate_hz: float) -> Iterator[Span]:
    """Yield the height of each forward swing, and where it next turns back."""
    peaks: list[int] = []
    for first, last in _runs(swing > HIGH * stepping.level):
        peak = first + int(np.argmax(swing[first : last + 1]))
        if not stepping.kept(peak, peak):
            continue
        if peaks and peak - peaks[-1] < SWING_APART * stepping.near_s(peak) * rate_hz:
            peaks[-1] = max(peaks[-1], peak, key=lambda place: swing[place])
        else:
            peaks.append(peak)
    for peak in peaks:
        back = np.flatnonzero(swing[peak : peak + int(stepping.near_s(peak) * rate_hz)] <= 0)
        if len(back):
            yield peak, peak + int(back[0])


def _span(stretch: Stretch, place: int, before_s: float, after_s: float) -> Span | None:
    """Return the places from ``before_s`` to ``after_s`` around one; None if they run out of the stretch."""
    first, last = place + round(before_s * stretch.rate_hz), place + round(after_s * stretch.rate_hz) + 1
    return (first, last) if first >= 1 and last <= len(stretch.times_s) and last - first >= 2 else None


def _rise(stretch: Stretch, signal: FloatArray, span: Span) -> Found:
    """Return the landing: where a jolt begins, between the sample before it and the first to show it."""
    near = signal[span[0] : span[1]]
    first = span[0] + int(np.argmax(near >= HALF * near.max()))
    middle_s = stretch.times_s[first] - 0.5 / stretch.rate_hz
    return Found(Event.ON, float(middle_s), float(near.max()))


def _peak(stretch: Stretch, signal: FloatArray, span: Span) -> Found:
    """Return the lift-off: the first height of a signal, alone for 20 ms, that is not far below its highest."""
    near, reach = signal[span[0] : span[1]], round(ALONE_S * stretch.rate_hz)
    around = np.pad(near, reach, mode="edge")
    highest = sliding_window_view(around, 2 * reach + 1).max(axis=1)
    first = int(np.argmax((near >= highest) & (near >= PROMINENT * near.max())))
    return Found(Event.OFF, float(stretch.times_s[span[0] + first]), float(near[first]))
