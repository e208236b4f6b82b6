"""Beside a film, beats sharpen its landings, own their common error, and leave a person's marks alone."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts import (
    Beats,
    Contact,
    Contacts,
    Event,
    Limb,
    Offset,
    OffsetSettings,
    picture_offset,
    sharpen,
)
from evenfall.errors import TooLittleEvidence, WrongSetting
from tests.contacts.beats import Floats, beats_of, ridden

ORDER = (Limb.LH, Limb.LF, Limb.RH, Limb.RF)


def landed(times_s: Floats, sd_s: float = 0.005, *, late_s: float = 0.0, seed: int = 2) -> Contacts:
    """Film landings of feet in turn, off by their own spread; the sound is ``late_s`` later than they are."""
    rng = np.random.default_rng(seed)
    return Contacts(
        Contact(ORDER[i % 4], Event.ON, float(time_s - late_s + rng.normal(0, sd_s)), sd_s, "film")
        for i, time_s in enumerate(times_s)
    )


@pytest.mark.parametrize("late_s", [-0.04, 0.0, 0.059, 0.15])
def test_the_offset_is_found_within_its_spread(late_s: float) -> None:
    times = ridden(n=14, unsteady_s=0.012)
    offset = picture_offset(landed(times, late_s=late_s), beats_of(times))
    assert offset.offset_s == pytest.approx(late_s, abs=3 * offset.sd_s)
    assert 0.001 <= offset.sd_s < 0.003
    assert offset.n >= 45


def test_the_told_spread_of_the_offset_is_that_of_many_trials() -> None:
    times = ridden(n=10, unsteady_s=0.012)
    found = [
        picture_offset(landed(times, late_s=0.03, seed=seed), beats_of(times, 1e-4)) for seed in range(40)
    ]
    seen = np.std([offset.offset_s for offset in found])
    assert np.mean([offset.sd_s for offset in found]) > seen > 0.0003


def test_beats_missed_and_added_do_not_move_the_offset() -> None:
    times = ridden(n=14, unsteady_s=0.012)
    heard = np.append(np.delete(times, slice(3, 40, 6)), [1.11, 2.22, 3.33])
    assert picture_offset(landed(times, late_s=0.05), beats_of(heard)).offset_s == pytest.approx(
        0.05, abs=0.005
    )


def test_beats_that_repeat_exactly_fit_one_off_as_well() -> None:
    """Nothing tells one beat from the next, so nothing is guessed; knowing that one stood near decides."""
    times = ridden(n=14, unsteady_s=0.0)
    film, beats = landed(times, late_s=0.02), beats_of(times)
    with pytest.raises(TooLittleEvidence, match=r"equally well .* ms and .* ms late.*even and repeat"):
        picture_offset(film, beats)
    near = picture_offset(film, beats, OffsetSettings(window_s=0.07))
    assert near.offset_s == pytest.approx(0.02, abs=0.005)


def test_sound_of_another_horse_is_refused() -> None:
    times = ridden(n=14, unsteady_s=0.012)
    other = np.sort(np.random.default_rng(5).uniform(0.3, 8, 40))
    with pytest.raises(TooLittleEvidence, match=r"no shift of the sound|equally well"):
        picture_offset(landed(times), beats_of(other))


def test_few_landings_are_too_few() -> None:
    times = ridden(n=14)
    with pytest.raises(TooLittleEvidence, match="4 landings and 57 beats are too few"):
        picture_offset(landed(times[:4]), beats_of(times))
    with pytest.raises(TooLittleEvidence, match="0 beats"):
        picture_offset(landed(times), beats_of([]))


@pytest.mark.parametrize("wrong", [{"window_s": 2.0}, {"window_s": 0.0}, {"least_landings": 1}])
def test_offset_settings_make_sense(wrong: dict[str, float]) -> None:
    with pytest.raises(WrongSetting, match="window must be"):
        OffsetSettings(**wrong)  # type: ignore[arg-type]


def test_film_and_sound_weigh_by_their_variances() -> None:
    """Film at 1.000 s ± 4 ms, beat at 1.055 s ± 1 ms, sound 50 ± 2 ms late: by hand."""
    film = Contacts([Contact(Limb.LF, Event.ON, 1.0, 0.004, "film")])
    (mark,) = sharpen(film, beats_of([1.055]), Offset(0.05, 0.002, 20))
    heard_var = 0.001**2 + 0.002**2
    weight = heard_var / (heard_var + 0.004**2)
    assert mark.time_s == pytest.approx(weight * 1.0 + (1 - weight) * 1.005)
    assert mark.sd_s == pytest.approx(1 / sqrt(1 / 0.004**2 + 1 / heard_var))
    own = weight**2 * 0.004**2 + (1 - weight) ** 2 * 0.001**2
    assert mark.sd_s**2 == pytest.approx(own + (1 - weight) ** 2 * 0.002**2)
    assert mark.source == "film+sound"


def test_lift_offs_and_landings_without_a_beat_pass_untouched() -> None:
    film = Contacts(
        [
            Contact(Limb.LF, Event.OFF, 1.0, 0.004, "film"),
            Contact(Limb.RF, Event.ON, 1.5, 0.004, "film"),
            Contact(Limb.LH, Event.ON, 2.0, 0.0, "film"),
        ]
    )
    assert sharpen(film, beats_of([1.0, 1.54, 2.001]), Offset(0.0, 0.001, 20)).marks == film.marks
    assert sharpen(film, beats_of([]), Offset(0.0, 0.001, 20)).marks == film.marks


@pytest.mark.parametrize("source", ["person", "person:second reader"])
def test_a_persons_mark_is_never_moved(source: str) -> None:
    """A beat 3 ms beside it, and a landing from the film that the beat moves."""
    mark = Contact(Limb.LF, Event.ON, 1.0, 0.004, source)
    film = Contacts([mark, Contact(Limb.RH, Event.ON, 1.2, 0.004, "film")])
    kept, moved = sharpen(film, beats_of([1.003, 1.203]), Offset(0.0, 0.001, 20))
    assert kept == mark
    assert (moved.source, moved.time_s > 1.2) == ("film+sound", True)


@pytest.mark.parametrize("apart_s", [0.004, 0.013])
def test_a_beat_that_a_persons_mark_claims_moves_nothing_else(apart_s: float) -> None:
    """Told apart by the picture, the beat is the person's; not told apart, the time between them stays."""
    film = Contacts(
        [
            Contact(Limb.LH, Event.ON, 1.0, 0.004, "person"),
            Contact(Limb.RF, Event.ON, 1.0 + apart_s, 0.004, "film"),
        ]
    )
    assert sharpen(film, beats_of([1.002]), Offset(0.0, 0.001, 20)) == film


