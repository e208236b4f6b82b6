"""Halves of one stance are put together, and nothing else is."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.halves import joined_halves
from tests.contacts.film.good_film import N, followed, good_ride

BAR = good_ride().stances[0].bars[0][1]
CAMERA, WIDTH = followed(1), np.full(N, 160.0)
SPEED = 1.5
ONWARD_PX = 8.0


def bar(start_s: float, end_s: float, x: float = 320.0, y: float = 300.0, u: float = 0.2) -> Bar:
    return replace(
        BAR,
        on_s=start_s,
        off_s=end_s,
        start_s=start_s,
        end_s=end_s,
        point=np.array([x, y]),
        at=0,
        along=(u, u - 0.1),
        held_s=0.1,
    )


FIRST = bar(0.0, 0.16)


def joined(*bars: Bar, speed: float = SPEED) -> list[Bar]:
    return joined_halves(bars, speed, CAMERA, WIDTH)


def test_two_short_bars_the_second_a_little_onward_are_one_stance() -> None:
    (whole,) = joined(FIRST, bar(0.15, 0.32, 320 + ONWARD_PX))
    assert (whole.on_s, whole.off_s, whole.start_s, whole.end_s) == (0.0, 0.32, 0.0, 0.32)
    assert whole.held_s == pytest.approx(0.2)


def test_the_order_they_are_given_in_does_not_matter() -> None:
    (whole,) = joined(bar(0.15, 0.32, 320 + ONWARD_PX), FIRST)
    assert (whole.on_s, whole.off_s) == (0.0, 0.32)


def test_for_a_horse_that_goes_left_onward_is_left() -> None:
    assert len(joined(FIRST, bar(0.15, 0.32, 320 - ONWARD_PX), speed=-SPEED)) == 1
    assert len(joined(FIRST, bar(0.15, 0.32, 320 + ONWARD_PX), speed=-SPEED)) == 2


APART = {
    "a stance long enough by itself": bar(0.15, 0.4, 320 + ONWARD_PX),
    "back": bar(0.15, 0.32, 320 - ONWARD_PX),
    "where the first stood": bar(0.15, 0.32, 320),
    "a step onward": bar(0.15, 0.32, 320 + 40),
    "lower, so the other side's": bar(0.15, 0.32, 320 + ONWARD_PX, 312),
    "of the other pair": bar(0.15, 0.32, 320 + ONWARD_PX, u=-0.2),
    "later": bar(0.3, 0.46, 320 + ONWARD_PX),
    "at the same time": bar(0.05, 0.2, 320 + ONWARD_PX),
    "parted from another foot": replace(bar(0.15, 0.32, 320 + ONWARD_PX), rough_on=True),
}


@pytest.mark.parametrize("why", APART)
def test_a_second_bar_that_is_no_half_stays_apart(why: str) -> None:
    assert joined(FIRST, APART[why]) == [FIRST, APART[why]]


def test_every_look_at_either_half_says_something_of_the_whole() -> None:
    first = replace(FIRST, like=(bar(0.01, 0.16),))
    second = replace(bar(0.15, 0.32, 320 + ONWARD_PX), like=(bar(0.15, 0.33, 328),))
    (whole,) = joined(first, second)
    assert {(look.on_s, look.off_s) for look in whole.looks} == {(0.0, 0.32), (0.01, 0.32), (0.0, 0.33)}


starts = st.floats(0, 2).map(lambda s: bar(s, s + 0.16, 320 + ONWARD_PX * round(s * 10)))


@settings(deadline=None)
@given(st.lists(starts, max_size=8))
def test_joining_loses_no_time_and_makes_no_bar(bars: list[Bar]) -> None:
    out = joined(*bars)
    assert len(out) <= len(bars)
    assert {bar.start_s for bar in out} <= {bar.start_s for bar in bars}
    assert max((bar.end_s for bar in out), default=0) == max((bar.end_s for bar in bars), default=0)
