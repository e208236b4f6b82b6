"""Film, sound and sensors put together."""

from dataclasses import replace

import numpy as np

from evenfall.clip import Sound
from evenfall.contacts import Contacts, Event, Limb
from evenfall.contacts.fusing import with_sensors, with_sound
from evenfall.synth import EXAMPLE_GAITS, made_contacts
from evenfall.synth.sound import RATE_HZ, HoofSound
from tests.contacts.sensor.signals import GAITS, Worn, track, truth
from tests.making import regular

TAPS = ((0.0, 3.0), (5.0, 8.0), (9.0, 12.0))
"""The sensor's clock was started three seconds after the film's."""


def seen(marks: Contacts, spread_s: float, seed: int = 0) -> Contacts:
    """The marks as a film would show them: each off by its own error, and saying so."""
    rng = np.random.default_rng(seed)
    return Contacts(
        replace(mark, time_s=mark.time_s + rng.normal(0, spread_s), sd_s=spread_s, source="film")
        for mark in marks
    )


def hoofbeats(marks: Contacts, duration_s: float) -> Sound:
    samples = HoofSound(marks, seed=1).block(0, round(duration_s * RATE_HZ))
    return Sound(rate_hz=16_000, start_s=0.0, samples=samples[:: RATE_HZ // 16_000].copy())


def errors(found: Contacts, true: Contacts, event: Event) -> float:
    pairs = zip(
        found.only(lambda m: m.event is event).of(Limb.LF),
        true.only(lambda m: m.event is event).of(Limb.LF),
        strict=True,
    )
    return float(np.std([a.time_s - b.time_s for a, b in pairs]))


def test_hoofbeats_sharpen_landings_and_leave_lift_offs() -> None:
    true = made_contacts(EXAMPLE_GAITS["running walk"], 9.0, 1)
    found = seen(true, 0.006)
    fused = with_sound(found, hoofbeats(true, 9.0))
    assert [note.code for note in fused.notes] == ["sound_used"]
    assert errors(fused.contacts, true, Event.ON) < 0.6 * errors(found, true, Event.ON)
    assert errors(fused.contacts, true, Event.OFF) == errors(found, true, Event.OFF)


def test_silence_leaves_the_landings_and_says_why() -> None:
    found = seen(regular(n=8), 0.006)
    fused = with_sound(found, Sound(rate_hz=16_000, start_s=0.0, samples=np.zeros(16_000 * 6, np.float32)))
    assert fused.contacts == found
    assert fused.notes[0].code == "sound_unused"


def test_a_persons_marks_are_not_moved_by_sound() -> None:
    true = made_contacts(EXAMPLE_GAITS["running walk"], 9.0, 1)
    fused = with_sound(true, hoofbeats(true, 9.0))
    assert fused.contacts == true


def test_a_sensor_sharpens_its_own_foot_after_three_taps() -> None:
    true = truth(GAITS["trot"], Limb.LF, duration_s=10.0).shifted(3.0)
    found = seen(true, 0.008)
    fused = with_sensors(found, [track(GAITS["trot"], Worn(), duration_s=10.0)], 1.0, TAPS)
    assert [note.code for note in fused.notes] == ["sensor_used"]
    both = [mark for mark in fused.contacts if mark.source == "film+sensor"]
    assert len(both) > 0.8 * len(true)
    assert all(mark.sd_s < 0.008 for mark in both)


def test_a_sensor_that_stood_still_is_left_out_and_named() -> None:
    lively = track(GAITS["trot"], Worn(), duration_s=6.0)
    assert lively.acceleration_ms2 is not None
    still = replace(
        lively, acceleration_ms2=np.tile([0.0, 0.0, 9.81], (len(lively.times_s), 1)), rate_rads=None
    )
    found = seen(regular(n=6), 0.006)
    fused = with_sensors(found, [still], 1.0)
    assert fused.contacts == found
    assert fused.notes[0].code == "sensor_unused"
    assert "LF" in fused.notes[0].message
