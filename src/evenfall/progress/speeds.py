"""Speed or stride rate: what passes are matched by, and how much it might matter before this horse has told."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal

import numpy as np

from evenfall.progress.passes import Pass

__all__ = ["HEIGHT_PER_SPEED", "By", "covariate", "like_speed", "matched_by", "reference", "slope_prior_sd"]

By = Literal["speed", "stride rate"] | None

PER_SPEED: Mapping[str, float] = MappingProxyType(
    {
        "lateral phase": 3.0,
        "evenness": 1.5,
        "fore duty": 5.0,
        "hind duty": 5.0,
        "left-right": 2.0,
        "hoof height": 0.06,
        "head line": 5.0,
        "fore stance": 0.06,
        "hind stance": 0.06,
        "fore swing": 0.03,
        "hind swing": 0.03,
        "stride time": 0.1,
    }
)
"""Standard deviation of the slope's prior, per m/s; our choice, wide. At 3 points per m/s, twice of it would carry a
horse from even to a plain trot over four m/s; for height it is as wide as the slope that was measured."""

SPEED_OF_A_RATE = 4.0
"""m/s that go with one more stride a second, to turn the priors above; our choice."""

HEIGHT_PER_SPEED = 0.065 / 1.14
"""Metres of fore hoof height for one m/s: 65 mm from 2.96 to 4.10 m/s in ridden tölt, eight Icelandics (Rumpler 2010,
abstract, and arithmetic: 57 mm per m/s). Context, never put into a comparison."""


def like_speed(height_m: float) -> float:
    """Return the speed, m/s, that alone would change the fore hoof's height as much.

    Boots of 280 g raised it by 17 mm at 2.96 m/s and 31 mm at 4.10 m/s (Rumpler 2010, abstract).

    Examples
    --------
    >>> round(like_speed(0.017), 2), round(like_speed(0.031), 2)
    (0.3, 0.54)
    """
    return height_m / HEIGHT_PER_SPEED


def covariate(each: Pass, by: By) -> float | None:
    """Return the speed or stride rate of a pass, if known."""
    if by is None:
        return None
    return each.speed_m_s if by == "speed" else each.stride_rate_hz


def matched_by(passes: Sequence[Pass], measure: str) -> By:
    """Choose what to match by: speed where every pass has it, else stride rate where every pass has that.

    Stride time is the stride rate turned over, so it is matched by speed or not at all.
    """
    if passes and all(each.speed_m_s is not None for each in passes):
        return "speed"
    if measure != "stride time" and passes and all(each.stride_rate_hz is not None for each in passes):
        return "stride rate"
    return None


def slope_prior_sd(measure: str, by: By) -> float:
    """Standard deviation of the slope's prior about 0; 0 where nothing is matched."""
    if by is None:
        return 0.0
    return PER_SPEED[measure] * (1.0 if by == "speed" else SPEED_OF_A_RATE)


def reference(passes: Sequence[Pass], by: By) -> float:
    """The speed or stride rate at which they are compared: the mean of them all."""
    known = [value for each in passes if (value := covariate(each, by)) is not None]
    return float(np.mean(known)) if known else 0.0