def test_times_between_feet_gain_and_the_common_error_stays() -> None:
    times = ridden(n=14, unsteady_s=0.012)
    film, wrong_s = landed(times, 0.006), 0.002
    sharp = sharpen(film, beats_of(times), Offset(wrong_s, 0.002, 40))
    before, after = (np.array([mark.time_s for mark in marks]) - times for marks in (film, sharp))
    assert np.std(after) < 0.45 * np.std(before)
    assert np.mean(after) == pytest.approx(-wrong_s, abs=0.001)
    assert all(mark.sd_s >= 0.9 * 0.002 for mark in sharp)


def test_a_shared_beat_moves_a_pair_together() -> None:
    """The picture cannot tell the two apart, and the beat does not: the time between them stays."""
    film = Contacts(
        [Contact(Limb.LH, Event.ON, 1.0, 0.006, "film"), Contact(Limb.RF, Event.ON, 1.004, 0.003, "film")]
    )
    hind, fore = sharpen(film, beats_of([1.0]), Offset(0.0, 0.001, 20))
    assert fore.time_s - hind.time_s == pytest.approx(0.004)
    assert hind.time_s < 1.0
    assert {hind.source, fore.source} == {"film+sound"}
    assert hind.sd_s < 0.006
    assert fore.sd_s < 0.003
    alone = sharpen(Contacts([film.marks[1]]), beats_of([1.0]), Offset(0.0, 0.001, 20)).marks[0]
    assert fore.sd_s > alone.sd_s


def test_a_beat_belongs_to_the_nearer_of_two_landings_the_picture_tells_apart() -> None:
    film = Contacts(
        [Contact(Limb.LH, Event.ON, 1.0, 0.004, "film"), Contact(Limb.RF, Event.ON, 1.013, 0.004, "film")]
    )
    hind, fore = sharpen(film, beats_of([1.002]), Offset(0.0, 0.001, 20))
    assert hind.source == "film+sound"
    assert fore == film.marks[1]


@settings(max_examples=40, deadline=None)
@given(
    sd_s=st.floats(0.001, 0.02),
    offset_sd_s=st.floats(0.0, 0.02),
    by_s=st.floats(-0.02, 0.02),
    apart_s=st.floats(0, 0.02),
)
def test_sharpening_never_widens_a_spread_nor_loses_a_mark(
    sd_s: float, offset_sd_s: float, by_s: float, apart_s: float
) -> None:
    film = Contacts(
        [
            Contact(Limb.LH, Event.ON, 1.0, sd_s, "film"),
            Contact(Limb.RF, Event.ON, 1.0 + apart_s, sd_s, "film"),
        ]
    )
    sharp = sharpen(film, beats_of([1.0 + by_s]), Offset(0.0, offset_sd_s, 20))
    assert sorted(mark.limb for mark in sharp) == [Limb.LH, Limb.RF]
    assert all(mark.sd_s <= sd_s for mark in sharp)


@settings(max_examples=10, deadline=None)
@given(by_s=st.floats(-3, 3))
def test_offset_and_sharpening_move_with_the_film(by_s: float) -> None:
    times = ridden(n=8, unsteady_s=0.012)
    film, beats = landed(times, late_s=0.03), beats_of(times)
    moved = Beats(tuple(replace(beat, time_s=beat.time_s + by_s) for beat in beats))
    offset, other = picture_offset(film, beats), picture_offset(film.shifted(by_s), moved)
    assert other.offset_s == pytest.approx(offset.offset_s, abs=1e-9)
    here, there = sharpen(film, beats, offset), sharpen(film.shifted(by_s), moved, other)
    assert [mark.time_s for mark in there] == pytest.approx([mark.time_s + by_s for mark in here], abs=1e-9)
