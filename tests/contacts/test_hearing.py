"""Hoofbeats are heard where they are, and nothing else is taken for one.

Sounds are composed here from scratch: knocks of several damped resonances with the room's answer, wind, vowels from
glottal pulses, harmonics that swell and fade, crunching grains, notes.
"""

from collections.abc import Callable
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import signal

from evenfall.clip import Sound
from evenfall.contacts import Beat, Beats, HearSettings, hear_beats, hearing
from evenfall.errors import TooLittleEvidence, WrongSetting

RATE = 16_000
LONG_S = 6.0
Floats = NDArray[np.float64]
SEEDS = (1, 2, 3)


def as_sound(row: Floats, start_s: float = 0.0, rate_hz: int = RATE) -> Sound:
    return Sound(rate_hz, start_s, np.clip(row, -1, 1).astype(np.float32))


def seconds(n: int, rate_hz: int = RATE) -> Floats:
    return np.arange(n) / rate_hz


def knock(rng: np.random.Generator, *, soft: bool = False) -> Floats:
    """Damped resonances: a shoe on a road, or a bare foot on earth."""
    time_s = seconds(round(0.12 * RATE))
    pitches = rng.uniform(90, 320, 4) if soft else np.r_[rng.uniform(200, 500, 2), rng.uniform(700, 4500, 5)]
    row = np.zeros(len(time_s))
    for hz in pitches:
        damping_s = rng.uniform(0.006, 0.015) if soft else rng.uniform(2, 4) / hz
        row += (
            rng.uniform(0.4, 1)
            * np.exp(-time_s / damping_s)
            * np.sin(2 * np.pi * hz * time_s + rng.uniform(0, 6))
        )
    row *= 1 - np.exp(-time_s / 0.001)
    return np.asarray(0.5 * row / np.abs(row).max())


def landing_times(
    rng: np.random.Generator, gaps_pct: tuple[float, ...] = (25, 25, 25, 25), stride_s: float = 0.55
) -> Floats:
    times: list[float] = []
    start = 0.3
    places = np.cumsum((0, *gaps_pct[:-1])) / 100
    while start < LONG_S - stride_s - 0.2:
        stride = stride_s * (1 + rng.normal(0, 0.02))
        times.extend(start + stride * (places + rng.normal(0, 0.01, len(places))))
        start += stride
    return np.sort(np.round(np.array(times) * RATE) / RATE)


def ride(
    seed: int, gaps_pct: tuple[float, ...] = (25, 25, 25, 25), *, soft: bool = False
) -> tuple[Floats, Floats]:
    """Knocks at known times over a faint hiss: the row, and the times."""
    rng = np.random.default_rng(seed)
    times = landing_times(rng, gaps_pct)
    row = rng.normal(0, 0.002, round(LONG_S * RATE))
    for time_s in times:
        one = rng.uniform(0.5, 1) * knock(rng, soft=soft)
        first = round(time_s * RATE)
        row[first : first + len(one)] += one[: len(row) - first]
    return row, times


def in_a_barn(row: Floats, seed: int) -> Floats:
    """The room's answer: noise that dies away in half a second."""
    rng = np.random.default_rng(seed)
    n = RATE // 2
    answer = rng.normal(size=n) * np.exp(-6.9 * seconds(n) / 0.5)
    answer *= 0.2 / np.linalg.norm(answer)
    answer[:80] = 0
    answer[0] = 1
    return np.asarray(signal.fftconvolve(row, answer)[: len(row)])


def wind(seed: int) -> Floats:
    rng = np.random.default_rng(seed)
    n = round(LONG_S * RATE)
    rumble = rng.normal(size=n)
    for corner_hz in (120, 400):
        rumble = signal.sosfilt(signal.butter(1, corner_hz, fs=RATE, output="sos"), rumble)
    gusts = signal.sosfiltfilt(signal.butter(2, 1.5, fs=RATE, output="sos"), rng.normal(size=n))
    return np.asarray(
        0.06 * rumble / rumble.std() * np.exp(0.8 * gusts / gusts.std()) + rng.normal(0, 3e-4, n)
    )


