"""The old gait coming back for a while."""

import pytest
from scipy.stats import t

from evenfall.plan import Slip, dip, slip_of
from tests.plan.standing import EVEN, day, film

INSIDE = (film(8, -5), film(9, -2))
WAS = (film(1, -5, phase=31.0), film(2, -2, phase=31.0))


def test_a_slip_is_told_from_where_the_horse_was() -> None:
    since = [film(3, 1, phase=36.0), film(4, 7, phase=33.0), film(5, 21, phase=31.5)]
    told = slip_of(since, EVEN, since=day(0), before=WAS)
    assert told is not None
    assert (told.points, told.now) == pytest.approx((5.0, 0.5))
    assert (told.days_seen, told.back_after) == (21, 21)


def test_films_of_one_day_are_one_mean() -> None:
    two = [film(3, 1, phase=36.0), film(4, 1, phase=32.0)]
    told = slip_of(two, EVEN, since=day(0), before=INSIDE)
    assert told is not None
    assert told.points == pytest.approx(4.0)


def test_a_horse_that_does_not_come_back_has_no_day_of_return() -> None:
    told = slip_of([film(3, 1, phase=36.0), film(4, 21, phase=36.0)], EVEN, since=day(0), before=INSIDE)
    assert told is not None
    assert told.back_after is None


def test_without_a_film_since_nothing_is_told() -> None:
    assert slip_of([film(3, -1)], EVEN, since=day(0), before=INSIDE) is None


def test_without_a_film_before_nobody_knows_where_the_horse_was() -> None:
    """A trotty horse on its first step lies out of the band; it has not slipped there."""
    assert slip_of([film(3, 1, phase=40.0), film(4, 21, phase=40.0)], EVEN, since=day(0), before=()) is None


def test_a_slip_toward_either_side_is_the_same() -> None:
    over = slip_of([film(3, 1, phase=36.0)], EVEN, since=day(0), before=INSIDE)
    under = slip_of([film(3, 1, phase=14.0)], EVEN, since=day(0), before=INSIDE)
    assert over == under


def test_the_next_dip_lies_where_student_says() -> None:
    """mean ± t s √(1 + 1/n) with SciPy's t; by hand: 2, 4, 6 have mean 4 and s 2."""
    told = dip([Slip(2, 0, 21, 7), Slip(4, 0, 21, 14), Slip(6, 3, 21, None)])
    assert told is not None
    reach = t.ppf(0.975, 2) * 2 * (4 / 3) ** 0.5
    assert (told.points, told.low, told.high) == pytest.approx((4.0, 0.0, 4 + reach))
    assert (told.days, told.n) == (10.5, 3)
    assert "by 3 earlier steps in this barn" in told.says


def test_with_two_earlier_steps_no_dip_is_foretold() -> None:
    assert dip([Slip(2, 0, 21, 7)] * 2) is None


def test_a_good_film_before_the_slip_is_no_return() -> None:
    told = slip_of([film(3, 1), film(4, 7, phase=36.0), film(5, 21)], EVEN, since=day(0), before=INSIDE)
    assert told is not None
    assert told.back_after == 21
