"""Which numbers of a film the summary shows, and under what words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["MEASURES", "StudyMeasure", "value_of"]


@dataclass(frozen=True)
class StudyMeasure:
    """One measure of the summary.

    Parameters
    ----------
    key : str
        For machines.
    columns : tuple of str
        Of the table clips; the mean of them, where all are known.
    title, unit, means : str
    digits : int
        After the point.
    around : tuple of float
        What the picture reaches at least.
    """

    key: str
    columns: tuple[str, ...]
    title: str
    unit: str
    means: str
    digits: int = 1
    around: tuple[float, ...] = ()


MEASURES = (
    StudyMeasure("lateral_phase_pct", ("lateral_phase_pct",), "Lateral phase", "% of the stride", "From a hind landing to the same-side fore landing: 0 pace, 25 even, 50 trot. The goal band is shaded.", around=(0.0, 50.0)),
    StudyMeasure("evenness_pct", ("lateral_phase_pct_sd",), "Evenness", "% of the stride", "How much the lateral phase strays from stride to stride (standard deviation): smaller is steadier. It holds the errors of reading too.", digits=2, around=(0.0,)),
    StudyMeasure("stride_rate_per_min", ("stride_rate_per_min",), "Stride rate", "strides a minute", "Strides in a real minute. A slow-motion film whose rate was not stated shows too few."),
    StudyMeasure("duty_hinds_pct", ("duty_hinds_pct",), "Hind duty", "% of the stride", "For how much of the stride a hind foot stands: over 50 walking, under 50 running.", around=(50.0,)),
    StudyMeasure("duty_fores_pct", ("duty_LF_pct", "duty_RF_pct"), "Fore duty", "% of the stride", "For how much of the stride a fore foot stands; the mean of both.", around=(50.0,)),
    StudyMeasure("left_right_hind_step_pct", ("left_right_hind_step_pct",), "Left and right: hind steps", "% of the stride", "Hind step from left to right, less the one from right to left. 0 where both take as long; a difference is no diagnosis.", around=(0.0,)),
    StudyMeasure("left_right_lateral_phase_pct", ("left_right_lateral_phase_pct",), "Left and right: lateral phase", "% of the stride", "Lateral phase of the left side less the right's. Which side the camera saw can move it.", around=(0.0,)),
)  # fmt: skip
"""In the order of the page."""


def value_of(measure: StudyMeasure, row: Mapping[str, Any]) -> float | None:
    """Return what a film came to; None where it was not measured."""
    values = [row.get(name) for name in measure.columns]
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if len(known) == len(values) else None
