import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from evenfall.report.study import spread_of
from evenfall.report.study.spread import _rank


def test_five_values_worked_out_by_hand() -> None:
    spread = spread_of([30.0, 10.0, 20.0, 50.0, 40.0])
    assert spread is not None
    assert (spread.median, spread.quartiles, spread.interval) == (30.0, (20.0, 40.0), None)
    assert (spread.n, spread.least, spread.most) == (5, 10.0, 50.0)


def test_nothing_has_no_spread_and_three_have_no_quartiles() -> None:
    assert spread_of([]) is None
    three = spread_of([1.0, 2.0, 3.0])
    assert three is not None
    assert three.quartiles is None


@pytest.mark.parametrize("n", [6, 7, 8, 9, 20, 100, 1001, 100_000])
def test_the_rank_is_the_largest_that_leaves_95_in_100(n: int) -> None:
    k = _rank(n)
    assert binom.cdf(k - 1, n, 0.5) <= 0.025 < binom.cdf(k, n, 0.5)


@pytest.mark.parametrize("n", [6, 15, 40])
def test_the_interval_holds_the_true_median_of_a_lopsided_population_in_95_of_100(n: int) -> None:
    rng = np.random.default_rng(n)
    held = 0
    for _ in range(600):
        spread = spread_of(rng.exponential(1.0, n))
        assert spread is not None
        assert spread.interval is not None
        held += spread.interval[0] <= np.log(2) <= spread.interval[1]
    assert held / 600 > 0.93


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=40), st.randoms())
def test_order_does_not_matter_and_everything_lies_in_order(values: list[float], chance: object) -> None:
    spread = spread_of(values)
    assert spread is not None
    chance.shuffle(values)  # type: ignore[attr-defined]
    assert spread_of(values) == spread
    for low, high in filter(None, (spread.quartiles, spread.interval)):
        assert spread.least <= low <= high <= spread.most
    assert spread.least <= spread.median <= spread.most
