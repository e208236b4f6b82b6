"""Beats alone give a rhythm and no feet."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts import HeardReading, Rhythm, heard_rhythm
from evenfall.errors import TooLittleEvidence
from tests.contacts.beats import RACK, beats_of, ridden

FOX_TROT = (15.0, 35.0, 15.0, 35.0)


def only(rhythm: Rhythm) -> HeardReading:
    (reading,) = rhythm.readings
    return reading


def test_an_even_rack_is_four_even_beats() -> None:
    reading = only(heard_rhythm(beats_of(ridden())))
    assert reading.beats_per_stride == 4
    assert reading.stride_s.mean == pytest.approx(0.56, abs=0.003)
    assert reading.stride_s.n == 12
    assert [gap.mean for gap in reading.gaps_pct] == pytest.approx(RACK, abs=1.2)
    assert reading.unevenness.low == 0
    assert reading.unevenness.high < 1.5


def test_a_fox_trot_is_ten_points_from_even() -> None:
    """Landings at 0, 35, 50, 85 %: the lateral phase of 35 lies 10 from even, and so do the gaps."""
    reading = only(heard_rhythm(beats_of(ridden(FOX_TROT))))
    assert [gap.mean for gap in reading.gaps_pct] == pytest.approx(FOX_TROT, abs=1)
    assert reading.unevenness.pct == pytest.approx(10, abs=0.8)
    assert reading.unevenness.low < 10 < reading.unevenness.high


def test_gaps_worked_out_by_hand() -> None:
    """Two strides of 0.5 s with gaps 20-30-20-30 and 25-25-25-25 %."""
    reading = only(heard_rhythm(beats_of([0.0, 0.1, 0.25, 0.35, 0.5, 0.625, 0.75, 0.875, 1.0])))
    assert reading.stride_s.mean == pytest.approx(0.5)
    assert [gap.mean for gap in reading.gaps_pct] == pytest.approx([22.5, 27.5, 22.5, 27.5])
    assert [gap.sd for gap in reading.gaps_pct] == pytest.approx([5 / sqrt(2)] * 4)
    assert reading.unevenness.pct == pytest.approx(2.5)
    assert reading.unevenness.low == 0  # two strides carry no more


def test_one_beat_every_third_of_a_second_may_be_two_or_four() -> None:
    rhythm = heard_rhythm(beats_of(ridden(stride_s=1.2)))
    assert rhythm.ambiguous
    four, two = rhythm.readings
    assert (four.beats_per_stride, two.beats_per_stride) == (4, 2)
    assert four.stride_s.mean == pytest.approx(2 * two.stride_s.mean, rel=0.01)
    assert "Sound alone cannot say which" in " ".join(rhythm.told)
    assert "landing in pairs" in " ".join(rhythm.told)


def test_a_slow_trot_is_two_beats() -> None:
    reading = only(heard_rhythm(beats_of(ridden((50.0, 50.0), stride_s=0.92))))
    assert reading.beats_per_stride == 2
    assert reading.unevenness.pct < 1


def test_gaps_that_come_again_only_every_fourth_are_four_beats() -> None:
    """A slow walk whose sides differ: two beats a stride could not do that."""
    reading = only(heard_rhythm(beats_of(ridden((22.0, 26.0, 24.0, 28.0), stride_s=1.3))))
    assert reading.beats_per_stride == 4


def test_couplets_are_never_two_beats_of_an_uneven_trot() -> None:
    """At 0.8 s a stride, pairs of gaps 20 and 80 % could be two beats in 0.4 s; a trot's halves are equal."""
    assert only(heard_rhythm(beats_of(ridden((10.0, 40.0, 10.0, 40.0), stride_s=0.8)))).beats_per_stride == 4


def test_a_canter_is_refused() -> None:
    with pytest.raises(TooLittleEvidence, match="come in threes, as in a canter"):
        heard_rhythm(beats_of(ridden((22.0, 22.0, 56.0), stride_s=0.55)))


