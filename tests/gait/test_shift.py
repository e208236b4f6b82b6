"""What would have to change, in milliseconds, both ways round."""

import pytest
import scipy.stats

from evenfall.gait import Estimate, Quantity, named_goal, read_gait
from evenfall.gait.shift import share_in_band
from evenfall.strides import build_strides
from tests.making import regular, regular_strides

EVEN = named_goal("even")


def mean(quantity: Quantity) -> float:
    assert isinstance(quantity, Estimate), quantity
    return quantity.mean


def test_a_trotty_horses_fronts_must_come_sooner_or_its_hinds_later() -> None:
    """Phase 40 of a 0.6 s stride lies 15 points past even: 90 ms; 10 points past the band: 60 ms."""
    shift = read_gait(regular_strides(stride_s=0.6, lateral_pct=40), EVEN).shift
    assert mean(shift.fronts_ms) == pytest.approx(-90)
    assert mean(shift.hinds_ms) == pytest.approx(90)
    assert mean(shift.fronts_to_band_ms) == pytest.approx(-60)
    assert mean(shift.hinds_to_band_ms) == pytest.approx(60)


def test_a_pacey_horses_fronts_must_come_later() -> None:
    shift = read_gait(regular_strides(stride_s=0.5, lateral_pct=10), EVEN).shift
    assert mean(shift.fronts_ms) == pytest.approx(75)
    assert mean(shift.fronts_to_band_ms) == pytest.approx(50)


def test_inside_the_band_nothing_is_needed_to_reach_it() -> None:
    shift = read_gait(regular_strides(lateral_pct=27), EVEN).shift
    assert mean(shift.fronts_to_band_ms) == 0


def test_moving_the_fronts_by_the_answer_makes_the_horse_even() -> None:
    """The answer applied to the contacts: every fore landing and lift-off that much later."""
    before = regular(stride_s=0.6, lateral_pct=40)
    by_s = mean(read_gait(build_strides(before), EVEN).shift.fronts_ms) / 1000
    hinds = before.only(lambda mark: mark.limb.is_hind)
    fores = before.only(lambda mark: not mark.limb.is_hind).shifted(by_s)
    after = read_gait(build_strides(type(before)([*hinds, *fores])), EVEN)
    assert mean(after.timing.lateral_phase_pct["both"]) == pytest.approx(25)


def test_in_slow_motion_the_milliseconds_are_the_horses() -> None:
    strides = build_strides(regular(stride_s=4.8, lateral_pct=40), playback_factor=8.0)
    assert mean(read_gait(strides, EVEN).shift.fronts_ms) == pytest.approx(-90)


def test_a_fox_trotter_is_held_to_his_own_goal() -> None:
    shift = read_gait(regular_strides(lateral_pct=36), named_goal("fox trot")).shift
    assert abs(mean(shift.fronts_ms)) < 10


def test_share_in_band_has_jeffreys_interval() -> None:
    """Outside authority: the quantiles of Beta(k + ½, n − k + ½) by SciPy, for 16 of 16 strides."""
    share = share_in_band(EVEN, regular_strides(lateral_pct=25, n=8))
    assert isinstance(share, Estimate)
    assert (share.mean, share.n) == (1.0, 16)
    assert share.low == pytest.approx(scipy.stats.beta(16.5, 0.5).ppf(0.025))
    assert share.high == 1.0


def test_no_shift_is_offered_for_an_order_no_horse_uses() -> None:
    gait = read_gait(regular_strides(lateral_pct=75), EVEN)
    assert gait.order_doubtful
    assert not isinstance(gait.shift.fronts_ms, Estimate)


def test_near_an_edge_the_pictures_widen_the_share() -> None:
    """Every stride reads 29.5 of a band to 30, dated to ±1: none is surely inside, all may be."""
    strides = build_strides(regular(lateral_pct=29.5, n=8, sd_s=0.006))
    share = share_in_band(EVEN, strides)
    assert isinstance(share, Estimate)
    assert (share.mean, share.low, share.high) == (1.0, 0.0, 1.0)
