"""The figures of each film: what its result measured, cut short so that ten thousand films are read at once.

A row is made from the whole object of the result and can be made again from it. Figures go by the names of
`evenfall.progress.passes.MEASURES`, each with its standard error under the same name and ``se``; what is not known is not
there. A measure of both feet of a pair is the mean of the two, and only where both were measured.
"""

from collections.abc import Mapping
from functools import lru_cache
from math import hypot, sqrt
from typing import Any

from sqlalchemy import Connection, select

from evenfall.store import schema
from evenfall.store.rows import insert_unless_there

__all__ = ["STRIDE_RATE", "complete", "figures_of", "keep"]

_TABLE, _RESULTS = schema.figures, schema.results
STRIDE_RATE = "stride rate"
"""Strides a second."""

PAIRS = {
    f"{end} {name}": (table, feet)
    for name, table in (("duty", "duty_pct"), ("stance", "stance_s"), ("swing", "swing_s"))
    for end, feet in (("fore", ("LF", "RF")), ("hind", ("LH", "RH")))
}
BATCH = 200

Number = Mapping[str, Any]
"""A measured number of the object, with its mean, spread, count and interval."""


def keep(connection: Connection, clip_id: int, data: Mapping[str, Any]) -> None:
    """Keep the figures of a film's result in place of those it had."""
    share = data.get("gait", {}).get("goal", {}).get("share_in_band")
    values = figures_of(data.get("timing"), share)
    if not insert_unless_there(connection, _TABLE, {"clip_id": clip_id, **values}):
        connection.execute(_TABLE.update().where(_TABLE.c.clip_id == clip_id).values(**values))


def complete(connection: Connection) -> None:
    """Make the figures of every result that has none: of a record that was made before there were any."""
    missing = _RESULTS.c.clip_id.not_in(select(_TABLE.c.clip_id))
    numbers = list(connection.scalars(select(_RESULTS.c.clip_id).where(missing)))
    data = _RESULTS.c.data
    wanted = select(_RESULTS.c.clip_id, data["timing"], data["gait", "goal", "share_in_band"])
    for start in range(0, len(numbers), BATCH):
        told = connection.execute(wanted.where(_RESULTS.c.clip_id.in_(numbers[start : start + BATCH]))).all()
        connection.execute(
            _TABLE.insert(), [{"clip_id": clip, **figures_of(*parts)} for clip, *parts in told]
        )


def figures_of(timing: Mapping[str, Any] | None, share: Number | None) -> dict[str, Any]:
    """Cut the measured numbers of a result short.

    Parameters
    ----------
    timing : Mapping or None
        The ``timing`` of the object of a reading.
    share : Mapping or None
        Its share of strides in the goal band.

    Returns
    -------
    dict
        ``timing`` with figures by name, and ``share_in_band``.
    """
    figures = {**_single(timing), **_pairs(timing)} if timing else {}
    return {"timing": figures, "share_in_band": share.get("mean") if share else None}


def _single(timing: Mapping[str, Any]) -> dict[str, float]:
    """The numbers that are of no one foot."""
    phase = timing.get("lateral_phase_pct", {}).get("both", {})
    step = timing.get("left_right_pct", {}).get("hind_step", {})
    rate = timing.get("stride_rate_per_min", {})
    found = {
        **_told("lateral phase", phase),
        **_told("left-right", step),
        **_told("stride time", timing.get("stride_s", {})),
    }
    if "ci95" in phase:
        found |= {"evenness": phase["sd"], "evenness se": phase["sd"] / sqrt(2 * (phase["n"] - 1))}
    return found | ({STRIDE_RATE: rate["mean"] / 60} if "mean" in rate else {})


def _pairs(timing: Mapping[str, Any]) -> dict[str, float]:
    """The mean of the two feet of a pair."""
    found: dict[str, float] = {}
    for name, (table, feet) in PAIRS.items():
        left, right = (timing.get(table, {}).get(foot, {}) for foot in feet)
        if "ci95" in left and "ci95" in right:
            found[name] = (left["mean"] + right["mean"]) / 2
            found[f"{name} se"] = hypot(_se(left), _se(right)) / 2
    return found


def _told(name: str, number: Number) -> dict[str, float]:
    return {name: number["mean"], f"{name} se": _se(number)} if "ci95" in number else {}


def _se(number: Number) -> float:
    low, high = number["ci95"]
    return float(high - low) * _per_width(number["n"])


@lru_cache
def _per_width(n: int) -> float:
    """The standard error of a mean of ``n`` strides whose 95 % interval is 1 wide."""
    from evenfall.gait.estimate import Estimate  # noqa: PLC0415 - SciPy, and only where there is something to measure

    return Estimate(0.5, 0.0, n, 0.0, 1.0, n - 1.0).standard_error
