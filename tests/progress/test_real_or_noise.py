"""Does "real" keep its word? Made-up horses through the whole comparison; ``make bench`` prints the tables."""

import numpy as np
import pytest

from benchmarks.real_or_noise import MadeUp, looked_at_daily, naive_differs, shares, trial_of_a_day

TRIALS = 80
"""Of 80 trials 5 % are 4; with these seeds there are no more."""


@pytest.mark.parametrize("design", [(1, 1, 0), (3, 3, 0), (1, 1, 8)])
@pytest.mark.parametrize("day_sd", [0.5, 2.0])
def test_with_nothing_changed_real_is_rare_where_the_naive_test_is_fooled(
    design: tuple[int, int, int], day_sd: float
) -> None:
    told = shares(MadeUp(day_sd=day_sd), design, trials=TRIALS, seed=7)
    assert told.real <= 0.05
    assert told.held >= 0.88
    assert told.naive > 0.15


def test_looking_again_after_every_day_does_not_make_noise_real() -> None:
    """A horse whose days spread by one point: ten looks, and seldom real at any."""
    rng = np.random.default_rng(7)
    looks = [looked_at_daily(rng, MadeUp(), history=0) for _ in range(40)]
    assert sum(any(each) for each in looks) <= 2


def test_a_worthwhile_change_over_days_is_found() -> None:
    told = shares(MadeUp(), (4, 4, 8), 5.0, trials=60, seed=7)
    assert told.real > 0.8
    assert told.none == 0
    assert told.held >= 0.85


def test_more_days_narrow_the_interval() -> None:
    widths = [shares(MadeUp(), (n, n, 0), trials=15, seed=7).width for n in (1, 2, 4, 8)]
    assert widths == sorted(widths, reverse=True)


def test_a_horse_ridden_faster_is_not_fooled_by_its_speed() -> None:
    told = shares(MadeUp(faster=0.5, slope=-3.0), (3, 3, 8), trials=60, seed=7)
    assert told.real <= 0.05
    assert told.naive > 0.5


def test_an_even_drift_is_seldom_taken_for_an_effect() -> None:
    rng = np.random.default_rng(7)
    told = [trial_of_a_day(rng, change=0.0, drift=3.0) for _ in range(60)]
    assert told.count("real") <= 3


def test_the_naive_test_is_welchs() -> None:
    from scipy import stats  # noqa: PLC0415 - a second, and only needed here

    rng = np.random.default_rng(2)
    for _ in range(20):
        ours, theirs = rng.normal(0, 1, 12), rng.normal(0.8, 2, 9)
        assert naive_differs(ours, theirs) == (stats.ttest_ind(ours, theirs, equal_var=False).pvalue < 0.05)