@pytest.mark.parametrize("n", [0, 3, 4])
def test_under_two_strides_is_refused(n: int) -> None:
    with pytest.raises(TooLittleEvidence, match=r"under two strides.*Film at least three"):
        heard_rhythm(beats_of(ridden()[:n]))


def test_one_stride_of_four_and_a_bit_is_refused() -> None:
    with pytest.raises(TooLittleEvidence, match="do not make two whole strides"):
        heard_rhythm(beats_of(ridden()[:7]))


def test_beats_no_horse_makes_are_refused() -> None:
    with pytest.raises(TooLittleEvidence, match="slow motion, give its true rate"):
        heard_rhythm(beats_of([0.9 * turn for turn in range(12)]))


def test_slow_motion_gives_real_seconds() -> None:
    times = ridden()
    slow = only(heard_rhythm(beats_of(8 * times, 0.008), 8.0))
    real = only(heard_rhythm(beats_of(times)))
    assert slow.stride_s.mean == pytest.approx(real.stride_s.mean)
    assert slow.unevenness.pct == pytest.approx(real.unevenness.pct)


def test_missed_and_extra_beats_cost_their_strides_only() -> None:
    times = ridden(FOX_TROT, n=16)
    hurt = np.append(np.delete(times, [21, 42]), times[50] + 0.06)
    reading = only(heard_rhythm(beats_of(hurt)))
    assert reading.stride_s.n >= 8  # of 16; each fault costs a stride on either side at most
    assert [gap.mean for gap in reading.gaps_pct] == pytest.approx(FOX_TROT, abs=1.2)
    assert max(gap.sd for gap in reading.gaps_pct) < 2.5


@pytest.mark.parametrize("hurt", [[9], [40], [18, 30]])
def test_beats_before_and_after_a_break_are_lined_up_with_the_longest_row(hurt: list[int]) -> None:
    times = ridden((12.0, 38.0, 20.0, 30.0), n=14, unsteady_s=0.001)
    reading = only(heard_rhythm(beats_of(np.delete(times, hurt))))
    assert reading.stride_s.n >= 14 - 2 * len(hurt)
    assert [gap.mean for gap in reading.gaps_pct] == pytest.approx([12, 38, 20, 30], abs=0.5)
    assert max(gap.sd for gap in reading.gaps_pct) < 1


def test_what_sound_cannot_tell_is_said() -> None:
    told = " ".join(heard_rhythm(beats_of(ridden())).cannot_tell)
    for word in ("which foot", "left from right", "pace", "trot", "mirror", "leave the ground"):
        assert word in told


def test_the_attack_does_not_average_out() -> None:
    """A hundred strides: chance is gone, and what the attack leaves open stays: 1.96 × 1 ms of 560 ms."""
    unevenness = only(heard_rhythm(beats_of(ridden(n=100)))).unevenness
    assert unevenness.high - unevenness.pct >= 100 * 1.96 * 0.001 / 0.56


@settings(max_examples=25, deadline=None)
@given(drop=st.integers(0, 7), by_s=st.floats(-5, 5))
def test_where_listening_begins_changes_nothing(drop: int, by_s: float) -> None:
    """The gaps are told up to rotation, and the clock's zero does not matter."""
    times = ridden((18.0, 33.0, 20.0, 29.0), n=20, unsteady_s=0.0)
    whole = only(heard_rhythm(beats_of(times)))
    later = only(heard_rhythm(beats_of(times[drop:] + by_s)))
    assert [gap.mean for gap in later.gaps_pct] == pytest.approx(
        [gap.mean for gap in whole.gaps_pct], abs=1e-6
    )
    assert later.unevenness.pct == pytest.approx(whole.unevenness.pct, abs=1e-6)


def test_the_interval_holds_the_truth_as_often_as_it_says() -> None:
    held = [
        low <= 10 <= high
        for seed in range(200)
        for reading in [only(heard_rhythm(beats_of(ridden(FOX_TROT, n=6, unsteady_s=0.008, seed=seed))))]
        for low, high in [(reading.unevenness.low, reading.unevenness.high)]
    ]
    assert np.mean(held) >= 0.93
