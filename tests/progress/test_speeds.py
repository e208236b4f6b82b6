"""What passes are matched by, and what speed alone would do."""

import pytest

from evenfall.progress.speeds import HEIGHT_PER_SPEED, like_speed, matched_by, slope_prior_sd
from tests.progress.making import one

FAST = one(1, 0, 30.0, speed_m_s=4.0, stride_rate_hz=1.7)
RATE_ONLY = one(2, 1, 30.0, stride_rate_hz=1.7)


def test_the_published_height_of_speed_is_57_mm_per_m_s() -> None:
    """65 mm from 2.96 to 4.10 m/s in ridden tölt (Rumpler 2010, abstract; derived)."""
    assert pytest.approx(0.057, abs=0.0005) == HEIGHT_PER_SPEED


@pytest.mark.parametrize(
    ("height_m", "speed_m_s"), [(0.017, 0.30), (0.031, 0.54), (-0.017, -0.30), (0.0, 0.0)]
)
def test_boots_of_280_g_raise_the_foot_as_this_much_speed_does(height_m: float, speed_m_s: float) -> None:
    """17 mm at 2.96 m/s, 31 mm at 4.10 m/s (Rumpler 2010, abstract; derived)."""
    assert like_speed(height_m) == pytest.approx(speed_m_s, abs=0.01)


def test_passes_are_matched_by_what_all_of_them_have() -> None:
    assert matched_by([FAST, FAST], "lateral phase") == "speed"
    assert matched_by([FAST, RATE_ONLY], "lateral phase") == "stride rate"
    assert matched_by([FAST, one(3, 2, 30.0)], "lateral phase") is None
    assert matched_by([], "lateral phase") is None


def test_stride_time_is_not_matched_by_itself_turned_over() -> None:
    assert matched_by([FAST, RATE_ONLY], "stride time") is None
    assert slope_prior_sd("stride time", None) == 0
