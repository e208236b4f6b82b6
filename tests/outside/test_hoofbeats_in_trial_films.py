"""The sound track of a film drawn and sounded by another program, against its true landings."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import Sound, open_clip, read_sound
from evenfall.contacts import (
    Beats,
    Contact,
    Contacts,
    Event,
    Limb,
    hear_beats,
    heard_rhythm,
    picture_offset,
    sharpen,
)
from evenfall.errors import TooLittleEvidence
from evenfall.timebase import FloatArray


@pytest.fixture(scope="module")
def sound(shared_clips: Path) -> Sound:
    return read_sound(open_clip(shared_clips / "c_rack.mp4"))


@pytest.fixture(scope="module")
def beats(sound: Sound) -> Beats:
    return hear_beats(sound)


@pytest.fixture(scope="module")
def landings(shared_clips: Path) -> Contacts:
    with (shared_clips / "c_rack.truth.csv").open() as file:
        rows = [row for row in csv.DictReader(file) if row["event"] == "on"]
    return Contacts(Contact(Limb(row["limb"]), Event.ON, float(row["time_s"])) for row in rows)


def _times(landings: Contacts) -> FloatArray:
    return np.array([mark.time_s for mark in landings])


def test_the_landings_are_heard_and_nothing_else(beats: Beats, landings: Contacts) -> None:
    """Measured: 29 of 31 found (the first lies 2 ms into the track), none extra, 0.6 ms early, spread 0.8 ms."""
    off = beats.times_s[:, None] - _times(landings)
    nearest = np.abs(off).argmin(axis=1)
    differences = off[np.arange(len(off)), nearest]
    assert np.abs(differences).max() < 0.005
    assert len(set(nearest)) == len(beats) >= 29
    assert abs(differences.mean()) < 0.0012
    assert differences.std() < 0.0015


def test_the_rhythm_is_an_even_four(beats: Beats, landings: Contacts) -> None:
    (reading,) = heard_rhythm(beats).readings
    strides = [np.diff([mark.time_s for mark in landings.landings(limb)]) for limb in Limb]
    assert reading.beats_per_stride == 4
    assert reading.stride_s.mean == pytest.approx(np.concatenate(strides).mean(), abs=0.003)
    assert reading.unevenness.low == 0
    assert reading.unevenness.high < 1.5


@pytest.mark.parametrize("late_s", [0.0, 0.059, -0.03])
def test_marks_of_60_pictures_a_second_gain_from_the_sound(
    beats: Beats, landings: Contacts, late_s: float
) -> None:
    """Marks spread as pictures spread them; the sound as late as from 20 m away, or early."""
    rng = np.random.default_rng(11)
    sd_s = 1 / 60 / np.sqrt(12)
    blurs = rng.uniform(-0.5 / 60, 0.5 / 60, len(landings))
    film = Contacts(
        replace(mark, time_s=mark.time_s - late_s + blur, sd_s=sd_s, source="film")
        for mark, blur in zip(landings, blurs.tolist(), strict=True)
    )
    offset = picture_offset(film, beats)
    assert offset.offset_s == pytest.approx(late_s, abs=2.5 * offset.sd_s)
    sharp = sharpen(film, beats, offset)
    gained = [mark for mark in sharp if mark.source == "film+sound"]
    assert len(gained) >= 28
    assert all(mark.sd_s < 0.6 * sd_s for mark in gained)
    errors = [_error(mark, landings, late_s) for mark in gained]
    assert np.std(errors) < 0.4 * np.std(blurs)


def _error(mark: Contact, landings: Contacts, late_s: float) -> float:
    true = min(
        (one.time_s - late_s for one in landings.landings(mark.limb)), key=lambda t: abs(t - mark.time_s)
    )
    return mark.time_s - true


@pytest.mark.parametrize("name", ["a_trot", "i_trotty_vfr", "p_30fps"])
def test_films_without_sound_say_so(shared_clips: Path, name: str) -> None:
    with pytest.raises(TooLittleEvidence, match="has no sound"):
        read_sound(open_clip(shared_clips / f"{name}.mp4"))
