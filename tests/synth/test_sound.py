from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from evenfall.contacts.model import Contact, Contacts, Event, Limb
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film
from evenfall.synth.sound import RATE_HZ, HoofSound
from evenfall.timebase import FloatArray

QUIET_WALK = Contacts([Contact(Limb.LH, Event.ON, 0.5), Contact(Limb.RF, Event.ON, 1.0)])


def _played(path: Path) -> FloatArray:
    """Samples on the clip's clock, from 0 on."""
    with av.open(str(path)) as film:
        frames = [(frame.time, frame.to_ndarray()[0]) for frame in film.decode(audio=0)]
    track = np.zeros(RATE_HZ * 4)
    for time_s, samples in frames:
        assert time_s is not None
        start = max(0, round(time_s * RATE_HZ))
        track[start : start + len(samples)] = samples[: len(track) - start]
    return track


def _onset(track: FloatArray, after_s: float) -> float:
    """Time of the steepest rise of loudness within 60 ms about a moment."""
    first = round((after_s - 0.03) * RATE_HZ)
    part = np.abs(track[first : first + round(0.06 * RATE_HZ)])
    loud = np.convolve(part, np.ones(96) / 96, mode="same")
    return (first + int(np.argmax(np.gradient(loud)))) / RATE_HZ


def test_each_landing_is_heard_in_the_file_when_it_happens(tmp_path: Path) -> None:
    scene = Scene(width=96, height=96, fps=30, duration_s=3, hoofbeats=True)
    truth = draw_film(tmp_path / "a.mp4", EXAMPLE_GAITS["flat walk"], scene)
    track = _played(tmp_path / "a.mp4")
    landings = [mark.time_s for mark in truth if mark.event is Event.ON and 0.1 < mark.time_s < 2.7]
    assert len(landings) >= 6
    for landing_s in landings:
        assert _onset(track, landing_s) == pytest.approx(landing_s, abs=0.006)


def test_a_film_without_hoofbeats_has_no_sound_track(tmp_path: Path) -> None:
    draw_film(tmp_path / "a.mp4", EXAMPLE_GAITS["rack"], Scene(width=96, height=96, fps=30, duration_s=0.2))
    with av.open(str(tmp_path / "a.mp4")) as film:
        assert [stream.type for stream in film.streams] == ["video"]


def test_blocks_join_without_a_seam() -> None:
    sound = HoofSound(QUIET_WALK, seed=0)
    whole = np.concatenate([sound.block(number, 1000) for number in range(60)])
    silent = HoofSound(Contacts(), seed=0)
    wind = np.concatenate([silent.block(number, 1000) for number in range(60)])
    thuds = whole - wind
    assert np.all(thuds[: RATE_HZ // 2] == 0)
    first = thuds[RATE_HZ // 2 : RATE_HZ // 2 + 5000]
    shifted = HoofSound(QUIET_WALK.shifted(0.01), seed=0)
    later = np.concatenate([shifted.block(number, 1000) for number in range(60)]) - wind
    assert later[RATE_HZ // 2 + 480 : RATE_HZ // 2 + 5480] == pytest.approx(first, abs=1e-6)


def test_hind_feet_sound_lower_than_fore_feet() -> None:
    pitch = {}
    for limb in Limb:
        sound = HoofSound(Contacts([Contact(limb, Event.ON, 0.0)]), seed=1).block(0, 4800)
        pitch[limb] = np.argmax(np.abs(np.fft.rfft(sound))[:40]) * RATE_HZ / 4800
    assert len(set(pitch.values())) == 4
    assert max(pitch[Limb.LH], pitch[Limb.RH]) < min(pitch[Limb.LF], pitch[Limb.RF])


def test_sound_of_slow_motion_is_on_the_clips_clock(tmp_path: Path) -> None:
    scene = Scene(width=96, height=96, fps=60, duration_s=0.6, playback_fps=30, hoofbeats=True)
    truth = draw_film(tmp_path / "a.mp4", EXAMPLE_GAITS["flat walk"], replace(scene, seed=2))
    track = _played(tmp_path / "a.mp4")
    landings = [mark.time_s for mark in truth if mark.event is Event.ON and 0.1 < mark.time_s < 1.0]
    assert len(landings) >= 2
    assert _onset(track, landings[0]) == pytest.approx(landings[0], abs=0.006)
