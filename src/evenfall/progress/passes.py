"""One pass: what one film measured, and what the horse wore and met while it was made.

Conventions: masses in kg, speeds in m/s, stride rates in strides a second, angles in degrees, days as dates;
phases and duties in % of the stride. A pass is one film's mean over its strides, never one stride: strides of
one film share the day, the ground and the marking, so they are not evidence of their own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from math import isfinite
from types import MappingProxyType
from typing import NamedTuple

from evenfall.errors import WrongSetting

__all__ = ["MEASURES", "Measure", "Pass", "Value", "measure_named", "with_measure"]


class Measure(NamedTuple):
    """How one measured thing is counted.

    Parameters
    ----------
    unit : str
    worthwhile : float or None
        Smallest change worth having, in ``unit``; every default here is our choice and can be set anew.
    """

    unit: str
    worthwhile: float | None


MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "lateral phase": Measure("% of stride", 2.0),
        "evenness": Measure("% of stride", 1.0),
        "fore duty": Measure("% of stride", 2.0),
        "hind duty": Measure("% of stride", 2.0),
        "left-right": Measure("% of stride", 2.0),
        "hoof height": Measure("m", 0.015),
        "head line": Measure("degrees", 5.0),
        "fore stance": Measure("s", 0.012),
        "hind stance": Measure("s", 0.012),
        "fore swing": Measure("s", 0.012),
        "hind swing": Measure("s", 0.012),
        "stride time": Measure("s", 0.012),
    }
)
"""What two sets of passes can be compared by. *Evenness* is the spread (standard deviation) of the strides' lateral
phase, smaller when steadier; *left-right* is the hind step, left minus right; 0.012 s is 2 % of a stride of 0.6 s."""


@dataclass(frozen=True)
class Value:
    """A mean over the strides of one film, and its standard error from those strides.

    Raises
    ------
    WrongSetting
        If either is not a number, or the standard error is below 0.
    """

    mean: float
    se: float

    def __post_init__(self) -> None:
        if not (isfinite(self.mean) and isfinite(self.se) and self.se >= 0):
            raise WrongSetting(
                f"expected a mean and a standard error of 0 or more, found {self.mean} and {self.se}. "
                "What was not measured is left out."
            )


@dataclass(frozen=True)
class Pass:
    """One film of one horse, measured.

    Parameters
    ----------
    clip_id, horse_id, outing_id : int
    on_date : datetime.date
    setup_id : int or None
        What the horse wore; None when no setup is written down.
    strides : int
    in_band : int or None
        Strides inside the goal band.
    values : mapping of str to Value
        By the names of `MEASURES`; what was not measured is not there.
    speed_m_s, stride_rate_hz, head_deg : float or None
    ground, slope, direction, rider, speed_asked : str
        As the barn writes them; empty when not said.
    novelty : int or None
        How many passes were made since the last change; 0 is the first. None when not known.
    """

    clip_id: int
    horse_id: int
    outing_id: int
    on_date: date
    setup_id: int | None = None
    strides: int = 0
    in_band: int | None = None
    values: Mapping[str, Value] = field(default_factory=dict)
    speed_m_s: float | None = None
    stride_rate_hz: float | None = None
    head_deg: float | None = None
    ground: str = ""
    slope: str = ""
    direction: str = ""
    rider: str = ""
    novelty: int | None = None
    speed_asked: str = ""


def measure_named(name: str) -> Measure:
    """Return the measure of that name.

    Raises
    ------
    WrongSetting
        If there is none.

    Examples
    --------
    >>> measure_named("lateral phase").worthwhile
    2.0
    """
    if name not in MEASURES:
        raise WrongSetting(f"expected one of {', '.join(MEASURES)}; found {name!r}. Check the spelling.")
    return MEASURES[name]


def with_measure(passes: Iterable[Pass], measure: str) -> tuple[Pass, ...]:
    """Return the passes in which that was measured, oldest first."""
    found = (each for each in passes if measure in each.values)
    return tuple(sorted(found, key=lambda each: (each.on_date, each.outing_id, each.clip_id)))
