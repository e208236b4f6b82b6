"""The beats of a film to show."""

import numpy as np
import pytest

from evenfall.clip import Sound
from evenfall.contacts import Limb
from evenfall.report.showing.sound import RATE_HZ, Beat, Side, beaten, slowed


def alone(limb: Limb | None, side: Side = "left") -> "np.ndarray[tuple[int, ...], np.dtype[np.float32]]":
    return beaten([Beat(0.1, limb, side)], 0.4)


def pitch_hz(samples: "np.ndarray[tuple[int, ...], np.dtype[np.float32]]") -> float:
    part = samples[0, round(0.12 * RATE_HZ) : round(0.18 * RATE_HZ)]
    return float(np.fft.rfftfreq(1 << 15, 1 / RATE_HZ)[np.abs(np.fft.rfft(part, 1 << 15)).argmax()])


def test_each_foot_has_a_pitch_of_its_own_hinds_lower_than_fores() -> None:
    heard = {limb: pitch_hz(alone(limb)) for limb in Limb}
    assert heard[Limb.LH] < heard[Limb.RH] < heard[Limb.LF] < heard[Limb.RF]


def test_a_beat_is_louder_on_its_own_side_and_heard_on_both() -> None:
    left, right = (np.abs(alone(Limb.LF, side)).max(axis=1) for side in ("left", "right"))
    assert left[0] > 2 * left[1] > 0
    assert right[1] > 2 * right[0] > 0


def test_a_beat_begins_on_its_sample_and_what_lies_outside_is_left_out() -> None:
    sound = alone(Limb.RH)
    assert np.flatnonzero(sound[0])[0] == pytest.approx(0.1 * RATE_HZ, abs=2)
    assert not beaten([Beat(-0.1, Limb.LF, "left"), Beat(0.5, Limb.LF, "left")], 0.4).any()
    assert beaten([Beat(0.39, Limb.LF, "left")], 0.4).shape == (2, round(0.4 * RATE_HZ))


def test_many_beats_at_once_stay_within_bounds() -> None:
    sound = beaten([Beat(0.1, limb, "middle") for limb in Limb] * 3, 0.4)
    assert np.abs(sound).max() <= 1


def test_the_even_beat_is_short_and_softer() -> None:
    tick, beat = alone(None, "middle"), alone(Limb.LF, "middle")
    assert np.abs(tick).max() < 0.6 * np.abs(beat).max()
    assert np.flatnonzero(tick[0])[-1] < np.flatnonzero(beat[0])[-1]


@pytest.mark.parametrize("stretch", [1.0, 4.0])
def test_the_films_own_sound_is_met_where_its_picture_is(stretch: float) -> None:
    samples = np.zeros(32_000, np.float32)
    samples[16_000:16_016] = 0.5
    heard = slowed(Sound(16_000, 0.25, samples), 1.0, stretch, 2.0)
    assert heard.shape == (2, 96_000)
    assert np.flatnonzero(heard[0])[0] / RATE_HZ == pytest.approx((1.25 - 1.0) * stretch, abs=0.002)
