"""One stride period for all feet: a made rhythm is given back."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.pattern import Pattern, fit_pattern, overlap
from tests.contacts.film.good_film import good_ride

BAR = good_ride().stances[0].bars[0][1]
VISIBLE = ((0.0, 4.0), (0.0, 4.0))
REACH = 0.45

GAITS = {"walk": (1.1, 25, 62), "trot": (0.75, 50, 42), "pace": (0.7, 1, 42), "rack": (0.52, 25, 45)}
"""Stride in seconds, lateral phase and duty in per cent: round numbers of each gait's kind."""


def bar(hind: bool, start_s: float, end_s: float) -> Bar:
    u = -0.2 if hind else 0.2
    return replace(BAR, on_s=start_s, off_s=end_s, start_s=start_s, end_s=end_s, along=(u, u))


def made(stride_s: float, lateral_pct: float, duty_pct: float, first_s: float = 0.1) -> list[Bar]:
    """Every stance of four seconds, fores and hinds."""
    out = []
    for hind in (False, True):
        start = first_s + (0 if hind else lateral_pct / 100 * stride_s)
        for number in range(-3, round(8 / stride_s) + 1):
            on = start + number * stride_s / 2
            off = on + duty_pct / 100 * stride_s
            if on > 0 and off < 4:
                out.append(bar(hind, on, off))
    return out


def fitted(bars: Sequence[Bar], stance_s: float) -> Pattern:
    pattern = fit_pattern(bars, VISIBLE, REACH / stance_s)
    assert pattern is not None
    return pattern


def apart(pattern: Pattern) -> float:
    """Fores after hinds, half strides, 0 to 1."""
    fores, hinds = pattern.pairs
    return float((fores.phase_s - hinds.phase_s) / pattern.half_s % 1)


def agrees(pattern: Pattern, stride_s: float, lateral_pct: float, duty_pct: float) -> None:
    assert pattern.half_s == pytest.approx(stride_s / 2, rel=0.02)
    away = abs(apart(pattern) - lateral_pct / 50 % 1)
    assert min(away, 1 - away) / 2 < 0.02
    for pair in pattern.pairs:
        assert pair.stance_s == pytest.approx(duty_pct / 100 * stride_s, rel=0.05)


@pytest.mark.parametrize("gait", GAITS)
def test_half_stride_and_phases_of_a_made_gait_are_given_back_to_2_pct(gait: str) -> None:
    stride_s, lateral_pct, duty_pct = GAITS[gait]
    pattern = fitted(made(*GAITS[gait]), duty_pct / 100 * stride_s)
    agrees(pattern, stride_s, lateral_pct, duty_pct)
    assert min(pair.score for pair in pattern.pairs) > 0.85


@pytest.mark.parametrize("gait", GAITS)
def test_a_missing_bar_and_a_spurious_one_change_nothing(gait: str) -> None:
    stride_s, lateral_pct, duty_pct = GAITS[gait]
    bars = made(*GAITS[gait])
    del bars[2]
    spurious = bar(True, 1.03, 1.03 + 0.3 * stride_s)
    pattern = fitted([*bars, spurious], duty_pct / 100 * stride_s)
    agrees(pattern, stride_s, lateral_pct, duty_pct)


@pytest.mark.parametrize("gait", GAITS)
def test_what_is_missing_costs_score(gait: str) -> None:
    stride_s, _, duty_pct = GAITS[gait]
    bars = made(*GAITS[gait])
    whole, holed = (fitted(some, duty_pct / 100 * stride_s) for some in (bars, bars[:2] + bars[4:]))
    assert holed.pairs[0].score < whole.pairs[0].score - 0.05


def test_bars_without_a_rhythm_score_low() -> None:
    rng = np.random.default_rng(4)
    starts = rng.uniform(0, 3.7, 24)
    bars = [bar(k % 2 == 0, s, s + rng.uniform(0.08, 0.5)) for k, s in enumerate(starts)]
    assert min(pair.score for pair in fitted(bars, 0.3).pairs) < 0.5


@pytest.mark.parametrize("kept", [(0, 9), (9, 1), (0, 0)])
def test_with_fewer_than_two_bars_of_either_pair_there_is_no_pattern(kept: tuple[int, int]) -> None:
    bars = made(*GAITS["rack"])
    few = [b for hind in (0, 1) for b in [b for b in bars if b.is_hind == bool(hind)][: kept[hind]]]
    assert fit_pattern(few, VISIBLE, 1.5) is None


def test_what_stands_far_before_or_behind_the_horse_is_not_its_foot() -> None:
    far = [replace(b, along=(4 * b.along[0], 4 * b.along[1])) for b in made(*GAITS["rack"])]
    assert fit_pattern(far, VISIBLE, 1.5) is None


@settings(deadline=None, max_examples=3)
@given(st.floats(0.0, 0.25), st.sampled_from(sorted(GAITS)))
def test_a_later_ride_has_the_same_pattern_later(later_s: float, gait: str) -> None:
    stride_s, lateral_pct, duty_pct = GAITS[gait]
    bars = made(stride_s, lateral_pct, duty_pct, 0.1 + later_s)
    agrees(fitted(bars, duty_pct / 100 * stride_s), stride_s, lateral_pct, duty_pct)


@settings(deadline=None)
@given(*[st.floats(0, 5)] * 2, *[st.floats(0.01, 2)] * 2)
def test_overlap_is_a_share_and_the_same_both_ways(a: float, b: float, long_a: float, long_b: float) -> None:
    share = float(overlap(a, a + long_a, b, b + long_b))
    assert 0 <= share <= 1
    assert share == float(overlap(b, b + long_b, a, a + long_a))
    assert float(overlap(a, a + long_a, a, a + long_a)) == pytest.approx(1)
