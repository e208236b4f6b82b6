"""Landings and lift-offs of a pair of feet: measured where a bar says them, inferred where none does."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.pattern import PairPattern, Pattern
from evenfall.contacts.film.stances import Stance, stances_of, weighted_median
from tests.contacts.film.good_film import good_ride

BAR = replace(good_ride().stances[0].bars[0][1], arriving_s=float("nan"))
HALF_S, STANCE_S = 0.3, 0.28
PATTERN = Pattern(HALF_S, (PairPattern(0.9, 0.0, STANCE_S), PairPattern(0.9, 0.1, STANCE_S)))
VISIBLE = ((0.0, 4.2), (0.0, 4.2))
FPS, FAR_APART_FPS = 60.0, 15.0


def bar(number: int, late_s: float = 0.0, *, hind: bool = False) -> Bar:
    on = PATTERN.pairs[hind].phase_s + number * HALF_S + late_s
    u = -0.2 if hind else 0.2
    return replace(
        BAR, on_s=on, off_s=on + STANCE_S, start_s=on, end_s=on + STANCE_S, along=(u, u), held_s=0.2
    )


def fores(bars: Sequence[Bar], fps: float = FPS) -> dict[int, Stance]:
    found = stances_of(PATTERN, bars, VISIBLE, fps)
    return {stance.number: stance for stance in found if not stance.hind}


@settings(deadline=None, max_examples=30)
@given(st.floats(-0.04, 0.04))
def test_predicted_landings_follow_a_difference_of_left_and_right(late_s: float) -> None:
    """Also that of the foot whose fifth stance no bar shows."""
    found = fores([bar(number, late_s * (number % 2)) for number in range(14) if number != 5])
    for number in range(1, 13):
        truth = number * HALF_S + late_s * (number % 2)
        assert found[number].on.expected_s == pytest.approx(truth, abs=0.002)
        assert found[number].off.expected_s == pytest.approx(truth + STANCE_S, abs=0.002)


def test_what_no_bar_shows_is_not_measured() -> None:
    found = fores([bar(number) for number in range(14) if number != 5])
    assert (found[5].bars, found[5].on.looks) == ([], 0)
    assert np.isnan(found[5].on.time_s)
    assert all(np.isfinite(found[number].on.time_s) for number in range(14) if number != 5)


def test_a_slow_change_of_pace_is_followed() -> None:
    """Landings and lift-offs of a horse that slows, both by its one clock."""

    def late_s(at_s: float) -> float:
        return 0.0006 * (at_s / HALF_S - 6) ** 2

    bars = [bar(number, late_s(number * HALF_S)) for number in range(14)]
    leave = [number * HALF_S + STANCE_S + late_s(number * HALF_S + STANCE_S) for number in range(14)]
    found = fores([replace(b, off_s=off, end_s=off) for b, off in zip(bars, leave, strict=True)])
    assert found[12].on.expected_s == pytest.approx(12 * HALF_S + late_s(12 * HALF_S), abs=0.002)
    assert found[12].off.expected_s == pytest.approx(leave[12], abs=0.002)


def test_one_landing_far_off_does_not_bend_the_run() -> None:
    found = fores([bar(number, 0.07 if number == 6 else 0.0) for number in range(14)])
    assert found[6].on.expected_s == pytest.approx(6 * HALF_S, abs=0.006)


def test_a_landing_that_contradicts_a_steady_foots_other_strides_is_not_believed() -> None:
    """A twentieth of a second off, where the others lie within a few milliseconds, is a look gone wrong."""
    found = fores([bar(number, 0.05 if number == 6 else 0.0) for number in range(14)])
    assert np.isnan(found[6].on.time_s)


def test_an_unsteady_foots_landings_are_believed_further_off() -> None:
    late = 0.02 * np.resize([1, -1, 2, -2, 0, 1], 14)
    found = fores([bar(number, 0.05 if number == 6 else float(late[number])) for number in range(14)])
    assert found[6].on.time_s == pytest.approx(6 * HALF_S + 0.05)


@pytest.mark.parametrize(("off_s", "believed"), [(0.02, True), (0.034, False)])
def test_what_leaves_hardly_a_stance_is_not_believed(off_s: float, believed: bool) -> None:
    """Of stances of a tenth of a second the fifth is seen to last 60, or 32 thousandths."""
    short = replace(PATTERN, pairs=(replace(PATTERN.pairs[0], stance_s=0.1), PATTERN.pairs[1]))
    bars = [replace(b, off_s=b.on_s + 0.1, end_s=b.on_s + 0.1) for b in map(bar, range(14))]
    bars[5] = replace(bars[5], on_s=bars[5].on_s + off_s, off_s=bars[5].off_s - off_s)
    found = next(s for s in stances_of(short, bars, VISIBLE, FPS) if (s.hind, s.number) == (False, 5))
    assert np.isfinite([found.on.time_s, found.off.time_s]).tolist() == [believed, believed]


def test_of_several_looks_the_middle_one_counts() -> None:
    looks = tuple(replace(bar(4), on_s=4 * HALF_S + late) for late in (0.01, 0.02))
    found = fores([*(bar(number) for number in range(14) if number != 4), replace(bar(4), like=looks)])
    assert found[4].on.looks == 3
    assert found[4].on.time_s == pytest.approx(4 * HALF_S + 0.01)
    assert found[4].on.spread_s == pytest.approx(0.01)


def test_a_moment_every_look_only_parted_is_rough_where_pictures_are_far_apart() -> None:
    found = fores([replace(bar(number), rough_on=number == 3) for number in range(14)], FAR_APART_FPS)
    assert [number for number, stance in found.items() if stance.on.rough] == [3]
    assert np.isfinite(found[3].on.time_s)
    assert not found[3].off.rough


def test_where_pictures_are_close_a_look_that_only_parted_two_feet_is_not_listened_to() -> None:
    found = fores([replace(bar(number), rough_on=number == 3) for number in range(14)])
    assert np.isnan(found[3].on.time_s)
    assert found[3].on.expected_s == pytest.approx(3 * HALF_S)
    assert not any(stance.on.rough for stance in found.values())


def test_a_side_that_is_never_seen_to_land_is_expected_as_late_as_the_other() -> None:
    """Of the odd side nothing is known, so no difference is."""
    late_s = 0.02
    found = fores([replace(bar(n, late_s), on_s=np.nan if n % 2 else n * HALF_S + late_s) for n in range(14)])
    for number in range(1, 13):
        assert found[number].on.expected_s == pytest.approx(number * HALF_S + late_s, abs=0.002)


def test_landings_seen_too_late_at_every_stride_are_not_measured() -> None:
    """Another leg hides them: they are expected where the other side's say, and the lift-offs are believed."""
    bars = [
        replace(bar(n), on_s=n * HALF_S + 0.045 * (n % 2), start_s=n * HALF_S + 0.045 * (n % 2))
        for n in range(14)
    ]
    found = fores(bars)
    for number in range(1, 13):
        assert np.isnan(found[number].on.time_s) == (number % 2 == 1)
        assert found[number].on.expected_s == pytest.approx(number * HALF_S, abs=0.003)
        assert found[number].off.time_s == pytest.approx(number * HALF_S + STANCE_S, abs=0.003)


