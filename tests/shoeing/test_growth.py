"""Toe growth from Lungwitz's renewal in 11 to 13 months and an 89 mm toe (shoeing.md section 4)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ShoeError
from evenfall.shoeing import say_growth, toe_growth

MONTH = 365.25 / 12


def test_a_month_grows_six_point_eight_to_eight_point_one() -> None:
    """shoeing.md section 4: 6.8 to 8.1 mm a month."""
    low, high = toe_growth(MONTH)
    assert (low * 1000, high * 1000) == pytest.approx((6.8, 8.1), abs=0.05)


def test_six_weeks_grow_nine_to_eleven() -> None:
    """shoeing.md section 4: about 9 to 11 mm over a six-week cycle."""
    low, high = toe_growth(42)
    assert (round(low * 1000), round(high * 1000)) == (9, 11)


def test_the_check_value_of_twelve_months_lies_between() -> None:
    """shoeing.md section 9: a toe of 89 mm grown in 12 months is 7.4 mm a month."""
    low, high = toe_growth(MONTH)
    assert low < 0.0074 < high
    assert (2 / (1 / low + 1 / high)) == pytest.approx(0.0074, abs=0.0001)  # the mean renewal, 12 months


@given(st.floats(0, 1800), st.floats(0, 1800))
def test_growth_adds_up_and_never_shrinks(one: float, more: float) -> None:
    both = toe_growth(one + more)
    assert both == pytest.approx(tuple(a + b for a, b in zip(toe_growth(one), toe_growth(more), strict=True)))
    assert both[0] <= both[1]


@pytest.mark.parametrize(
    ("days", "units", "said"),
    [
        (42, "metric", "42 days since shoeing: the toe has grown about 9 mm to 11 mm, less what has worn off"),
        (42, "imperial", "42 days since shoeing: the toe has grown about 3/8 in to 7/16 in, less what has worn off"),
        (4, "metric", "4 days since shoeing: the toe has grown about 1 mm, less what has worn off"),
        (1, "metric", "1 day since shoeing: too few for the toe to have grown to speak of"),
    ],
)  # fmt: skip
def test_growth_is_said_as_finely_as_it_can_be_seen(days: int, units: str, said: str) -> None:
    assert say_growth(days, units) == said


def test_days_before_the_shoeing_are_refused() -> None:
    with pytest.raises(ShoeError, match="days since shoeing: expected a number from 0"):
        toe_growth(-1)
