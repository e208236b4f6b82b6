"""Bars: when a foot came to its place and left it, by hand-made traces."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts.film.bars import SHADED, Bar, bars_at, bars_of, chosen_bars
from evenfall.contacts.film.horse import HorsePath
from evenfall.contacts.film.standing import Place
from evenfall.contacts.film.trace import Scene, Trace
from evenfall.timebase import FloatArray
from tests.contacts.film.good_film import followed, good_ride

FPS, N = 60.0, 60
BAR = good_ride().stances[0].bars[0][1]


def scene(fps: float = FPS) -> Scene:
    flat, no = np.full(N, 160.0), np.zeros(N, bool)
    horse = HorsePath(flat, flat, flat, flat, flat, flat, ~no, no, flat)
    return Scene(0, np.arange(N) / fps, [], (1.0, 1.0), followed(1), horse, 1)


def trace(
    sole: FloatArray, along: tuple[float, float] = (0.3, 0.12), lean: FloatArray | None = None
) -> Trace:
    """The trace of a place over which the horse goes from one ``u`` to another while a foot is there."""
    there = np.flatnonzero(np.nan_to_num(sole) > 0.5)
    return Trace(
        frames=np.arange(N),
        sole=sole,
        lean=np.zeros(N) if lean is None else lean,
        leg=np.ones(N),
        along=np.interp(np.arange(N), there[[0, -1]], along),
        contrast=50,
        noise=1,
        point=np.array([320.0, 300.0]),
        at=30,
        place=Place(30, np.array([320.0, 300.0]), [(int(k), (320.0, 300.0)) for k in there]),
        beside=False,
        differs=np.zeros((N, 40, 40), np.float32),
        width_px=240.0,
    )


def standing(first: int, last: int) -> FloatArray:
    sole = np.zeros(N)
    sole[first : last + 1] = 1
    return sole


def dipped(first: int, last: int, at: int, left: float) -> FloatArray:
    sole = standing(first, last)
    sole[at] = left
    return sole


def test_landing_and_lift_off_lie_where_the_sole_crosses_its_levels() -> None:
    """At 60 pictures a second 0.92 of the sole has landed and 0.68 has not yet left."""
    sole = standing(20, 40)
    sole[19], sole[41] = 0.35, 0.2
    (bar,) = bars_of(trace(sole), scene())
    assert bar.on_s == pytest.approx((19 + (0.92 - 0.35) / 0.65) / 60)
    assert bar.off_s == pytest.approx((40 + (1 - 0.68) / 0.8) / 60)
    assert (bar.rough_on, bar.rough_off, bar.is_hind) == (False, False, False)


def test_how_long_a_foot_took_to_arrive_is_told_from_a_third_on() -> None:
    sole = standing(20, 40)
    sole[17:20] = 0.25, 0.45, 0.8
    (bar,) = bars_of(trace(sole), scene())
    landed, third = 19 + (0.92 - 0.8) / 0.2, 17 + (0.35 - 0.25) / 0.2
    assert bar.arriving_s == pytest.approx((landed - third) / 60)


def test_a_foot_whose_place_came_into_the_picture_as_it_landed_does_not_say_how_it_arrived() -> None:
    sole = standing(20, 40)
    sole[:20] = np.nan
    (bar,) = bars_of(trace(sole), scene())
    assert np.isnan([bar.on_s, bar.arriving_s]).all()


@settings(deadline=None)
@given(st.integers(5, 20), st.integers(30, 50), st.floats(0, 0.8), st.floats(0, 0.6))
def test_backwards_the_bar_stands_as_long_and_begins_within_a_picture(
    first: int, last: int, before: float, after: float
) -> None:
    sole = standing(first, last)
    sole[first - 1], sole[last + 1] = before, after
    (bar,) = bars_of(trace(sole), scene())
    (back,) = bars_of(trace(sole[::-1]), scene())
    assert first - 1 <= bar.on_s * FPS <= first
    assert last <= bar.off_s * FPS <= last + 1
    assert back.on_s * FPS == pytest.approx(N - 1 - bar.off_s * FPS, abs=1)


def test_a_foot_that_stood_before_the_film_began_has_no_landing() -> None:
    (bar,) = bars_of(trace(standing(0, 30)), scene())
    assert np.isnan(bar.on_s)
    assert (bar.start_s, bar.from_s) == (0, 0)
    assert bar.off_s == pytest.approx(30.32 / 60)


def test_a_foot_whose_place_leaves_the_picture_has_no_lift_off() -> None:
    sole = np.where(np.arange(N) < 45, standing(20, 59), np.nan)
    (bar,) = bars_of(trace(sole), scene())
    assert np.isnan(bar.off_s)
    assert bar.to_s == pytest.approx(44 / 60)


@pytest.mark.parametrize("last", [21, 22])
def test_what_is_there_for_a_moment_only_is_no_bar(last: int) -> None:
    assert list(bars_of(trace(standing(20, last)), scene())) == []


@pytest.mark.parametrize(("gone", "count"), [(3, 1), (9, 2)])
def test_a_short_gap_is_bridged_and_a_long_one_not(gone: int, count: int) -> None:
    sole = standing(10, 50)
    sole[25 : 25 + gone] = 0
    assert len(list(bars_of(trace(sole, (0.3, -0.1)), scene()))) == count


@pytest.mark.parametrize(("gone", "count"), [(9, 1), (14, 2)])
def test_a_foot_hidden_before_the_horses_middle_is_bridged_longer(gone: int, count: int) -> None:
    """Only another leg that passes in front can hide it there; no second foot comes to that place so soon."""
    sole = standing(10, 50)
    sole[25 : 25 + gone] = 0
    assert len(list(bars_of(trace(sole, (0.6, 0.2)), scene()))) == count


# one place, two feet ------------------------------------------------------------------------------------


def test_a_dip_under_the_horses_middle_parts_fore_from_hind() -> None:
    fore, hind = bars_of(trace(dipped(10, 50, 33, 0.6), (0.3, -0.3)), scene())
    assert (fore.is_hind, hind.is_hind) == (False, True)
    assert fore.off_s * FPS == pytest.approx(33, abs=1)
    assert hind.on_s * FPS == pytest.approx(33, abs=1)
    assert (fore.rough_on, fore.rough_off, hind.rough_on, hind.rough_off) == (False,) * 4


def test_a_dip_elsewhere_parts_nothing() -> None:
    (bar,) = bars_of(trace(dipped(10, 50, 30, 0.6), (0.4, 0.12)), scene())
    assert bar.off_s * FPS > 50


def test_away_from_the_middle_a_dip_does_not_say_where_the_feet_part() -> None:
    fore, hind = bars_of(trace(dipped(10, 50, 16, 0.6), (0.3, -0.3)), scene())
    assert fore.end_s * FPS == pytest.approx(30, abs=2)
    assert (fore.rough_off, hind.rough_on) == (True, True)


def test_without_a_dip_a_leg_that_falls_back_parts_them_roughly() -> None:
    lean = np.interp(np.arange(N), [10, 33], [-0.05, 0.05])
    lean[34:] = np.interp(np.arange(34, N), [34, 50], [-0.05, 0.05])
    fore, hind = bars_of(trace(standing(10, 50), (0.3, -0.3), lean), scene())
    assert hind.on_s * FPS == pytest.approx(33.5, abs=1)
    assert (fore.rough_off, hind.rough_on) == (True, True)


# several looks ------------------------------------------------------------------------------------------


def at(x: float, **changes: Any) -> Bar:
    return replace(BAR, point=np.array([x, 300.0]), at=0, **changes)


def test_two_looks_at_one_foot_are_gathered_the_stronger_first() -> None:
    (kept,) = chosen_bars([at(320, contrast=30), at(324, contrast=50)], scene())
    assert [look.contrast for look in kept.looks] == [50, 30]


def test_feet_at_two_places_or_two_times_are_two() -> None:
    later = at(320, start_s=1.0, end_s=1.3, on_s=1.0, off_s=1.3)
    assert len(chosen_bars([at(320), at(360), later], scene())) == 3


def test_bars_come_in_order_of_time() -> None:
    bars = [at(40.0 * k, start_s=s, end_s=s + 0.3, on_s=s, off_s=s + 0.3) for k, s in enumerate((2, 0, 1))]
    assert [bar.start_s for bar in chosen_bars(bars, scene())] == [0, 1, 2]


def test_what_has_no_leg_above_it_or_hardly_stands_out_is_dropped() -> None:
    legged = [at(40.0 * k, leg=1.0) for k in range(4)]
    assert len(chosen_bars([*legged, at(200, leg=0.5), at(240, contrast=15)], scene())) == 4


def in_shade(lower: float, *, shown: bool = True, contrast: float = 80) -> list[Bar]:
    """A place seen against the empty ground, its edge so many widths lower, and by what lies beside it."""
    shadow = replace(trace(standing(15, 45)), point=np.array([320.0, 300.0 + 160 * lower]))
    sole = standing(20, 40) if shown else standing(0, 40)
    hoof = replace(trace(sole), beside=True, contrast=contrast)
    return bars_at([shadow, hoof], scene())


def test_under_a_shadow_only_what_differs_from_beside_is_listened_to() -> None:
    (bar,) = in_shade(1.5 * SHADED)
    assert bar.beside
    assert bar.on_s * FPS == pytest.approx(20, abs=1)


@pytest.mark.parametrize(
    "case",
    [
        in_shade(0.5 * SHADED),
        in_shade(1.5 * SHADED, shown=False),
        in_shade(1.5 * SHADED, contrast=55),
    ],
    ids=["no shadow", "landing not shown", "hardly clearer"],
)
def test_else_every_look_is_listened_to(case: list[Bar]) -> None:
    assert [bar.beside for bar in case] == [False, True]


@pytest.mark.parametrize("pale", [True, False])
def test_the_legs_shape_is_kept_only_of_a_look_for_the_bright_or_narrow(pale: bool) -> None:
    (bar,) = bars_of(trace(standing(20, 40)), replace(scene(), pale=pale))
    assert (bar.shape is not None) is pale
