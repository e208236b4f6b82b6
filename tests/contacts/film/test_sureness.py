"""How sure a contact is called: less with every sign against it."""

from dataclasses import replace

import pytest

from evenfall.contacts.film.stances import Moment, Stance
from evenfall.contacts.film.sureness import MOST, MOST_COARSE, Feet, sureness

BEST = Moment(expected_s=1.0, time_s=1.0, looks=8, spread_s=0.0, scatter_s=0.004)
GOOD = Moment(expected_s=1.0, time_s=1.0, looks=4, spread_s=0.01, scatter_s=0.015)
OFF = Moment(expected_s=1.3, time_s=1.3, looks=6, spread_s=0.001, scatter_s=0.005)
LOST = replace(GOOD, time_s=float("nan"))


def called(on: Moment, off: Moment = OFF, *, stride_s: float = 0.9, fps: float = 60.0) -> float:
    stance = Stance(hind=False, number=0, on=on, off=off)
    return sureness(Feet(stride_s, fps, [stance]), stance, 0, on)


@pytest.mark.parametrize(
    "worse",
    [
        LOST,
        replace(GOOD, looks=1),
        replace(GOOD, spread_s=0.02),
        replace(GOOD, scatter_s=0.04),
        replace(GOOD, time_s=1.03),
    ],
    ids=["inferred", "one look", "looks differ", "run scatters", "off its run"],
)
def test_every_sign_against_it_makes_it_less_sure(worse: Moment) -> None:
    assert called(worse) < called(GOOD)


def test_a_slow_stride_and_a_foot_whose_other_moment_is_lost_make_it_less_sure() -> None:
    assert called(GOOD, stride_s=1.2) < called(GOOD)
    assert called(GOOD, LOST) < called(GOOD)


def test_a_kind_of_moment_that_is_never_seen_is_hardly_told() -> None:
    """Of fore lift-offs hidden at every stride each was 0.2 s off; they are called less than even."""
    assert called(replace(LOST, scatter_s=0.02), stride_s=1.15) < 0.5


def test_it_is_never_called_certain() -> None:
    assert called(BEST) == MOST
    assert called(BEST, fps=15.0) == MOST_COARSE