def test_a_look_that_sees_no_landing_says_nothing_of_it() -> None:
    found = fores(
        [replace(bar(number), on_s=np.nan if number == 3 else bar(number).on_s) for number in range(14)]
    )
    assert np.isnan(found[3].on.time_s)
    assert found[3].off.time_s == pytest.approx(3 * HALF_S + STANCE_S)


def test_a_fores_bar_is_never_given_to_a_hind() -> None:
    stances = stances_of(PATTERN, [bar(number) for number in range(14)], VISIBLE, FPS)
    assert not any(stance.bars for stance in stances if stance.hind)


def test_only_stances_with_that_part_of_the_horse_in_the_picture_are_expected() -> None:
    stances = stances_of(PATTERN, [], ((1.0, 2.0), (2.0, 3.0)), FPS)
    assert all(stance.off.expected_s > 1.0 and stance.on.expected_s < 2.0 for stance in stances[:4])
    assert {stance.number for stance in stances if stance.hind} == {6, 7, 8, 9}


def test_with_three_landings_nothing_is_predicted_anew() -> None:
    found = fores([replace(bar(number, 0.02), off_s=np.nan) for number in range(3)])
    assert found[1].on.expected_s == HALF_S


def test_a_foot_that_lands_late_is_expected_to_leave_late() -> None:
    """By seven tenths of it, where no bar shows the lift-off; and the other way round."""
    late_s = 0.02
    bars = [bar(number, late_s if number in (4, 8) else 0.0) for number in range(14)]
    bars[4], bars[8] = replace(bars[4], off_s=np.nan), replace(bars[8], on_s=np.nan)
    leaves, lands = fores(bars)[4].off, fores(bars)[8].on
    assert np.isnan([leaves.time_s, lands.time_s]).all()
    assert leaves.expected_s == pytest.approx(4 * HALF_S + STANCE_S + 0.7 * late_s, abs=0.001)
    assert lands.expected_s == pytest.approx(8 * HALF_S + 0.7 * late_s, abs=0.001)


