"""The model of day and clip noise, against Student's t and against statsmodels."""

import warnings
from dataclasses import replace
from importlib import import_module

import numpy as np
import pytest
from scipy import stats

from evenfall.progress.mixture import Mixture
from evenfall.progress.spread import Films, Fit, Prior, fit

SURE_CLIP = Prior(1e-4, 1e6)
"""As good as no spread between clips: then one spread is left, and the answer is Student's t."""


def films(y: list[float], groups: list[int], days: list[int], *, se: float = 0.0) -> Films:
    n = len(y)
    return Films(np.array(y), np.full(n, se), np.array(groups), np.array(days), np.zeros(n), max(groups) + 1)


def difference(fitted: Fit) -> Mixture:
    of = np.zeros(fitted.means.shape[1])
    of[:2] = -1, 1
    return fitted.contrast(of)


@pytest.mark.parametrize("after", [[36.0], [36.0, 33.0, 35.5], [36.0, 33.0, 35.5, 34.0, 34.5, 36.1]])
def test_with_one_spread_unknown_the_interval_is_students_t(after: list[float]) -> None:
    """A guess of 2 worth 3 days, and the repeats' squares: a scaled inverse chi-square, so t with 3 + repeats."""
    before = [38.0, 39.0]
    n, m = len(before), len(after)
    squares = 3 * 2.0**2 + np.var(before) * n + np.var(after) * m
    df = 3 + n + m - 2
    reference = stats.t(df, np.mean(after) - np.mean(before), np.sqrt(squares / df * (1 / n + 1 / m)))
    told = difference(
        fit(films(before + after, [0] * n + [1] * m, list(range(n + m))), SURE_CLIP, Prior(2.0, 3))
    )
    assert told.interval() == pytest.approx(reference.interval(0.95), rel=0.01)
    assert told.below(-2.0) == pytest.approx(reference.cdf(-2.0), abs=0.003)


def test_a_days_films_are_one_day_of_evidence() -> None:
    """Ten films of one day say hardly more about another day than one does."""
    day, clip = Prior(2.0, 3), Prior(0.2, 50)
    few = difference(fit(films([38.0, 34.0], [0, 1], [0, 1]), clip, day))
    many = difference(
        fit(films([38.0] * 10 + [34.0] * 10, [0] * 10 + [1] * 10, [0] * 10 + [1] * 10), clip, day)
    )
    widths = [np.ptp(each.interval()) for each in (few, many)]
    assert widths[1] > 0.95 * widths[0]


def test_what_kind_of_day_it_is_falls_out_on_one_day() -> None:
    same = difference(fit(films([38.0, 34.0], [0, 1], [0, 0]), Prior(1.0, 4), Prior(2.0, 3)))
    other = difference(fit(films([38.0, 34.0], [0, 1], [0, 1]), Prior(1.0, 4), Prior(2.0, 3)))
    assert np.ptp(same.interval()) < 0.6 * np.ptp(other.interval())


def test_many_days_agree_with_statsmodels_mixed_model() -> None:
    """Sixty days of three films: the first guesses hardly matter, and restricted likelihood gives the same."""
    rng = np.random.default_rng(4)
    days = np.repeat(np.arange(60), 3)
    groups, speed = (days >= 30).astype(np.int64), rng.normal(0, 0.4, 180)
    y = 35 - 3.0 * groups - 2.0 * speed + 1.5 * rng.standard_normal(60)[days] + 0.8 * rng.standard_normal(180)
    made = Films(y, np.zeros(180), groups, days, speed, 2, slope_sd=1000.0)
    fitted = fit(made, Prior(1.0, 0.01), Prior(1.0, 0.01))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # statsmodels warns of its own future
        models = import_module("statsmodels.regression.mixed_linear_model")  # seconds, so only here
        x = np.column_stack([groups == 0, groups == 1, speed]).astype(np.float64)
        reference = models.MixedLM(y, x, groups=days).fit(reml=True)
    told, slope = difference(fitted), fitted.contrast(np.array([0.0, 0.0, 1.0]))
    assert told.mean == pytest.approx(reference.fe_params[1] - reference.fe_params[0], abs=0.01)
    cov = reference.cov_params()
    assert told.sd == pytest.approx(np.sqrt(cov[0, 0] + cov[1, 1] - 2 * cov[0, 1]), rel=0.05)
    assert (slope.mean, slope.sd) == pytest.approx((reference.fe_params[2], np.sqrt(cov[2, 2])), rel=0.05)
    assert fitted.typical(fitted.day_sds) == pytest.approx(np.sqrt(float(reference.cov_re[0, 0])), rel=0.05)
    assert fitted.typical(fitted.clip_sds) == pytest.approx(np.sqrt(reference.scale), rel=0.05)


def test_history_solved_for_beforehand_is_the_same_as_solved_along() -> None:
    """The plain definition: all groups asked for; the short way takes history's means off first."""
    rng = np.random.default_rng(5)
    days = np.repeat(np.arange(24), 2)
    groups, speed = days // 4, rng.normal(0, 0.4, 48)
    y = 30 + 2.0 * groups - 2 * speed + rng.standard_normal(24)[days] + rng.standard_normal(48)
    along = Films(y, np.full(48, 0.3), groups, days, speed, 6, slope_sd=3.0)
    beforehand = replace(along, compared=2)
    told, short = (fit(each, Prior(1.0, 4), Prior(2.0, 3)) for each in (along, beforehand))
    assert difference(short).interval() == pytest.approx(difference(told).interval(), abs=1e-6)
    assert short.typical(short.day_sds) == pytest.approx(told.typical(told.day_sds))


def test_with_no_repeats_the_spread_is_the_first_guess() -> None:
    fitted = fit(films([38.0], [0], [0]), Prior(1.0, 4), Prior(2.0, 3))
    assert fitted.typical(fitted.day_sds) == pytest.approx(2.0, rel=0.01)
    assert fitted.typical(fitted.clip_sds) == pytest.approx(1.0, rel=0.01)


def test_a_mixture_of_one_is_the_normal_curve() -> None:
    told = Mixture(np.array([1.0]), np.array([3.0]), np.array([2.0]))
    assert told.interval() == pytest.approx(stats.norm(3, 2).interval(0.95))
    assert told.beyond(1.0) == pytest.approx(stats.norm(3, 2).sf(1) + stats.norm(3, 2).cdf(-1))
    assert (told.mean, told.sd) == pytest.approx((3.0, 2.0))
