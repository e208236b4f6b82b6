"""Means with intervals that own the picture rate."""

import numpy as np
import pytest
import scipy.stats

from evenfall.gait.estimate import (
    Estimate,
    Unknown,
    difference,
    estimate,
    estimate_phase,
    probability_between,
)

SPREAD = [24.1, 26.3, 25.2, 23.8, 25.9]


def known(value: object) -> Estimate:
    assert isinstance(value, Estimate)
    return value


def test_with_sharp_pictures_the_interval_is_students() -> None:
    """Outside authority: SciPy's one-sample t interval."""
    ours = known(estimate(SPREAD, [0.01] * 5))
    theirs = scipy.stats.ttest_1samp(SPREAD, 0).confidence_interval(0.95)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high))
    assert ours.sd == pytest.approx(np.std(SPREAD, ddof=1))


def test_a_difference_of_means_is_welchs() -> None:
    """Outside authority: SciPy's t test for unequal variances."""
    other = [20.0, 24.0, 22.5]
    ours = known(difference(estimate(SPREAD, [0.01] * 5), estimate(other, [0.01] * 3)))
    theirs = scipy.stats.ttest_ind(SPREAD, other, equal_var=False).confidence_interval(0.95)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high))
    assert ours.n == 3


def test_probability_between_is_students() -> None:
    ours = known(estimate(SPREAD, [0.01] * 5))
    se = np.std(SPREAD, ddof=1) / np.sqrt(5)
    theirs = scipy.stats.t(4, np.mean(SPREAD), se)
    assert probability_between(ours, 24, 25.5) == pytest.approx(theirs.cdf(25.5) - theirs.cdf(24))


def test_strides_that_all_read_alike_are_no_surer_than_one_picture() -> None:
    """A stride of a whole number of pictures is misread the same way each time; a hundred are as one."""
    few, many = (known(estimate([25.0] * n, [1.0] * n)) for n in (3, 100))
    assert few.half_width == pytest.approx(np.sqrt(6))
    assert many.half_width == pytest.approx(scipy.stats.t(99).ppf(0.975))


def test_the_interval_never_exceeds_t_plus_the_most_two_pictures_can_be_out() -> None:
    narrow = known(estimate([24.9, 25.1, 25.0], [1.0] * 3))
    t = scipy.stats.t(2).ppf(0.975)
    assert narrow.half_width == pytest.approx(t * 0.1 / np.sqrt(3) + np.sqrt(6))


@pytest.mark.parametrize(("values", "reason"), [([], "not measured"), ([25.0], "one stride only")])
def test_under_two_strides_nothing_is_claimed(values: list[float], reason: str) -> None:
    answer = estimate(values, [1.0] * len(values))
    assert isinstance(answer, Unknown)
    assert reason in answer.reason


@pytest.mark.parametrize(
    "phases", [[99.0, 1.0, 98.0, 2.5], [48.0, 51.0, 50.5], [24.0, 26.0], [80.0, 84.0, 86.0]]
)
def test_phase_means_are_scipys_circular_means(phases: list[float]) -> None:
    """Outside authority: scipy.stats.circmean on a circle of 100."""
    ours = known(estimate_phase(phases, [0.1] * len(phases), about=37.5))
    theirs = scipy.stats.circmean(phases, high=100)
    assert (ours.mean - theirs + 50) % 100 - 50 == pytest.approx(0, abs=1e-9)
    assert -12.5 <= ours.mean < 87.5


@pytest.mark.parametrize("phases", [[99.0, 1.0, 98.0, 2.5], [48.0, 51.0, 50.5]])
def test_phase_spread_is_scipys_circular_spread(phases: list[float]) -> None:
    """Outside authority: scipy.stats.circstd; for phases this close the two definitions agree to 1 %."""
    ours = known(estimate_phase(phases, [0.1] * len(phases), about=37.5))
    n = len(phases)
    theirs = scipy.stats.circstd(phases, high=100) * np.sqrt(n / (n - 1))
    assert ours.sd == pytest.approx(theirs, rel=0.01)


def test_phases_all_round_the_circle_have_no_mean() -> None:
    answer = estimate_phase([0.0, 25.0, 50.0, 75.0], [1.0] * 4, about=37.5)
    assert isinstance(answer, Unknown)
    assert "all round the circle" in answer.reason


def test_an_unknown_makes_the_difference_unknown() -> None:
    missing = Unknown("no lift-offs")
    assert difference(missing, estimate(SPREAD, [0.1] * 5)) == missing


def test_scaling_turns_the_interval_with_the_sign() -> None:
    turned = known(estimate(SPREAD, [0.01] * 5)).scaled(-2, plus=1)
    assert turned.low < turned.mean < turned.high
    assert turned.mean == pytest.approx(1 - 2 * np.mean(SPREAD))