@pytest.mark.parametrize(("fps", "late_s"), [(60.0, 0.010), (30.0, 0.016), (15.0, 0.0)])
def test_hooves_that_arrive_slowly_have_landed_later_than_it_looks(fps: float, late_s: float) -> None:
    """Those that take 40 ms instead of 20, a hidden one and the quicker of the pair too; lift-offs are left alone."""
    bars = [
        replace(bar(number), arriving_s=0.03 + 0.01 * (number % 3)) for number in range(14) if number != 5
    ]
    found = fores(bars, fps)
    for number in (4, 5, 6):
        assert found[number].on.expected_s == pytest.approx(number * HALF_S + late_s)
        assert found[number].off.expected_s == pytest.approx(number * HALF_S + STANCE_S)
    assert found[6].on.time_s == pytest.approx(6 * HALF_S + late_s)


def test_fores_and_hinds_are_put_later_alike_but_for_how_low_a_hind_comes_in() -> None:
    """Or the beat would be moved by how long each takes to arrive."""
    bars = [
        replace(bar(number, hind=hind), arriving_s=0.06 if hind else 0.02)
        for number in range(14)
        for hind in (False, True)
    ]
    for stance in stances_of(PATTERN, bars, VISIBLE, FPS):
        if stance.bars:
            at_s = PATTERN.pairs[stance.hind].phase_s + stance.number * HALF_S
            assert stance.on.time_s == pytest.approx(at_s + 0.010 + 0.004 * stance.hind)


@pytest.mark.parametrize(("fps", "known"), [(60.0, 1), (30.0, 1), (15.0, 0)])
def test_where_only_the_narrow_is_looked_at_fores_land_later_and_hinds_leave_earlier(
    fps: float, known: int
) -> None:
    """Than it looks; of fifteen pictures a second nothing is known."""
    bars = [bar(number, hind=hind) for number in range(14) for hind in (False, True)]
    plain, narrow = (stances_of(PATTERN, bars, VISIBLE, fps, narrow=how) for how in (False, True))
    for was, now in zip(plain, narrow, strict=True):
        late_s, early_s = (0.0, 0.007) if was.hind else (0.0045, 0.0)
        for name in ("time_s", "expected_s"):
            on, off = (getattr(now.moments[k], name) - getattr(was.moments[k], name) for k in (0, 1))
            if was.bars:
                assert (on, off) == pytest.approx((known * late_s, -known * early_s))


def test_two_arrivals_say_nothing_of_how_hooves_land() -> None:
    bars = [replace(bar(n), arriving_s=0.04) if n in {4, 6} else bar(n) for n in range(14)]
    assert fores(bars)[4].on.time_s == pytest.approx(4 * HALF_S)


def test_where_pictures_are_far_apart_the_toe_leaves_last() -> None:
    """Of several looks at a lift-off the late ones count; where pictures are close, the middle one."""
    looks = tuple(replace(bar(4), off_s=4 * HALF_S + STANCE_S + late) for late in (0.01, 0.02))
    bars = [*(bar(number) for number in range(14) if number != 4), replace(bar(4), like=looks)]
    for fps, late_s in ((FPS, 0.01), (FAR_APART_FPS, 0.02)):
        assert fores(bars, fps)[4].off.time_s == pytest.approx(4 * HALF_S + STANCE_S + late_s)


values = st.lists(st.floats(-10, 10), min_size=1, max_size=9, unique=True)


@settings(deadline=None)
@given(values)
def test_with_equal_weights_the_weighted_median_is_the_lower_median(some: list[float]) -> None:
    found = weighted_median(np.array(some), np.ones(len(some)))
    assert found in {float(np.quantile(some, 0.5, method=way)) for way in ("lower", "higher")}


@settings(deadline=None)
@given(values, st.integers(0, 8))
def test_more_than_half_of_the_weight_decides(some: list[float], index: int) -> None:
    weights = np.ones(len(some))
    weights[index % len(some)] = len(some)
    assert weighted_median(np.array(some), weights) == some[index % len(some)]
