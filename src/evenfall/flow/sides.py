"""Left–right differences of a horse's films, as its record and its page read them out of the results."""

from collections.abc import Mapping, Sequence
from typing import Any

from evenfall.report.way import Difference
from evenfall.store.outcomes import Told

__all__ = ["STATISTICS", "differences_of", "estimate_of"]

STATISTICS = {"hind_step": "hind step", "fore_step": "fore step", "lateral_phase": "lateral phase"}
"""Left–right differences held against the horse's own record, by their names in a reading."""


def differences_of(told: Sequence[Told], key: str) -> list[Difference]:
    """Left minus right of one statistic in every film that measured it, oldest first."""
    known = (
        (each, estimate_of((each.left_right or {}).get(key)))
        for each in told
        if each.phase is not None and not each.too_little
    )
    return [Difference(each.clip_id, each.on_date, *found) for each, found in known if found]


def estimate_of(found: Mapping[str, Any] | None) -> tuple[float, float, float] | None:
    """Mean and interval of a reading's number; None where it is unknown."""
    if not found or "mean" not in found:
        return None
    return found["mean"], found["ci95"][0], found["ci95"][1]
