"""Contacts against a reference: matching, agreement, swapped legs, other clocks."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.errors import WrongSetting
from evenfall.scoring import (
    Agreement,
    Differences,
    ScoreSettings,
    Spread,
    SwappedPair,
    TooFew,
    match_times,
    score_contacts,
)
from tests.making import regular

PAIRS_OF_LEGS = {"fores": (Limb.LF, Limb.RF), "hinds": (Limb.LH, Limb.RH)}


def lf(*times_ms: float) -> Contacts:
    return Contacts(Contact(Limb.LF, Event.ON, time / 1000) for time in times_ms)


def swapped_in(contacts: Contacts, *limbs: Limb) -> Contacts:
    return Contacts(replace(m, limb=m.limb.across) if m.limb in limbs else m for m in contacts)


def known(found: Differences | TooFew) -> tuple[Differences, Spread]:
    assert isinstance(found, Differences)
    assert isinstance(found.spread, Spread)
    return found, found.spread


# Numbers worked out by hand


def test_bland_and_altmans_limits_of_five_pairs_worked_by_hand() -> None:
    """Differences 4 8 12 16 20: mean 12, squares about it 160, SD √40, t for 4 degrees of freedom 2.776445."""
    agreement = score_contacts(lf(0, 500, 1000, 1500, 2000), lf(16, 504, 1020, 1508, 2012))
    found, spread = known(agreement.part(Limb.LF, Event.ON).differences)
    assert (found.n, found.bias_ms) == (5, 12)
    assert spread.sd_ms == pytest.approx(6.324555)
    assert spread.limits_ms == pytest.approx((-0.396128, 24.396128), abs=1e-5)
    assert spread.bias_ci95_ms == pytest.approx((4.147028, 19.852972), abs=1e-5)
    assert spread.limits_within_ms == pytest.approx(13.601745, abs=1e-5)
    assert found.median_absolute_ms == 12
    assert found.p95_absolute_ms == pytest.approx(19.2)


def test_absolute_differences_forget_who_was_sooner() -> None:
    found, _ = known(score_contacts(lf(0, 500, 1000), lf(-10, 502, 1008)).part().differences)
    assert found.bias_ms == pytest.approx(0)
    assert found.median_absolute_ms == 8


def test_one_pair_has_a_bias_and_no_interval() -> None:
    found = score_contacts(lf(100), lf(107)).part().differences
    assert isinstance(found, Differences)
    assert found.bias_ms == 7
    assert found.spread == TooFew("one pair only; two or more are needed")


def test_parts_count_each_foot_and_event_then_events_then_all() -> None:
    a = Contacts([*lf(100, 700), Contact(Limb.LF, Event.OFF, 0.4), Contact(Limb.RH, Event.ON, 0.5)])
    b = Contacts([*lf(110, 1400), Contact(Limb.LF, Event.OFF, 0.39)])
    agreement = score_contacts(a, b)
    counts = {
        (part.limb, part.event): (part.matched, part.missed, part.extra)
        for part in agreement.parts
        if part.matched or part.missed or part.extra
    }
    assert counts == {
        (Limb.LF, Event.ON): (1, 1, 1),
        (Limb.LF, Event.OFF): (1, 0, 0),
        (Limb.RH, Event.ON): (0, 1, 0),
        (None, Event.ON): (1, 2, 1),
        (None, Event.OFF): (1, 0, 0),
        (None, None): (2, 2, 1),
    }
    assert [str(mark) for mark in agreement.missed] == ["RH landing at 0.500 s", "LF landing at 0.700 s"]
    assert agreement.part(Limb.RH, Event.ON).differences == TooFew("no pair was matched")
    with pytest.raises(KeyError):
        agreement.part(Limb.LF)


# Matching


def test_the_window_holds_its_own_edge() -> None:
    """0.3 - 0.2 is a little less than 0.1 in floating point, 0.4 - 0.3 a little more."""
    assert score_contacts(lf(200), lf(300)).part().matched == 1
    assert score_contacts(lf(300), lf(400)).part().matched == 1
    assert score_contacts(lf(300), lf(400.001)).part().matched == 0


def test_more_pairs_go_before_closer_pairs() -> None:
    assert match_times([0, 50], [40, 90], 60) == [(0, 0), (1, 1)]
    assert match_times([0, 50], [48, 140], 60) == [(1, 0)]


def test_pairs_do_not_cross_where_sums_are_equal() -> None:
    assert match_times([0, 10], [20, 30], 100) == [(0, 0), (1, 1)]


def test_of_two_equally_close_the_earlier_is_taken_from_either_side() -> None:
    assert match_times([10], [0, 20], 10) == [(0, 0)]
    assert match_times([0, 20], [10], 10) == [(0, 0)]


def every_matching(n: int, m: int) -> Iterator[list[tuple[int, int]]]:
    """All ways to pair some of n with as many of m, crossed ones too."""
    for size in range(min(n, m) + 1):
        for ours in combinations(range(n), size):
            for theirs in permutations(range(m), size):
                yield list(zip(ours, theirs, strict=True))


def cost(a: Sequence[int], b: Sequence[int], pairs: list[tuple[int, int]]) -> tuple[int, int]:
    return -len(pairs), sum(abs(a[i] - b[j]) for i, j in pairs)


FEW_TIMES = st.lists(st.integers(0, 30), max_size=5).map(sorted)


@given(FEW_TIMES, FEW_TIMES, st.integers(0, 30))
def test_matching_is_the_best_of_all_matchings(a: list[int], b: list[int], window: int) -> None:
    found = match_times(a, b, window)
    possible = (
        pairs for pairs in every_matching(len(a), len(b)) if all(abs(a[i] - b[j]) <= window for i, j in pairs)
    )
    assert all(abs(a[i] - b[j]) <= window for i, j in found)
    assert cost(a, b, found) == min(cost(a, b, pairs) for pairs in possible)
    for side in (0, 1):
        places = [pair[side] for pair in found]
        assert places == sorted(set(places))


MANY_TIMES = st.lists(st.integers(0, 2000), max_size=40, unique=True).map(sorted)


@given(MANY_TIMES, MANY_TIMES, st.integers(0, 400))
def test_matching_is_as_good_as_an_assignment_solvers(a: list[int], b: list[int], window: int) -> None:
    apart = np.abs(np.subtract.outer(np.array(a, int), np.array(b, int)))
    rows, columns = linear_sum_assignment(np.where(apart <= window, apart, 1_000_000))
    theirs = [(i, j) for i, j in zip(rows, columns, strict=True) if apart[i, j] <= window]
    assert cost(a, b, match_times(a, b, window)) == cost(a, b, theirs)


@given(MANY_TIMES, MANY_TIMES, st.integers(0, 400))
def test_matching_the_other_way_round_finds_the_same_pairs(a: list[int], b: list[int], window: int) -> None:
    assert match_times(b, a, window) == [(j, i) for i, j in match_times(a, b, window)]


# Laws


@st.composite
def readings(draw: st.DrawFn, stray_ms: int = 20) -> tuple[Contacts, Contacts]:
    """A horse of any symmetrical gait, and a second reader who strays a little from the first."""
    a = regular(
        stride_s=draw(st.floats(0.4, 1.3)), lateral_pct=draw(st.floats(0, 50)), n=draw(st.integers(2, 5))
    )
    strays = draw(st.lists(st.integers(-stray_ms, stray_ms), min_size=len(a), max_size=len(a)))
    return a, Contacts(replace(m, time_s=m.time_s + ms / 1000) for m, ms in zip(a, strays, strict=True))


MARKS = st.builds(
    Contact,
    st.sampled_from(Limb),
    st.sampled_from(Event),
    st.integers(0, 1500).map(lambda ms: ms / 1000),
)
ANY_CONTACTS = st.lists(MARKS, max_size=25, unique_by=lambda m: (m.limb, m.event, m.time_s)).map(Contacts)


@given(ANY_CONTACTS)
def test_a_reader_agrees_with_herself(a: Contacts) -> None:
    agreement = score_contacts(a, a)
    told = agreement.part()
    assert (told.matched, told.missed, told.extra) == (len(a), 0, 0)
    assert (agreement.swapped, agreement.swapped_contacts, agreement.offset_ms) == ((), (), None)
    assert all(pair.difference_ms == 0 for pair in agreement.pairs)
    if len(a) > 1:
        found, spread = known(told.differences)
        assert (found.bias_ms, spread.sd_ms, spread.limits_ms) == (0, 0, (0, 0))


@given(ANY_CONTACTS, ANY_CONTACTS)
def test_every_contact_is_matched_or_left_over_once(a: Contacts, b: Contacts) -> None:
    agreement = score_contacts(a, b)
    assert sorted(map(str, (*(p.a for p in agreement.pairs), *agreement.missed))) == sorted(map(str, a))
    assert sorted(map(str, (*(p.b for p in agreement.pairs), *agreement.extra))) == sorted(map(str, b))
    assert bool(agreement.too_little) == (not agreement.pairs)


@given(ANY_CONTACTS, ANY_CONTACTS)
def test_swapping_the_readers_turns_the_sign_and_exchanges_missed_and_extra(a: Contacts, b: Contacts) -> None:
    there, back = score_contacts(a, b), score_contacts(b, a)
    assert (back.missed, back.extra) == (there.extra, there.missed)
    assert back.swapped == there.swapped
    assert {(p.b, p.a) for p in back.swapped_contacts} == {(p.a, p.b) for p in there.swapped_contacts}
    for ours, theirs in zip(there.parts, back.parts, strict=True):
        if ours.matched < 2:
            continue
        found, spread = known(ours.differences)
        turned, turned_spread = known(theirs.differences)
        assert turned.bias_ms == pytest.approx(-found.bias_ms)
        assert turned_spread.sd_ms == pytest.approx(spread.sd_ms)
        assert turned_spread.limits_ms == pytest.approx(tuple(-edge for edge in reversed(spread.limits_ms)))
        assert turned.p95_absolute_ms == found.p95_absolute_ms


@given(readings(), st.integers(-75, 75))
def test_shifting_b_shifts_the_bias_and_nothing_else(both: tuple[Contacts, Contacts], by_ms: int) -> None:
    a, b = both
    before, before_spread = known(score_contacts(a, b).part().differences)
    after, after_spread = known(score_contacts(a, b.shifted(by_ms / 1000)).part().differences)
    assert (before.n, after.n) == (len(a), len(a))
    assert after.bias_ms == pytest.approx(before.bias_ms + by_ms, abs=1e-5)
    assert after_spread.sd_ms == pytest.approx(before_spread.sd_ms, abs=1e-5)


@given(readings(), st.floats(-5, 1000))
def test_shifting_both_changes_nothing(both: tuple[Contacts, Contacts], by_s: float) -> None:
    a, b = both
    before, _ = known(score_contacts(a, b).part().differences)
    after, _ = known(score_contacts(a.shifted(by_s), b.shifted(by_s)).part().differences)
    assert after.bias_ms == pytest.approx(before.bias_ms, abs=1e-4)


@given(readings())
def test_mirroring_both_mirrors_the_parts(both: tuple[Contacts, Contacts]) -> None:
    a, b = both
    straight, mirrored = score_contacts(a, b), score_contacts(a.mirrored(), b.mirrored())
    for limb in Limb:
        ours = straight.part(limb, Event.ON).differences
        assert mirrored.part(limb.across, Event.ON).differences == ours


# Swapped legs


@pytest.mark.parametrize("legs", [("fores",), ("hinds",), ("fores", "hinds")])
@given(both=readings())
def test_legs_swapped_throughout_are_caught(legs: tuple[str, ...], both: tuple[Contacts, Contacts]) -> None:
    a, b = both
    agreement = score_contacts(a, swapped_in(b, *(limb for word in legs for limb in PAIRS_OF_LEGS[word])))
    assert tuple(pair.legs for pair in agreement.swapped) == legs
    assert all(pair.if_swapped == len(a) / 2 for pair in agreement.swapped)
    assert agreement.swapped_contacts == ()


@given(readings())
def test_a_mirrored_b_is_caught_whole(both: tuple[Contacts, Contacts]) -> None:
    a, b = both
    assert [pair.legs for pair in score_contacts(a, b.mirrored()).swapped] == ["fores", "hinds"]


@given(readings())
def test_no_swap_is_seen_where_there_is_none(both: tuple[Contacts, Contacts]) -> None:
    agreement = score_contacts(*both)
    assert (agreement.swapped, agreement.swapped_contacts) == ((), ())


def test_fores_of_a_canter_swap_though_both_ways_lie_within_the_window() -> None:
    canter = regular(offsets_pct={Limb.RH: 0.0, Limb.LH: 25.0, Limb.RF: 25.0, Limb.LF: 40.0}, stride_s=0.5)
    agreement = score_contacts(canter, swapped_in(canter, Limb.LF, Limb.RF))
    assert agreement.part().missed == 0
    assert agreement.swapped == (SwappedPair("fores", 36, 36),)


def test_a_swap_is_seen_though_b_marked_far_more() -> None:
    a = regular(n=2, lift_offs=False)
    agreement = score_contacts(a, swapped_in(regular(n=20), Limb.LF, Limb.RF))
    assert [(pair.legs, pair.if_swapped) for pair in agreement.swapped] == [("fores", 6)]


@pytest.mark.parametrize("mark", [3, 10, 20])
def test_a_single_contact_of_the_foot_across_is_caught(mark: int) -> None:
    a = regular(n=5)
    b = Contacts(replace(m, limb=m.limb.across) if i == mark else m for i, m in enumerate(a.shifted(0.008)))
    agreement = score_contacts(a, b)
    (pair,) = agreement.swapped_contacts
    assert pair.a == a.marks[mark]
    assert pair.b == b.marks[mark]
    assert pair.difference_ms == pytest.approx(8)
    assert (agreement.missed, agreement.extra, agreement.swapped) == ((pair.a,), (pair.b,), ())


def test_three_pairs_are_no_evidence_of_a_swap_throughout() -> None:
    a = lf(0, 600, 1200)
    agreement = score_contacts(a, a.mirrored())
    assert agreement.swapped == ()
    assert len(agreement.swapped_contacts) == 3


# Other clocks, and nothing to match


def test_a_constant_offset_over_half_the_window_is_told() -> None:
    a = regular(n=5)
    assert score_contacts(a, a.shifted(0.06)).offset_ms == pytest.approx(60)
    assert score_contacts(a, a.shifted(-0.06)).offset_ms == pytest.approx(-60)
    assert score_contacts(a, a.shifted(0.04)).offset_ms is None
    assert score_contacts(a, a.shifted(0.06), ScoreSettings(window_ms=150)).offset_ms is None


def test_a_median_that_explains_little_is_no_offset() -> None:
    """Differences from 20 to 100 ms: over half the window in the middle, yet all over the place."""
    a, b = lf(0, 500, 1000, 1500, 2000), lf(20, 520, 1060, 1600, 2100)
    assert score_contacts(a, b).offset_ms is None
    assert score_contacts(lf(0, 500, 1000), lf(60, 560, 1060)).offset_ms is None


def why(a: Contacts, b: Contacts) -> str:
    agreement: Agreement = score_contacts(a, b)
    assert agreement.part().differences == TooFew("no pair was matched")
    return agreement.too_little


def test_empties_are_explained() -> None:
    assert (
        why(Contacts(), Contacts()) == "A and B hold no contact. Mark the same strides of the film in both."
    )
    assert why(Contacts(), lf(0)).startswith("A holds no contact.")
    assert why(lf(0), Contacts()).startswith("B holds no contact.")


def test_nothing_in_common_is_explained() -> None:
    assert "no foot's landings or lift-offs in common" in why(lf(0), lf(0).mirrored())
    assert "within 100 ms of one of the same foot in A; the nearest is 250 ms away" in why(
        lf(0), lf(250, 900)
    )
    assert "different films or clocks" in why(lf(0), lf(5000))
    assert "36 contacts do with left and right of the fores and of the hinds swapped" in why(
        regular(n=8, lift_offs=False), regular(n=8, lift_offs=False).mirrored()
    )


@pytest.mark.parametrize("window", [0.1, 0, -5, 20_000, float("nan"), float("inf")])
def test_a_window_out_of_range_is_refused(window: float) -> None:
    with pytest.raises(WrongSetting, match="the window must be 1 to 10000 ms, not"):
        ScoreSettings(window_ms=window)
