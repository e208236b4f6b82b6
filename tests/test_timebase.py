"""The clock of a film."""

import numpy as np
import pytest

from evenfall.errors import WrongSetting
from evenfall.timebase import Timebase


def test_the_dating_spread_is_the_picture_interval_over_root_twelve() -> None:
    """Sampling alone: 11.5, 9.6, 5.8, 4.8, 2.4, 1.2 ms at 25 to 240 pictures a second (uniform distribution)."""
    for fps, sd_ms in ((25, 11.5), (30, 9.6), (50, 5.8), (60, 4.8), (120, 2.4), (240, 1.2)):
        clock = Timebase(np.arange(20) / fps)
        assert 1000 * clock.dating_sd_s(0.1) == pytest.approx(sd_ms, abs=0.05)


def test_at_a_varying_rate_the_interval_around_the_event_counts() -> None:
    clock = Timebase(np.array([0.0, 0.1, 0.3, 0.4]))
    assert clock.interval_at(0.2) == pytest.approx(0.2)
    assert clock.interval_at(0.05) == pytest.approx(0.1)
    assert clock.interval_at(9.0) == pytest.approx(0.1)


def test_a_mark_on_a_picture_was_made_after_the_interval_before_it() -> None:
    assert Timebase(np.array([0.0, 0.1, 0.3])).interval_at(0.3) == pytest.approx(0.2)


def test_rates_of_a_slow_motion_file() -> None:
    clock = Timebase(np.arange(61) / 30).at_capture_rate(120)
    assert (clock.file_fps, clock.capture_fps, clock.playback_factor) == pytest.approx((30, 120, 4))
    assert clock.duration_s == pytest.approx(61 / 30)


@pytest.mark.parametrize("fps", [0, -30, 0.5, 20_000, float("nan")])
def test_impossible_capture_rates_are_refused(fps: float) -> None:
    with pytest.raises(WrongSetting, match="capture rate"):
        Timebase(np.arange(5) / 30).at_capture_rate(fps)


@pytest.mark.parametrize("times", [[0.0], [0.0, 0.0], [0.0, 0.2, 0.1]])
def test_a_clock_must_run_forward(times: list[float]) -> None:
    with pytest.raises(WrongSetting, match="later than the one before"):
        Timebase(np.array(times))
