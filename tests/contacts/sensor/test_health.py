"""Holes, flat tops and rest: what is amiss with a track."""

from dataclasses import replace

import numpy as np
import pytest

from evenfall.contacts import Limb
from evenfall.contacts.sensor import SensorTrack, Site, check_track
from evenfall.errors import WrongSetting
from tests.contacts.sensor.signals import GAITS, Worn, standing, track


def without(one: SensorTrack, start_s: float, end_s: float) -> SensorTrack:
    """The same track with a hole."""
    keep = (one.times_s <= start_s) | (one.times_s >= end_s)
    felt, turn = one.acceleration_ms2, one.rate_rads
    return replace(
        one,
        times_s=one.times_s[keep],
        acceleration_ms2=None if felt is None else felt[keep],
        rate_rads=None if turn is None else turn[keep],
    )


def test_a_whole_track_has_nothing_to_say() -> None:
    health = check_track(track(GAITS["trot"]))
    assert health.notes == ()
    assert health.rate_hz == pytest.approx(200)
    assert health.rest_g == pytest.approx(1, abs=0.05)


def test_a_hole_is_told_with_its_ends() -> None:
    health = check_track(without(track(GAITS["trot"]), 4.0, 4.5))
    (gap,) = health.gaps
    assert (gap.start_s, gap.end_s) == pytest.approx((4.0, 4.5))
    assert "no samples from 4.000 to 4.500 s" in health.notes[0]


def test_uneven_steps_are_no_holes() -> None:
    assert check_track(track(GAITS["trot"], Worn(jitter=0.3))).gaps == ()


def test_flat_tops_are_told() -> None:
    health = check_track(track(GAITS["trot"], Worn(rate_hz=1000, range_g=8)))
    assert health.clipped_share > 0.001
    assert "flat tops" in health.notes[0]


def test_a_sensor_that_stands_is_not_clipped_though_its_numbers_repeat() -> None:
    one = standing()
    felt = np.tile([0.0, 9.8, 0.0], (len(one.times_s), 1))
    assert check_track(replace(one, acceleration_ms2=felt)).clipped_share == 0


@pytest.mark.parametrize(
    ("times", "felt", "match"),
    [
        ([0.0], [[0, 0, 1]], "at least two times"),
        ([0.0, 0.0], [[0, 0, 1]] * 2, "each later than the one before"),
        ([0.0, 1.0], [[0, 0, 1]] * 3, "expected 2 rows of three axes"),
        ([0.0, 1.0], None, "neither was given"),
    ],
)
def test_a_track_that_does_not_hang_together_is_refused(
    times: list[float], felt: list[list[float]] | None, match: str
) -> None:
    values = None if felt is None else np.array(felt, dtype=np.float64)
    with pytest.raises(WrongSetting, match=match):
        SensorTrack(np.array(times), values, None, Limb.LF, Site.HOOF)


def test_the_interval_is_that_around_the_time() -> None:
    one = SensorTrack(np.array([0.0, 0.01, 0.05]), np.zeros((3, 3)), None, Limb.LF, Site.HOOF)
    assert [one.interval_at(t) for t in (-1, 0.005, 0.03, 9)] == pytest.approx([0.01, 0.01, 0.04, 0.04])
