"""Laws that hold for any horse: what must change when the input changes, and what must not."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.gait import Estimate, Quantity, Timing, measure, split_runs
from evenfall.gait.support import KINDS, duty_and_phase_from, model_shares, shares_between
from evenfall.strides import build_strides, wrap
from tests.making import regular


@st.composite
def horses(draw: st.DrawFn) -> Contacts:
    """A horse of any symmetrical gait whose every contact strays a little, both sides apart."""
    stride_s = draw(st.floats(0.4, 1.3))
    base = regular(
        stride_s=stride_s,
        lateral_pct=draw(st.floats(0, 50)),
        duty_fore_pct=draw(st.floats(25, 70)),
        duty_hind_pct=draw(st.floats(25, 70)),
        n=draw(st.integers(3, 6)),
    )
    strays = draw(st.lists(st.floats(-0.02, 0.02), min_size=len(base), max_size=len(base)))
    return Contacts(
        replace(m, time_s=m.time_s + stray * stride_s) for m, stray in zip(base, strays, strict=True)
    )


def timing(contacts: Contacts, playback_factor: float = 1.0) -> Timing:
    return measure(build_strides(contacts, playback_factor=playback_factor))


def same(first: Quantity, second: Quantity, factor: float = 1.0) -> None:
    if isinstance(first, Estimate) and isinstance(second, Estimate):
        ours = (first.mean, first.sd, first.n, first.low, first.high)
        theirs = (
            second.mean * factor,
            second.sd * factor,
            second.n,
            second.low * factor,
            second.high * factor,
        )
        assert ours == pytest.approx(theirs, abs=1e-6)
    else:
        assert first == second


SHARES = ("lateral_phase_pct", "diagonal_gap_pct", "duty_pct", "left_right_pct", "gaps_pct", "lift_off_pct")


@given(horses(), st.floats(-100, 100))
def test_shifting_the_clip_shifts_the_contacts_and_nothing_else(horse: Contacts, by_s: float) -> None:
    before, after = timing(horse), timing(horse.shifted(by_s))
    same(before.stride_s, after.stride_s)
    for name in SHARES:
        for key, value in getattr(before, name).items():
            same(value, getattr(after, name)[key])


@given(horses())
def test_doubling_the_playback_factor_halves_seconds_and_keeps_phases(horse: Contacts) -> None:
    plain, slow = timing(horse), timing(horse, playback_factor=2.0)
    same(plain.stride_s, slow.stride_s, factor=2.0)
    for limb in Limb:
        same(plain.stance_s[limb], slow.stance_s[limb], factor=2.0)
    for name in SHARES:
        for key, value in getattr(plain, name).items():
            same(value, getattr(slow, name)[key])


@given(horses())
def test_mirroring_swaps_left_and_right(horse: Contacts) -> None:
    plain, mirrored = timing(horse), timing(horse.mirrored())
    for table in ("lateral_phase_pct", "diagonal_gap_pct"):
        for side, other in (("left", "right"), ("right", "left")):
            same(getattr(plain, table)[side], getattr(mirrored, table)[other])
    for limb in Limb:
        same(plain.duty_pct[limb], mirrored.duty_pct[limb.across])
    for name, value in plain.left_right_pct.items():
        mirror = mirrored.left_right_pct[name]
        if isinstance(value, Estimate) and isinstance(mirror, Estimate):
            assert value.mean == pytest.approx(-mirror.mean, abs=1e-6)


@given(horses())
def test_limbs_relabelled_consistently_give_the_same_diagonal_gap(horse: Contacts) -> None:
    """The gap belongs to the pair of feet, whatever side they are called."""
    same(timing(horse).diagonal_gap_pct["both"], timing(horse.mirrored()).diagonal_gap_pct["both"])


@given(horses())
def test_the_gaps_between_beats_make_one_stride(horse: Contacts) -> None:
    gaps = [gap.mean for gap in timing(horse).gaps_pct.values() if isinstance(gap, Estimate)]
    assert len(gaps) == 4
    assert sum(gaps) == pytest.approx(100, abs=0.1)


@given(horses())
def test_support_shares_make_one_stride(horse: Contacts) -> None:
    for stride in build_strides(horse).strides:
        shares = shares_between(horse, stride.start_s, stride.hind.next_landing.time_s)
        if shares is not None:
            assert sum(shares.values()) == pytest.approx(100)
            assert set(shares) == set(KINDS)


@given(st.floats(25, 75), st.floats(0, 50))
def test_shares_give_duty_and_phase_back_where_they_can(duty: float, phase: float) -> None:
    """Where neither flight nor four feet down occurs; elsewhere the inverse refuses."""
    shares = model_shares(duty, duty, phase)
    if shares["suspension"] > 1e-9 or shares["quadrupedal"] > 1e-9:
        with pytest.raises(ValueError, match="do not fix duty and phase"):
            duty_and_phase_from(shares)
    else:
        clean = {kind: share for kind, share in shares.items() if share > 1e-9}
        assert duty_and_phase_from(clean) == pytest.approx((duty, phase), abs=1e-6)


@given(st.floats(1, 49), st.floats(0, 50))
def test_suspension_occurs_exactly_where_the_stances_leave_a_hole(duty: float, phase: float) -> None:
    """Equal duty below 50, lateral sequence: no flight if and only if 50 − duty ≤ phase ≤ duty (derived)."""
    flies = model_shares(duty, duty, phase)["suspension"] > 1e-9
    margin = min(phase - (50 - duty), duty - phase)
    if abs(margin) > 1e-6:
        assert flies == (margin < 0)


@given(st.floats(-300, 300), st.floats(-100, 100))
def test_wrapping_keeps_the_place_on_the_circle(pct: float, about: float) -> None:
    wrapped = wrap(pct, about)
    assert about - 50 - 1e-9 <= wrapped <= about + 50 + 1e-9
    assert (wrapped - pct) / 100 == pytest.approx(round((wrapped - pct) / 100), abs=1e-9)


def test_nothing_in_gives_an_explained_nothing_out() -> None:
    empty = timing(Contacts())
    assert not isinstance(empty.stride_s, Estimate)
    assert empty.stride_s.reason
    assert build_strides(Contacts()).count == 0


def test_without_lift_offs_what_needs_them_is_unknown_and_the_rest_is_not() -> None:
    horse = regular(lift_offs=False)
    result = timing(horse)
    same(result.lateral_phase_pct["both"], timing(regular()).lateral_phase_pct["both"])
    for quantity in (
        result.duty_hinds_pct,
        result.support_pct["lateral"],
        result.stance_s[Limb.LF],
        result.lift_off_pct["lateral"],
    ):
        assert not isinstance(quantity, Estimate)
        assert "lift-offs" in quantity.reason


def test_one_foot_missing_leaves_the_others_their_numbers() -> None:
    result = timing(regular().only(lambda mark: mark.limb is not Limb.RF))
    assert isinstance(result.lateral_phase_pct["left"], Estimate)
    assert not isinstance(result.lateral_phase_pct["right"], Estimate)
    assert isinstance(result.stride_s, Estimate)
    assert not isinstance(result.support_pct["lateral"], Estimate)


def test_a_landing_left_out_costs_only_its_own_strides() -> None:
    whole = regular(n=8)
    gone = whole.landings(Limb.LF)[3]
    strides = build_strides(whole.without([gone]))
    assert len(strides.of(Limb.LH)) == 8
    assert sum(Limb.LF in stride.missing for stride in strides.of(Limb.LH)) == 1
    left, right = (measure(strides).lateral_phase_pct[side] for side in ("left", "right"))
    assert isinstance(left, Estimate)
    assert isinstance(right, Estimate)
    assert (left.n, right.n) == (7, 8)


def test_a_landing_out_of_step_is_doubted_and_its_neighbours_are_not() -> None:
    whole = regular(stride_s=1.0, n=6)
    late = whole.landings(Limb.RF)[0]
    strayed = Contacts([*whole.without([late]), Contact(Limb.RF, Event.ON, late.time_s + 0.25, 0.001)])
    strides = build_strides(strayed)
    doubted = {mark.time_s for c in strides.cycles[Limb.RF] if c.doubtful for mark in (c.landing,)}
    assert doubted == {late.time_s + 0.25}
    right = measure(strides).lateral_phase_pct["right"]
    assert isinstance(right, Estimate)
    assert right.mean == pytest.approx(25)


def test_a_stance_that_was_missed_is_not_taken_for_a_swing() -> None:
    """Both marks of one LF stance gone: support does without the strides it touches."""
    whole = regular(n=10, lateral_pct=50, duty_fore_pct=45, duty_hind_pct=45)
    on = whole.landings(Limb.LF)[4]
    off = next(mark for mark in whole.lift_offs(Limb.LF) if mark.time_s > on.time_s)
    for kind in KINDS:
        same_mean = [timing(marks).support_pct[kind] for marks in (whole, whole.without([on, off]))]
        assert isinstance(same_mean[0], Estimate)
        assert isinstance(same_mean[1], Estimate)
        assert same_mean[1].mean == pytest.approx(same_mean[0].mean, abs=1e-6)
        assert same_mean[1].n < same_mean[0].n


def test_swapped_fores_at_the_seam_of_the_circle_are_one_run() -> None:
    """Phase 37 with the fores taken for each other is 87, next to −13."""
    rng = np.random.default_rng(2)
    whole = regular(lateral_pct=87, n=12)
    strayed = Contacts(replace(m, time_s=m.time_s + rng.normal(0, 0.006)) for m in whole)
    assert len(split_runs(build_strides(strayed))) == 1
