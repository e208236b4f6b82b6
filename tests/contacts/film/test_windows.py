"""The film in windows: every picture is one window's own, and what is looked at is enough and no more."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.clip import Clip, open_clip
from evenfall.contacts.film.windows import MOST_FPS, MOST_PICTURES, Window, picked_times_s, windows
from evenfall.timebase import Timebase
from tests.contacts.film.good_film import good_clip
from tests.making import even_ticks, write_film


@pytest.fixture(scope="module")
def long_clip(tmp_path_factory: pytest.TempPathFactory) -> Clip:
    """Thirteen seconds, fifty pictures in each."""
    return open_clip(write_film(tmp_path_factory.mktemp("windows") / "long.mp4", even_ticks(650, 50)))


@pytest.fixture(scope="module")
def shown(long_clip: Clip) -> list[Window]:
    return list(windows(long_clip))


def own(window: Window) -> list[float]:
    times = window.times_s
    return [float(t) for t in times[(times >= window.own[0]) & (times < window.own[1])]]


@pytest.mark.parametrize(("fps", "step"), [(30, 1), (60, 1), (75, 1), (120, 2), (240, 4)])
def test_of_fast_films_every_second_or_fourth_picture_is_looked_at(fps: float, step: int) -> None:
    times_s, found = picked_times_s(good_clip(fps))
    assert found == step
    assert np.diff(times_s) == pytest.approx(step / fps)


@settings(deadline=None)
@given(st.floats(8, 1000))
def test_pictures_looked_at_are_never_many_more_than_needed_nor_less_than_half(fps: float) -> None:
    times_s, _ = picked_times_s(good_clip(fps))
    looked_at = 1 / float(np.median(np.diff(times_s)))
    assert min(fps, MOST_FPS / 2) * 0.99 <= looked_at <= MOST_FPS * 1.06


def test_slow_motion_counts_in_real_seconds() -> None:
    slow = replace(good_clip(), timebase=Timebase(np.arange(240) / 30).at_capture_rate(240))
    times_s, step = picked_times_s(slow)
    assert step == 4
    assert np.diff(times_s) == pytest.approx(4 / 240)


def test_every_picture_is_the_own_of_exactly_one_window(long_clip: Clip, shown: list[Window]) -> None:
    assert len(shown) > 2
    assert [t for window in shown for t in own(window)] == pytest.approx(long_clip.timebase.times_s)


def test_each_window_holds_its_pictures_and_some_seconds_around(long_clip: Clip, shown: list[Window]) -> None:
    for window in shown:
        assert len(window.times_s) == len(window.full) == len(window.small) <= MOST_PICTURES
        assert window.times_s[0] == pytest.approx(long_clip.timebase.times_s[window.first])
        assert len(window.camera.planes) == window.first + len(window.times_s)
        assert own(window)[0] - window.times_s[0] == pytest.approx(2.0 if window.first else 0, abs=0.05)


def test_the_pictures_in_a_window_are_those_of_its_times(shown: list[Window]) -> None:
    """Picture number i has grey level 20 + 5 (i % 40) in its corner."""
    for window in shown:
        number = window.first + np.arange(len(window.full))
        corners = [float(full[2:20, 2:28].mean()) for full in window.full]
        assert corners == pytest.approx(20 + 5 * (number % 40), abs=6)


def test_progress_rises_to_the_whole(film: Path) -> None:
    told: list[float] = []
    for window in windows(open_clip(film), told.append):
        window.tick()
    assert told == sorted(told)
    assert (len(told) > 300, told[-1]) == (True, 1.0)


def test_a_small_film_is_looked_at_as_it_is(shown: list[Window]) -> None:
    window = shown[0]
    assert window.scale == (1.0, 1.0)
    assert window.full[0].shape == window.small[0].shape == (48, 64)
