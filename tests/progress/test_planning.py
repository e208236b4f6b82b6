"""How many more passes would settle it."""

from dataclasses import replace

import pytest
from scipy import stats

from evenfall.progress import Noise, compare
from evenfall.progress.planning import MANY, Forecast, Side, Standing, more_passes
from evenfall.progress.verdict import judge
from tests.progress.making import days

SIDE = Side(((0.2,), (0.2,)))
QUIET = Noise(0.5, 1.0, 10, 12, learned=True)


def test_a_clear_estimate_needs_few_more_and_a_doubtful_one_many() -> None:
    loud = replace(QUIET, day_sd=2.0)
    clear = more_passes(Standing(4.0, 2.0, loud, (SIDE, SIDE)))
    doubtful = more_passes(Standing(2.5, 2.0, loud, (SIDE, SIDE)))
    assert clear is not None
    assert doubtful is not None
    assert 1 <= clear < doubtful <= MANY


def test_an_estimate_between_small_and_worthwhile_is_never_settled() -> None:
    assert more_passes(Standing(1.9, 2.0, QUIET, (SIDE, SIDE))) is None


def test_a_single_day_before_cannot_be_made_up_for_after() -> None:
    lone, loud = Side(((0.2,),)), replace(QUIET, day_sd=2.5)
    now = Standing(4.0, 2.0, loud, (lone, SIDE))
    assert more_passes(now, after_only=True) is None
    assert more_passes(now) is not None


def test_what_the_slope_leaves_unsure_stays_however_many_films() -> None:
    now = Standing(3.0, 2.0, QUIET, (SIDE, SIDE))
    assert more_passes(now) is not None
    assert more_passes(replace(now, apart=2.0)) is None


def test_precision_of_a_side_by_hand() -> None:
    """Two days of one film: each 1 / (1 + 0.25 + 0.2), and they add."""
    assert SIDE.precision(QUIET) == pytest.approx(2 / 1.45)


@pytest.mark.parametrize(
    ("clear", "p", "verdict"),
    [(True, 0.5, "real"), (True, 0.49, "cannot tell yet"), (False, 0.95, "cannot tell yet"),
     (False, 0.1, "no worthwhile change"), (True, 0.05, "no worthwhile change")],
)  # fmt: skip
def test_the_three_verdicts(clear: bool, p: float, verdict: str) -> None:
    assert judge(clear=clear, p_worthwhile=p) == verdict


def test_a_forecast_follows_students_t() -> None:
    reach = float(stats.t(10).ppf(0.985))
    assert Forecast(1.01 * reach, 1.0, 10).told(0.5)
    assert not Forecast(0.99 * reach, 1.0, 10).told(0.5)


def test_a_comparison_that_cannot_tell_says_how_many_more() -> None:
    told = compare(days(1, [38.0, 37.0]), days(30, [34.0, 35.0], setup_id=2), "lateral phase")
    assert told.verdict == "cannot tell yet"
    assert told.more_passes is not None
    assert told.more_after is None or told.more_after >= told.more_passes