def pink(seed: int) -> Floats:
    rng = np.random.default_rng(seed)
    n = round(LONG_S * RATE)
    row = np.fft.irfft(np.fft.rfft(rng.normal(size=n)) / np.sqrt(np.maximum(np.arange(n // 2 + 1), 1)), n)
    return np.asarray(0.1 * row / row.std())


def vowels(seed: int, voice_hz: float = 120.0) -> Floats:
    """Glottal pulses through three resonances each syllable, syllables of uneven length."""
    rng = np.random.default_rng(seed)
    n = round(LONG_S * RATE)
    turns = np.cumsum(voice_hz * (1 + 0.1 * np.sin(2 * np.pi * 0.7 * seconds(n)))) / RATE
    pulses = signal.lfilter([1], [1, -0.95], np.diff(np.floor(turns), prepend=0))
    row, first = rng.normal(0, 0.001, n), 0
    while first < n:
        part = pulses[first : first + round(rng.uniform(0.09, 0.25) * RATE)].copy()
        for low, high, width in ((300, 800, 80), (900, 2200, 100), (2300, 3000, 150)):
            r, hz = np.exp(-np.pi * width / RATE), rng.uniform(low, high)
            cos = 2 * r * np.cos(2 * np.pi * hz / RATE)
            part = signal.lfilter([1 - cos + r * r], [1, -cos, r * r], part)
        edge = np.minimum(np.arange(len(part)), np.arange(len(part))[::-1]) / (0.015 * RATE)
        row[first : first + len(part)] += 0.08 * part / part.std() * np.minimum(edge, 1)
        first += len(part) + round(rng.choice([0.02, 0.06, 0.3]) * RATE)
    return row


def swelling_harmonics(seed: int, times_a_second: float = 4.0) -> Floats:
    rng = np.random.default_rng(seed)
    time_s = seconds(round(LONG_S * RATE))
    tone = sum(np.sin(2 * np.pi * 140 * k * time_s + rng.uniform(0, 6)) / k for k in range(1, 15))
    swell = np.maximum(0, np.sin(2 * np.pi * times_a_second * time_s)) ** 1.5
    return np.asarray(0.1 * tone * swell + rng.normal(0, 0.001, len(time_s)))


def notes(seed: int, fading_s: float = 0.4) -> Floats:
    rng = np.random.default_rng(seed)
    row = rng.normal(0, 5e-4, round((LONG_S + 2) * RATE))
    time_s = seconds(round(1.5 * RATE))
    for start_s in np.arange(0.1, LONG_S - 0.2, 0.25):
        hz = 220 * 2 ** (rng.integers(0, 24) / 12)
        tone = sum(np.sin(2 * np.pi * hz * k * time_s) / k**1.5 for k in range(1, 8))
        first = round(start_s * RATE)
        row[first : first + len(time_s)] += (
            0.15 * tone * np.exp(-time_s / fading_s) * np.minimum(1, time_s / 0.005)
        )
    return row[: round(LONG_S * RATE)]


def gravel(seed: int, grains_a_second: float = 250.0) -> Floats:
    rng = np.random.default_rng(seed)
    n = round(LONG_S * RATE)
    row = np.zeros(n + 400)
    for first in rng.integers(0, n, round(grains_a_second * LONG_S)):
        length = int(rng.integers(20, 200))
        row[first : first + length] += (
            rng.lognormal(-3, 1) * rng.normal(size=length) * np.exp(-np.arange(length) / (length / 4))
        )
    return row[:n]


def echoing(seed: int, late_s: float) -> Floats:
    row, _ = ride(seed)
    late = round(late_s * RATE)
    return np.asarray(row + 0.6 * np.r_[np.zeros(late), row[:-late]])


@cache
def clear_ride(seed: int = 1) -> tuple[Floats, Floats]:
    return ride(seed)


def missed_extra_ms(beats: Beats, truth: Floats) -> tuple[int, int, Floats]:
    """Landings without a beat, beats without a landing, and differences beat minus landing; within 20 ms."""
    off = beats.times_s[:, None] - truth
    nearest = np.abs(off).argmin(axis=1)
    differences = off[np.arange(len(off)), nearest]
    near = np.abs(differences) < 0.02
    return len(truth) - len(set(nearest[near])), int((~near).sum()), 1000 * differences[near]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("place", ["a road", "a barn", "wind"])
def test_every_knock_is_heard_once_and_when_it_happens(seed: int, place: str) -> None:
    row, truth = ride(seed)
    row = in_a_barn(row, seed) if place == "a barn" else row + (wind(seed) if place == "wind" else 0)
    missed, extra, differences = missed_extra_ms(hear_beats(as_sound(row)), truth)
    assert missed <= 1
    assert extra <= 1
    assert abs(differences.mean()) < 0.2
    assert differences.std() < 0.4


@pytest.mark.parametrize("seed", SEEDS)
def test_thuds_on_earth_are_heard_to_a_millisecond(seed: int) -> None:
    row, truth = ride(seed, soft=True)
    missed, extra, differences = missed_extra_ms(hear_beats(as_sound(row)), truth)
    assert missed <= 3
    assert extra == 0
    assert abs(differences.mean()) < 0.5
    assert differences.std() < 1


def test_the_told_spread_covers_the_errors() -> None:
    row, truth = ride(5, soft=True)
    beats = hear_beats(as_sound(row))
    _, _, differences = missed_extra_ms(beats, truth)
    told_ms = 1000 * np.array([beat.sd_s for beat in beats])
    assert np.mean(np.abs(differences) < 1.96 * told_ms) > 0.9


@pytest.mark.parametrize("gap_pct", [10.0, 15.0])
def test_couplets_are_two_beats(gap_pct: float) -> None:
    row, truth = ride(4, (gap_pct, 50 - gap_pct, gap_pct, 50 - gap_pct))
    missed, extra, _ = missed_extra_ms(hear_beats(as_sound(row)), truth)
    assert missed <= 2
    assert extra == 0


def test_feet_that_land_together_are_one_beat_at_the_first() -> None:
    """Pairs 16 ms apart, as in a broken trot."""
    row, truth = ride(4, (3, 47, 3, 47))
    firsts = truth[np.diff(truth, prepend=-1) > 0.1]
    missed, extra, differences = missed_extra_ms(hear_beats(as_sound(row)), firsts)
    assert missed <= 2
    assert extra == 0
    assert abs(np.median(differences)) < 1


REFUSED: dict[str, tuple[Callable[[int], Floats], str]] = {
    "silence": (lambda _: np.zeros(round(LONG_S * RATE)), "silent"),
    "wind": (wind, "only wind is heard"),
    "pink noise": (pink, "nothing in the sound knocks"),
    "a man": (lambda seed: vowels(seed, 90), "voices or music"),
    "a woman": (lambda seed: vowels(seed, 210), "voices or music"),
    "swelling harmonics": (swelling_harmonics, "voices or music"),
    "quick swelling": (lambda seed: swelling_harmonics(seed, 8), "voices or music"),
    "notes": (lambda seed: notes(seed, 0.15), "voices or music"),
    "long notes": (lambda seed: notes(seed, 3.0), "Film|Stand nearer"),
    "gravel": (gravel, "ground crunches"),
    "loose stones": (lambda seed: gravel(seed, 60), "ground crunches"),
    "an echo": (lambda seed: echoing(seed, 0.06), "heard twice"),
    "an echo close to the next beat": (lambda seed: echoing(seed, 0.12), "heard twice"),
    "a late echo": (lambda seed: echoing(seed, 0.21), "heard twice"),
}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_hoofbeat_is_refused_with_its_own_reason(name: str, seed: int) -> None:
    made, reason = REFUSED[name]
    with pytest.raises(TooLittleEvidence, match=reason):
        hear_beats(as_sound(made(seed)))


def test_every_reason_says_what_to_do_next_time() -> None:
    assert all("Film" in told or "Stand" in told for told in hearing._TOLD.values())


def test_hoofbeats_are_heard_through_quiet_talk() -> None:
    row, truth = clear_ride()
    missed, extra, _ = missed_extra_ms(hear_beats(as_sound(row + 0.3 * vowels(1))), truth)
    assert missed <= 3
    assert extra <= 2


def test_two_knocks_are_too_few() -> None:
    row, truth = clear_ride()
    with pytest.raises(TooLittleEvidence, match=r"2 hoofbeats were heard, and an answer needs at least 4"):
        hear_beats(as_sound(np.where(seconds(len(row)) < truth[2] - 0.01, row, 0.002 * np.sign(row))))


def test_knocks_that_do_not_come_again_are_no_horse() -> None:
    rng = np.random.default_rng(8)
    row = rng.normal(0, 0.002, round(LONG_S * RATE))
    for time_s in np.cumsum(rng.exponential(0.4, 12) + 0.08):
        first = round(time_s * RATE)
        one = knock(rng)
        row[first : first + len(one)] += one[: max(len(row) - first, 0)]
    with pytest.raises(TooLittleEvidence, match="do not come again stride by stride"):
        hear_beats(as_sound(row))


def test_the_seam_of_a_gap_is_no_beat() -> None:
    """Hiss that sets in at once sounds like a knock; where the track has a hole it is not one."""
    row, truth = clear_ride()
    hole = (truth[8] + 0.05, truth[10] - 0.03)
    cut = row + np.random.default_rng(1).normal(0, 0.02, len(row))
    cut[round(hole[0] * RATE) : round(hole[1] * RATE)] = 0
    sound = as_sound(cut)
    told = Sound(RATE, 0.0, sound.samples, (hole,))
    near = [abs(hear_beats(one).times_s - hole[1]).min() < 0.02 for one in (sound, told)]
    assert near[1] is np.False_
    _, extra, _ = missed_extra_ms(hear_beats(told), truth)
    assert extra == 0


@settings(max_examples=12, deadline=None)
@given(by_s=st.floats(-3, 3))
def test_beats_move_with_the_sound(by_s: float) -> None:
    row, _ = clear_ride()
    here, there = hear_beats(as_sound(row)), hear_beats(as_sound(row, start_s=by_s))
    np.testing.assert_allclose(there.times_s, here.times_s + by_s, atol=1e-9)


@settings(max_examples=12, deadline=None)
@given(late=st.integers(0, 4000))
def test_beats_move_with_the_samples(late: int) -> None:
    """Any number of samples of hiss put before: the frames fall elsewhere, the beats do not."""
    row, _ = clear_ride()
    before = np.random.default_rng(2).normal(0, 0.002, late)
    here, there = hear_beats(as_sound(row)), hear_beats(as_sound(np.r_[before, row]))
    assert len(here) == len(there)
    np.testing.assert_allclose(there.times_s, here.times_s + late / RATE, atol=0.0015)


@settings(max_examples=12, deadline=None)
@given(gain=st.floats(0.02, 1))
def test_loudness_changes_nothing(gain: float) -> None:
    row, _ = clear_ride()
    loud, quiet = hear_beats(as_sound(row)), hear_beats(as_sound(gain * row))
    np.testing.assert_allclose(quiet.times_s, loud.times_s, atol=1e-4)
    np.testing.assert_allclose([b.strength for b in quiet], [b.strength for b in loud], rtol=1e-3)


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 48_000])
def test_seconds_stay_whatever_the_rate(rate_hz: int) -> None:
    row, truth = clear_ride()
    other = signal.resample_poly(row, rate_hz // 100, RATE // 100)
    missed, extra, differences = missed_extra_ms(hear_beats(as_sound(other, rate_hz=rate_hz)), truth)
    assert missed <= 2
    assert extra == 0
    assert abs(differences.mean()) < 0.3


def test_the_flux_is_that_of_scipys_spectrogram() -> None:
    """`scipy.signal.spectrogram` is the reference for power; bands and flux follow by their definition."""
    row, _ = clear_ride()
    sound = as_sound(row)
    size, hop = 256, 64
    _, _, power = signal.spectrogram(
        sound.samples.astype(np.float64),
        RATE,
        window=signal.get_window("hann", size),
        nperseg=size,
        noverlap=size - hop,
        detrend=False,
        scaling="spectrum",
    )
    power *= np.where(np.arange(size // 2 + 1) % (size // 2) == 0, 1.0, 0.5)[:, None]  # one side only
    power *= signal.get_window("hann", size).sum() ** 2
    edges = hearing._band_edges(size, RATE)
    bands = np.stack([power[a:b].sum(axis=0) for a, b in pairwise(edges)], axis=1)
    floor = np.maximum(np.median(bands, axis=0), 1e-6 * bands.max(axis=0))
    loud_db = 10 * np.log10(1 + bands / floor)
    flux = np.array([np.maximum(loud_db[i] - loud_db[i - 3], 0).mean() for i in range(3, len(loud_db))])
    np.testing.assert_allclose(hearing._trace(sound).flux_db[3:], flux, atol=0.02)


def test_loudness_is_worked_out_in_blocks_without_a_seam() -> None:
    rng = np.random.default_rng(4)
    n = hearing.BLOCK * 64 + 5_000
    sound = as_sound(rng.normal(0, 0.1, n))
    whole = hearing._band_power(sound, 256, 64)
    later = hearing._band_power(as_sound(sound.samples[64 * 4000 :].astype(np.float64)), 256, 64)
    np.testing.assert_allclose(whole[4000:], later, rtol=1e-5)


def test_a_change_is_dated_to_the_sample() -> None:
    """Hiss ten times louder from sample 200 on."""
    rng = np.random.default_rng(0)
    part = rng.normal(size=400) * np.where(np.arange(400) < 200, 0.1, 1)
    place, sd = hearing._change(part, 40)
    assert place == pytest.approx(200, abs=3)
    assert 0 < sd < 5


def test_beats_count_and_iterate() -> None:
    beats = Beats((Beat(0.5, 0.001, 9.0), Beat(0.7, 0.001, 8.0)))
    assert len(beats) == 2
    assert [beat.strength for beat in beats] == [9.0, 8.0]
    np.testing.assert_array_equal(beats.times_s, [0.5, 0.7])


@pytest.mark.parametrize("name", ["rise_db", "apart_s", "own_sd_s"])
def test_settings_are_above_nought(name: str) -> None:
    with pytest.raises(WrongSetting, match=f"{name} must be above 0, not -1"):
        HearSettings(**{name: -1})


def test_one_beat_is_never_enough() -> None:
    with pytest.raises(WrongSetting, match="least_beats must be 2 or more, not 1"):
        HearSettings(least_beats=1)
