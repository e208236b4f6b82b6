"""Prints: how far apart, and how far a hind steps past the fore's."""

import pytest

from evenfall.contacts import Limb
from evenfall.report.prints import Print, overstrides, prints, stride_lengths
from tests.report.charts.ridden import HALF_S, OVERSTRIDE, SPEED, made_feet

STRIDE_S = 2 * HALF_S


def left(ground: float, time_s: float, limb: Limb = Limb.LF) -> Print:
    return Print(limb, True, ground, time_s)


@pytest.mark.parametrize("heading", [1, -1])
def test_a_ride_of_known_prints(heading: int) -> None:
    feet = made_feet(heading=heading, pan_px=3.0)
    of = prints(feet, feet.rides[0])
    assert stride_lengths(of, STRIDE_S) == pytest.approx([SPEED * STRIDE_S] * (len(of) - 4))
    assert overstrides(of, STRIDE_S) == pytest.approx([OVERSTRIDE] * len(overstrides(of, STRIDE_S)))
    assert len(overstrides(of, STRIDE_S)) >= 8
    assert [each.time_s for each in of] == sorted(each.time_s for each in of)


def test_a_print_that_was_not_seen_makes_no_long_stride() -> None:
    of = [left(0.0, 0.0), left(1.0, 0.6), left(3.0, 1.8), left(4.1, 2.4)]
    assert stride_lengths(of, 0.6) == pytest.approx([1.0, 1.1])


def test_a_hind_that_stays_short_of_the_fore_print_is_negative() -> None:
    of = [left(0.0, 0.0), left(-0.15, 0.4, Limb.LH), left(1.0, 0.6), left(0.85, 1.0, Limb.LH)]
    assert overstrides(of, 0.6) == pytest.approx([-0.15, -0.15])


def test_a_hind_without_the_fore_print_before_it_says_nothing() -> None:
    """The fore print it stepped to was not seen; the one a stride ahead is not taken for it."""
    of = [left(0.0, 0.0), left(1.0, 0.6), left(2.0, 1.2), left(2.95, 2.2, Limb.LH)]
    assert overstrides(of, 0.6) == []


def test_the_other_sides_prints_do_not_count() -> None:
    of = [left(0.0, 0.0), left(1.0, 0.6), Print(Limb.RH, False, 1.05, 0.9)]
    assert overstrides(of, 0.6) == []


def test_a_refused_ride_leaves_no_prints() -> None:
    feet = made_feet(refused="which feet are the near ones cannot be told")
    assert prints(feet, feet.rides[0]) == []


def test_a_stance_nothing_was_seen_of_leaves_no_print() -> None:
    whole, less = (made_feet(overlooked=numbers) for numbers in ((), (2,)))
    assert len(prints(less, less.rides[0])) == len(prints(whole, whole.rides[0])) - 1
