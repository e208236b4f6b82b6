"""Rows of one film's answer, out of the object that its reading is kept as."""

from collections.abc import Iterator, Mapping
from typing import Any

__all__ = ["number_rows", "result_row"]

Data = Mapping[str, Any]
Row = dict[str, Any]


def result_row(clip: int, data: Data) -> Row:
    """Return what the film came to, in words and counts."""
    gait = data.get("gait", {})
    goal = gait.get("goal", {})
    low, high = goal.get("band_pct") or (None, None)
    return {
        "clip": clip,
        "strides": data.get("strides"),
        **{name: gait.get(name) for name in ("zone", "confidence", "walking_or_running")},
        "goal": goal.get("name"),
        "band_low_pct": low,
        "band_high_pct": high,
        "too_little_evidence": "error" in data,
    }


def number_rows(clip: int, data: Data) -> list[Row]:
    """Return every measured number, or why it is not known; none where the film carries no answer."""
    if "error" in data:
        return []
    return [
        {"clip": clip, "measure": name, "part": part, **_told(told)} for name, part, told in _numbers(data)
    ]


def _numbers(data: Data) -> Iterator[tuple[str, str, Data]]:
    for name, told in data.get("timing", {}).items():
        yield from _parts(name, told)
    goal = data.get("gait", {}).get("goal", {})
    if goal.get("share_in_band"):
        yield "share_in_band", "", goal["share_in_band"]
    for part, told in data.get("shift_ms", {}).items():
        if part != "to_band":
            yield "shift_ms", part, told


def _parts(name: str, told: Data) -> Iterator[tuple[str, str, Data]]:
    if "mean" in told or "unknown" in told:
        yield name, "", told
        return
    for part, number in told.items():
        yield name, str(part), number


def _told(number: Data) -> Row:
    if "mean" not in number:
        return {"unknown": number.get("unknown", "")}
    low, high = number["ci95"]
    return {"mean": number["mean"], "sd": number.get("sd"), "n": number.get("n"), "low": low, "high": high}
