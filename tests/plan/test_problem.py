"""Where a horse lies against its own goal."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.gait import named_goal
from evenfall.plan import CANNOT_TELL, IN_THE_BAND, TOO_PACE, TOO_TROT, out_of_band, problem_of

EVEN = (20.0, 30.0)
phases = st.floats(-12, 87, allow_nan=False)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (31, 35, TOO_TROT),
        (12, 18, TOO_PACE),
        (21, 29, IN_THE_BAND),
        (28, 32, CANNOT_TELL),
        (10, 40, CANNOT_TELL),
    ],
)
def test_the_whole_interval_decides(low: float, high: float, said: str) -> None:
    assert problem_of(low, high, EVEN) == said


def test_even_is_too_far_toward_pace_for_a_fox_trotter() -> None:
    assert problem_of(24, 26, named_goal("fox trot").band_pct) == TOO_PACE
    assert problem_of(34, 36, named_goal("fox trot").band_pct) == IN_THE_BAND
    assert problem_of(34, 36, named_goal("even").band_pct) == TOO_TROT


@settings(deadline=None)
@given(phases, phases)
def test_a_horse_mirrored_about_its_band_has_the_other_problem(one: float, other: float) -> None:
    low, high = sorted((one, other))
    mirrored = problem_of(50 - high, 50 - low, EVEN)
    swapped = {TOO_TROT: TOO_PACE, TOO_PACE: TOO_TROT}
    said = problem_of(low, high, EVEN)
    assert mirrored == swapped.get(said, said)


@settings(deadline=None)
@given(phases)
def test_points_out_of_the_band_are_nought_inside_and_only_there(phase: float) -> None:
    assert (out_of_band(phase, EVEN) == 0) == (EVEN[0] <= phase <= EVEN[1])


@pytest.mark.parametrize("interval", [(30, 20), (float("nan"), 3), (1, float("inf"))])
def test_what_is_no_interval_is_refused(interval: tuple[float, float]) -> None:
    with pytest.raises(WrongSetting, match="expected a lower and a higher number"):
        problem_of(*interval, EVEN)
