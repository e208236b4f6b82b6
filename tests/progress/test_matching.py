"""Matched speed: slopes within setups."""

import numpy as np
import pytest

from evenfall.progress import Pass, slope_of
from evenfall.progress.matching import hardly_met
from evenfall.progress.speeds import matched_by, slope_prior_sd
from tests.progress.making import days, one


def ridden(
    speeds: list[float], slope: float, *, first: int = 1, mean: float = 35.0, setup: int = 1
) -> list[Pass]:
    return [
        one(100 * first + i, first + i, mean + slope * (speed - 3.5), se=0.1, speed_m_s=speed, setup_id=setup)
        for i, speed in enumerate(speeds)
    ]


def test_the_slope_is_learned_from_this_horse() -> None:
    slope = slope_of(ridden(list(np.linspace(2.5, 4.5, 20)), -2.0), "lateral phase")
    assert slope.by == "speed"
    assert slope.learned
    assert slope.per_unit == pytest.approx(-2.0, abs=3 * slope.sd)


def test_a_setup_ridden_faster_is_no_slope() -> None:
    """Heavier shoes and more speed came together, the beat moved between and not within: no slope is seen."""
    passes = ridden([3.0] * 8, 0.0) + ridden([4.0] * 8, 0.0, first=50, mean=30.0, setup=2)
    slope = slope_of(passes, "lateral phase")
    assert slope.per_unit == pytest.approx(0.0, abs=0.2)
    assert not slope.learned
    assert slope.sd == pytest.approx(slope_prior_sd("lateral phase", "speed"), rel=0.05)


def test_speed_is_preferred_then_stride_rate_then_nothing() -> None:
    both = days(1, [30.0, 31.0], speed_m_s=3.0, stride_rate_hz=1.7)
    rate = days(5, [30.0], stride_rate_hz=1.7)
    assert matched_by(both, "lateral phase") == "speed"
    assert matched_by([*both, *rate], "lateral phase") == "stride rate"
    assert matched_by([*rate, *days(9, [30.0])], "lateral phase") is None
    assert slope_of(days(1, [30.0]), "lateral phase").by is None


def test_stride_time_is_never_matched_by_itself() -> None:
    assert matched_by(days(1, [0.6], measure="stride time", stride_rate_hz=1.7), "stride time") is None


def test_without_passes_nothing_is_known_of_the_slope() -> None:
    slope = slope_of([], "lateral phase")
    assert (slope.by, slope.per_unit, slope.sd, slope.learned) == (None, 0.0, 0.0, False)


def test_speeds_that_hardly_overlap_are_told_with_their_numbers() -> None:
    slow, fast = ridden([3.0, 3.1], 0.0), ridden([3.9, 4.0], 0.0, first=9)
    assert "3.00 to 3.10 before, 3.90 to 4.00 m/s after" in hardly_met(slow, fast, "speed")
    assert hardly_met(slow, ridden([3.05, 3.2], 0.0, first=9), "speed") == ""
    assert hardly_met(slow, fast, None) == ""
