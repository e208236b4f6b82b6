"""Was a change real."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.progress import Pass, Value, compare, data_of
from tests.progress.making import days, one

BEFORE = days(1, [38.2, 37.5, 38.4, 37.9])
AFTER = days(30, [33.1, 32.4, 33.3, 32.7], setup_id=2)
NEAR = days(30, [38.1, 37.8, 38.2, 37.6], setup_id=2)
STEADY = days(-60, [36.1, 35.6, 36.2, 35.9, 35.5, 36.0, 35.8, 36.3, 35.7, 36.1, 35.9, 36.0], setup_id=3)
phases = st.lists(st.floats(10, 50), min_size=1, max_size=4)


def test_a_large_change_over_several_days_is_real() -> None:
    told = compare(BEFORE, AFTER, "lateral phase")
    assert told.verdict == "real"
    assert told.difference == pytest.approx(-5.1, abs=0.15)
    assert told.low < told.difference < told.high < 0
    assert told.p_worthwhile > 0.9
    assert told.p_up < 0.01
    assert (told.more_passes, told.before_n, told.after_n, told.days) == (None, 4, 4, 8)


def test_one_day_against_one_day_is_honest() -> None:
    """Four points between two single films: the days alone could make that."""
    told = compare(BEFORE[:1], AFTER[:1], "lateral phase")
    assert told.verdict == "cannot tell yet"
    assert told.high - told.low > 12
    assert any("Only one day before and one after" in each for each in told.warnings)
    assert any("first guess" in each for each in told.warnings)


def test_no_difference_in_a_steady_horse_is_no_worthwhile_change() -> None:
    told = compare(BEFORE, NEAR, "lateral phase", history=STEADY)
    assert told.verdict == "no worthwhile change"
    assert told.p_worthwhile < 0.1


def test_the_worthwhile_change_can_be_set() -> None:
    assert (
        compare(BEFORE, AFTER, "lateral phase", worthwhile=8.0, history=STEADY).verdict
        == "no worthwhile change"
    )
    with pytest.raises(WrongSetting, match="above 0 for lateral phase, found -1"):
        compare(BEFORE, AFTER, "lateral phase", worthwhile=-1)


def test_history_of_a_steady_horse_narrows_the_interval() -> None:
    alone = compare(BEFORE[:2], AFTER[:2], "lateral phase")
    helped = compare(BEFORE[:2], AFTER[:2], "lateral phase", history=STEADY)
    assert helped.high - helped.low < 0.7 * (alone.high - alone.low)
    assert (alone.noise.learned, helped.noise.learned) == (False, True)


def test_other_horses_and_the_compared_films_themselves_are_no_history() -> None:
    others = [replace(each, horse_id=2, clip_id=each.clip_id + 5000) for each in STEADY]
    plain = compare(BEFORE, AFTER, "lateral phase")
    assert compare(BEFORE, AFTER, "lateral phase", history=[*others, *BEFORE, *AFTER]) == plain


def test_speed_is_taken_out() -> None:
    """A horse that loses 3 points per m/s, ridden 1 m/s faster after: little is left of 3 points."""
    slow = [one(i, i, 35 - 3 * (v - 3), speed_m_s=v, se=0.1) for i, v in enumerate([2.6, 2.8, 3.0, 3.2, 3.4])]
    fast = [
        one(50 + i, 50 + i, 35 - 3 * (v - 3), speed_m_s=v, se=0.1, setup_id=2)
        for i, v in enumerate([3.6, 3.8, 4.0, 4.2, 4.4])
    ]
    told = compare(slow, fast, "lateral phase")
    assert told.matched_by == "speed"
    assert abs(told.difference) < 1.0
    assert any("speeds hardly overlap" in each for each in told.warnings)
    blind, blind_too = ([replace(each, speed_m_s=None) for each in side] for side in (slow, fast))
    unmatched = compare(blind, blind_too, "lateral phase")
    assert unmatched.difference == pytest.approx(-3.0)
    assert any("not matched by speed" in each for each in unmatched.warnings)


def test_new_passes_are_set_apart_or_told() -> None:
    fresh = [one(70 + i, 30, 20.0, novelty=i, setup_id=2) for i in range(3)]
    told = compare(BEFORE, [*fresh, *AFTER], "lateral phase")
    assert (told.set_apart, told.after_n) == (3, 4)
    assert told.difference == pytest.approx(compare(BEFORE, AFTER, "lateral phase").difference)
    only = compare(BEFORE, fresh, "lateral phase")
    assert (only.set_apart, only.after_n) == (0, 3)
    assert any("among the first after a change" in each for each in only.warnings)


def test_what_else_differed_is_told() -> None:
    sand = [replace(each, ground="sand", rider="A") for each in BEFORE]
    grass = [replace(each, ground="grass", rider="A") for each in AFTER]
    told = compare(sand, grass, "lateral phase", changed=3).warnings
    assert told[0].startswith("3 things were changed at once")
    assert "The ground was another: sand before, grass after. That may be the cause." in told
    assert not any("rider" in each for each in told)


def test_both_on_one_day_asks_for_off_on_off() -> None:
    same = [replace(each, on_date=BEFORE[0].on_date) for each in AFTER]
    told = compare(BEFORE[:1], same, "lateral phase")
    assert any("off, on and off again" in each for each in told.warnings)
    assert told.days == 1


def test_what_cannot_be_compared_is_refused() -> None:
    with pytest.raises(TooLittleEvidence, match="at least one film after with hoof height measured"):
        compare(days(1, [0.05], measure="hoof height"), AFTER, "hoof height")
    with pytest.raises(WrongSetting, match="one horse, found 2"):
        compare(BEFORE, [replace(each, horse_id=2) for each in AFTER], "lateral phase")
    with pytest.raises(WrongSetting, match="one on both sides"):
        compare(BEFORE, [*AFTER, BEFORE[0]], "lateral phase")


def test_the_data_are_plain() -> None:
    data = json.loads(json.dumps(data_of(compare(BEFORE, AFTER, "lateral phase"))))
    assert data["verdict"] == "real"
    assert data["noise"]["learned"] is True
    assert set(data) >= {
        "difference",
        "low",
        "high",
        "p_worthwhile",
        "p_up",
        "more_passes",
        "slope",
        "warnings",
    }


def sides(ours: list[float], theirs: list[float]) -> tuple[tuple[Pass, ...], tuple[Pass, ...]]:
    return days(1, ours), days(40, theirs, setup_id=2)


@settings(max_examples=25, deadline=None)
@given(phases, phases)
def test_swapping_the_sides_turns_the_difference_round(ours: list[float], theirs: list[float]) -> None:
    before, after = sides(ours, theirs)
    told, back = compare(before, after, "lateral phase"), compare(after, before, "lateral phase")
    assert (back.difference, back.low, back.high) == pytest.approx(
        (-told.difference, -told.high, -told.low), abs=1e-6
    )
    assert back.verdict == told.verdict
    assert back.p_up == pytest.approx(1 - told.p_up, abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(phases, phases, st.floats(-30, 30))
def test_a_constant_added_to_all_changes_nothing(ours: list[float], theirs: list[float], more: float) -> None:
    told = compare(*sides(ours, theirs), "lateral phase")
    moved = compare(*sides([x + more for x in ours], [x + more for x in theirs]), "lateral phase")
    assert (moved.difference, moved.low, moved.high) == pytest.approx(
        (told.difference, told.low, told.high), abs=1e-5
    )


@settings(max_examples=25, deadline=None)
@given(phases, phases, st.integers(-400, 400))
def test_mirrored_values_mirror_the_answer_and_another_year_changes_nothing(
    ours: list[float], theirs: list[float], later: int
) -> None:
    def mirrored(each: Pass) -> Pass:
        value = each.values["lateral phase"]
        moved = each.on_date + timedelta(days=later)
        return replace(each, values={"lateral phase": Value(-value.mean, value.se)}, on_date=moved)

    before, after = sides(ours, theirs)
    told = compare(before, after, "lateral phase")
    turned = compare([mirrored(x) for x in before], [mirrored(x) for x in after], "lateral phase")
    assert (turned.difference, turned.low) == pytest.approx((-told.difference, -told.high), abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.floats(20, 40), st.floats(20, 40), st.integers(1, 5))
def test_more_days_that_say_the_same_narrow_the_interval(ours: float, theirs: float, n: int) -> None:
    few = compare(*sides([ours] * n, [theirs] * n), "lateral phase")
    more = compare(*sides([ours] * (n + 1), [theirs] * (n + 1)), "lateral phase")
    assert more.high - more.low < few.high - few.low


def test_the_order_in_which_passes_are_given_does_not_matter() -> None:
    told = compare(BEFORE, AFTER, "lateral phase", history=STEADY)
    shuffled = compare(BEFORE[::-1], (*AFTER[2:], *AFTER[:2]), "lateral phase", history=STEADY[::-1])
    assert shuffled == told


def test_dates_far_apart_are_taken() -> None:
    old = replace(BEFORE[0], on_date=date(1999, 1, 1))
    assert compare([old], AFTER, "lateral phase").before_days == 1
