"""A reading as plain data for machines: the object that ``evenfall read --json`` prints.

The contract, with units and signs, stands in ``docs/reference/json.md``. Lengths of time under
``timing`` and ``shift_ms`` are real time; ``time_s`` and ``duration_s`` are on the clip's clock.
"""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from evenfall.contacts import Limb
from evenfall.gait import Estimate, FittingName, Gait, Quantity, Shift, Timing
from evenfall.gait.timing import PHASE_MIDDLE
from evenfall.reading import Reading
from evenfall.strides import Stride, Strides, wrap

__all__ = ["SCHEMA", "quantity", "reading_data"]

SCHEMA = 1


def reading_data(reading: Reading) -> dict[str, Any]:
    """Turn a reading into the object of the contract, version `SCHEMA`."""
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "clip": _clip(reading),
        "contacts": _contacts(reading),
        "strides": reading.strides.count,
        "stride_counts": _counts(reading.strides),
        "each_stride": [
            _stride(stride, reading.strides.playback_factor) for stride in reading.strides.strides
        ],
        **_gait(reading.main),
        "runs": [_run(gait) for gait in reading.runs],
        "warnings": [asdict(caution) for caution in reading.cautions],
    }
    if reading.too_little:
        data["error"] = {"code": "too_little_evidence", "message": reading.too_little}
    return data


def quantity(value: Quantity, digits: int = 6) -> dict[str, Any]:
    """Write a number with its spread, count and interval, or why it is not known."""
    if not isinstance(value, Estimate):
        return {"unknown": value.reason}
    return {
        "mean": round(value.mean, digits),
        "sd": round(value.sd, digits),
        "n": value.n,
        "ci95": [round(value.low, digits), round(value.high, digits)],
    }


def _clip(reading: Reading) -> dict[str, Any]:
    clip = reading.clip
    return {
        "frames": clip.timebase.n_frames,
        "duration_s": round(clip.timebase.duration_s, 6),
        "capture_fps": round(clip.timebase.capture_fps, 6),
        "playback_factor": round(clip.timebase.playback_factor, 6),
        "width": clip.width,
        "height": clip.height,
        "facing": reading.facing,
    }


def _contacts(reading: Reading) -> list[dict[str, Any]]:
    return [
        {
            "limb": mark.limb.value,
            "event": mark.event.value,
            "time_s": round(mark.time_s, 6),
            "sd_s": round(mark.sd_s, 6),
            "source": mark.source,
            "confidence": mark.confidence,
        }
        for mark in reading.contacts
    ]


def _counts(strides: Strides) -> dict[str, int]:
    every = strides.strides
    return {
        "left": len(strides.of(Limb.LH)),
        "right": len(strides.of(Limb.RH)),
        "complete": sum(stride.complete for stride in every),
        "partial": sum(not stride.complete and not stride.hind.doubtful for stride in every),
        "doubtful": sum(stride.hind.doubtful for stride in every),
    }


def _stride(stride: Stride, playback_factor: float) -> dict[str, Any]:
    fore = stride.hind.limb.same_side
    trusted = fore in stride.landings and not stride.hind.doubtful
    return {
        "side": "left" if stride.hind.limb.is_left else "right",
        "start_s": round(stride.start_s, 6),
        "stride_s": round(stride.hind.duration_s / playback_factor, 6),
        "lateral_phase_pct": round(wrap(stride.phase_pct(fore), PHASE_MIDDLE), 6) if trusted else None,
        "doubtful": [
            limb.value for limb in (*([stride.hind.limb] if stride.hind.doubtful else []), *stride.doubtful)
        ],
        "missing": [limb.value for limb in stride.missing],
    }


def _gait(gait: Gait) -> dict[str, Any]:
    return {
        "timing": _timing(gait.timing),
        "gait": {**_placing(gait), "goal": _goal(gait)},
        "shift_ms": _shift(gait.shift),
    }


def _placing(gait: Gait) -> dict[str, Any]:
    placing = gait.placing
    return {
        "zone": placing.zone,
        "zones": [{"zone": zone, "probability": round(chance, 4)} for zone, chance in placing.chances],
        "confidence": _chance(placing.confidence),
        "names": [fit.entry.name for fit in gait.names],
        "name_sources": [_name(fit) for fit in gait.names],
        "symmetrical": placing.symmetrical,
        "uneven": list(placing.uneven),
        "lead": placing.lead,
        "walking_or_running": placing.walking_or_running,
        "walking_probability": _chance(placing.walking_chance),
    }


def _name(fit: FittingName) -> dict[str, Any]:
    entry = fit.entry
    return {
        "name": entry.name,
        "breed": entry.breed,
        "definition": entry.definition,
        "source": entry.source,
        "probability": round(fit.probability, 4),
    }


def _chance(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def _goal(gait: Gait) -> dict[str, Any]:
    goal = gait.goal
    return {
        "name": goal.name,
        "middle_pct": goal.middle_pct,
        "band_pct": list(goal.band_pct),
        "given_by": goal.given_by,
        "share_in_band": quantity(gait.share_in_band),
    }


def _shift(shift: Shift) -> dict[str, Any]:
    return {
        "fronts": quantity(shift.fronts_ms, 3),
        "hinds": quantity(shift.hinds_ms, 3),
        "to_band": {
            "fronts": quantity(shift.fronts_to_band_ms, 3),
            "hinds": quantity(shift.hinds_to_band_ms, 3),
        },
    }


def _run(gait: Gait) -> dict[str, Any]:
    starts = [stride.start_s for stride in gait.strides.strides]
    ends = [stride.hind.next_landing.time_s for stride in gait.strides.strides]
    return {
        "start_s": round(min(starts), 6) if starts else None,
        "end_s": round(max(ends), 6) if ends else None,
        "strides": gait.strides.count,
        **_gait(gait),
    }


def _timing(timing: Timing) -> dict[str, Any]:
    return {
        "stride_s": quantity(timing.stride_s),
        "stride_rate_per_min": quantity(timing.stride_rate_per_min),
        "stance_s": _each(timing.stance_s),
        "swing_s": _each(timing.swing_s),
        "duty_pct": _each(timing.duty_pct),
        "duty_hinds_pct": quantity(timing.duty_hinds_pct),
        "lateral_phase_pct": _each(timing.lateral_phase_pct),
        "diagonal_gap_pct": _each(timing.diagonal_gap_pct),
        "lift_off_pct": _each(timing.lift_off_pct),
        "hind_pair_pct": quantity(timing.hind_pair_pct),
        "fore_pair_pct": quantity(timing.fore_pair_pct),
        "gaps_pct": _each(timing.gaps_pct),
        "support_pct": _each(timing.support_pct),
        "left_right_pct": _each(timing.left_right_pct),
    }


def _each(values: Mapping[Any, Quantity]) -> dict[str, Any]:
    return {str(key): quantity(value) for key, value in values.items()}
