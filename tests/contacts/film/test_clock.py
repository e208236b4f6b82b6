"""When feet are expected: one pace for all four, and what a foot shows at one of its moments counts for the other."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from evenfall.contacts.film.clock import LEAST_SCATTER_S, Moments, expected_times
from evenfall.timebase import FloatArray

HALF_S, STANCE_S, FORE_S = 0.3, 0.25, 0.1


def ride(strides: int = 7) -> Moments:
    """An even four-beat gait, every moment seen where the pattern puts it."""
    number = np.repeat(np.arange(2.0 * strides), 4)
    hind, off = (np.tile(which, 2 * strides) for which in ([False, False, True, True], [False, True] * 2))
    at = number * HALF_S + off * STANCE_S + ~hind * FORE_S
    return Moments(at_s=at, seen_s=at.copy(), hind=hind, off=off, odd=number % 2 == 1)


def seen(change: Callable[[Moments], NDArray[np.floating]]) -> Moments:
    moments = ride()
    return replace(moments, seen_s=np.asarray(moments.seen_s + change(moments), float))


def expected(moments: Moments) -> FloatArray:
    told = expected_times(moments)
    assert told is not None
    return told[0]


@settings(deadline=None, max_examples=30)
@given(st.floats(-0.04, 0.04), st.floats(-0.05, 0.05), st.floats(-0.01, 0.01))
def test_a_steady_horses_feet_are_expected_where_they_are(late_s: float, pace: float, bend: float) -> None:
    """Whatever its lateness, its pace, a slow change of it, and how one side differs from the other."""
    moments = seen(lambda m: late_s * (1 + m.odd) + pace * m.at_s + bend * (m.at_s - 2) ** 2)
    assert expected(moments) == pytest.approx(moments.seen_s, abs=1e-6)


def test_moments_far_off_bend_nothing() -> None:
    wrong = np.zeros(56)
    wrong[[9, 22, 47]] = 0.1
    assert expected(seen(lambda _: wrong)) == pytest.approx(ride().at_s, abs=0.002)


def test_a_foot_whose_lift_offs_are_hidden_is_expected_as_its_landings_differ() -> None:
    moments = seen(lambda m: 0.02 * m.odd)
    hidden = moments.odd & moments.off & ~moments.hind
    told = expected(replace(moments, seen_s=np.where(hidden, np.nan, moments.seen_s)))
    assert told[hidden] == pytest.approx(moments.seen_s[hidden], abs=1e-6)


@pytest.mark.parametrize(("late_s", "shorter_s"), [(0.02, 0.02), (0.1, 0.0)])
def test_no_foot_is_expected_to_stand_much_shorter_than_its_fellow(late_s: float, shorter_s: float) -> None:
    """Some milliseconds are a lame horse's; a tenth of a second is a landing that another leg hides each time."""
    told = expected(seen(lambda m: late_s * (m.odd & m.hind & ~m.off))).reshape(-1, 2, 2)
    stands_s = told[:, 1, 1] - told[:, 1, 0]
    assert stands_s[::2] - stands_s[1::2] == pytest.approx(shorter_s, abs=1e-3)


@pytest.mark.parametrize(("off", "late_s"), [(False, 0.045), (True, -0.045)], ids=["landings", "lift-offs"])
@pytest.mark.parametrize("odd", [False, True])
def test_only_what_makes_a_foot_stand_shorter_is_taken_for_hidden(
    off: bool, odd: bool, late_s: float
) -> None:
    """A far hind's landing behind a fore that leaves, or a lift-off behind the hind that lands; the rest is believed."""
    moments = ride()
    wrong = (moments.odd == odd) & moments.hind & (moments.off == off)
    told = expected_times(replace(moments, seen_s=moments.seen_s + late_s * wrong))
    assert told is not None
    assert (told[2] == wrong).all()
    assert told[0] == pytest.approx(moments.at_s, abs=1e-3)


@pytest.mark.parametrize("late_s", [0.0, 0.025])
def test_a_difference_as_of_a_lame_horse_is_not_taken_for_hidden(late_s: float) -> None:
    told = expected_times(seen(lambda m: late_s * (m.odd & m.hind & ~m.off)))
    assert told is not None
    assert not told[2].any()


def test_feet_never_seen_keep_their_pattern_and_the_others_pace() -> None:
    moments = seen(lambda m: 0.05 * (m.at_s - 2))
    told = expected(replace(moments, seen_s=np.where(moments.hind, np.nan, moments.seen_s)))
    assert np.diff(told[moments.hind & ~moments.off]) == pytest.approx(1.05 * HALF_S)


def test_each_kind_scatters_by_its_own() -> None:
    late = np.random.default_rng(1).normal(0, 0.02, 28)
    moments = ride()
    moments.seen_s[moments.off] += late
    told = expected_times(moments)
    assert told is not None
    assert told[1][~moments.off].max() < 0.006
    assert told[1][moments.off].min() > 0.008
    assert expected_times(ride())[1].min() == LEAST_SCATTER_S  # type: ignore[index]


def test_seven_moments_say_nothing() -> None:
    moments = ride()
    few, enough = (np.where(np.arange(56) < n, moments.seen_s, np.nan) for n in (7, 8))
    assert expected_times(replace(moments, seen_s=few)) is None
    assert expected_times(replace(moments, seen_s=enough)) is not None
