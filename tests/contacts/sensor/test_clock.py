"""The sensor's clock on the film's: by contacts, by taps, and refused where a stride more fits as well."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.sensor import (
    AlignSettings,
    ClockFit,
    align_by_taps,
    align_clocks,
    sense_contacts,
    to_film_clock,
)
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.synth import made_contacts, symmetrical
from tests.contacts.sensor.signals import GAITS, Worn, track
from tests.making import regular

OFFSET_S = 5.0
UNEVEN = symmetrical(0.6, 25, 48, 48, stride_sd_pct=3.0)
SD_S = {Event.ON: 0.0185, Event.OFF: 0.0075}  # as the hoof's published figures


def ride(seed: int = 1) -> Contacts:
    return made_contacts(UNEVEN, 18.0, seed)


def sensed(true: Contacts, seed: int = 1) -> Contacts:
    """What hoof sensors would say: a habit of each foot and event, and a little scatter."""
    rng = np.random.default_rng(seed)
    habit = {(limb, event): rng.normal(0, 0.004) for limb in Limb for event in Event}
    return Contacts(
        replace(
            mark,
            time_s=mark.time_s + habit[mark.limb, mark.event] + rng.normal(0, 0.004),
            sd_s=SD_S[mark.event],
            source="sensor",
        )
        for mark in true
    )


def filmed(
    true: Contacts, start_s: float = 4.0, end_s: float = 12.0, *, factor: float = 1.0, drift: float = 0.0
) -> Contacts:
    """What a reader of the film would say, on its clock."""
    rng = np.random.default_rng(2)
    rate = factor * (1 + drift)
    return Contacts(
        replace(mark, time_s=rate * (mark.time_s + rng.normal(0, 0.006)) + OFFSET_S, sd_s=0.006 * factor)
        for mark in true
        if start_s < mark.time_s < end_s
    )


@pytest.mark.parametrize("factor", [1.0, 8.0, 0.5])
def test_the_offset_is_found_within_its_own_spread(factor: float) -> None:
    fit = align_clocks(sensed(ride()), filmed(ride(), factor=factor), AlignSettings(rate=factor))
    assert fit.method == "contacts"
    assert fit.n > 50
    assert abs(fit.film_s(8.0) - (factor * 8.0 + OFFSET_S)) < 3 * fit.sd_s(8.0)
    assert fit.sd_s(8.0) < 0.02 * factor


def test_the_spread_is_right_about_as_often_as_it_says() -> None:
    """Of twelve rides the true offset lies within two standard deviations of all but one at most."""
    fits = [align_clocks(sensed(ride(seed), seed), filmed(ride(seed))) for seed in range(12)]
    strayed = [abs(fit.film_s(8.0) - 8.0 - OFFSET_S) / fit.sd_s(8.0) for fit in fits]
    assert sum(share > 2 for share in strayed) <= 1


def test_drift_is_found_where_the_film_is_long_enough() -> None:
    true = made_contacts(UNEVEN, 200.0, 3)
    told = AlignSettings(drift_ppm=200)
    fit = align_clocks(sensed(true), filmed(true, 5.0, 195.0, drift=150e-6), told)
    assert (fit.rate - 1) * 1e6 == pytest.approx(150, abs=3e6 * fit.rate_sd)
    assert fit.rate_sd < 50e-6


def test_a_film_that_is_slow_motion_unsaid_fits_nowhere() -> None:
    with pytest.raises(TooLittleEvidence, match=r"is the film in slow motion|strides are too alike"):
        align_clocks(sensed(ride()), filmed(ride(), factor=8.0))


def test_strides_that_are_all_alike_are_refused_with_the_other_offsets() -> None:
    whole = regular(n=20)
    part = whole.only(lambda mark: 3.0 < mark.time_s < 7.0)
    with pytest.raises(TooLittleEvidence, match=r"shifted by .*[+-]0\.60 s.*too alike"):
        align_clocks(whole, part)


def test_an_offset_known_to_half_a_stride_settles_alike_strides() -> None:
    whole = regular(n=20)
    part = whole.only(lambda mark: 3.0 < mark.time_s < 7.0).shifted(OFFSET_S)
    fit = align_clocks(whole, part, AlignSettings(near_s=OFFSET_S + 0.1, within_s=0.25))
    assert fit.film_s(5.0) == pytest.approx(5.0 + OFFSET_S, abs=0.001)


def test_a_film_of_another_ride_does_not_fit() -> None:
    """Twelve films of other rides of the same horse in the same gait; not one is laid on the sensor's."""
    for seed in range(12):
        with pytest.raises(TooLittleEvidence):
            align_clocks(sensed(ride(1)), filmed(ride(100 + seed)))


def test_other_feet_share_nothing() -> None:
    left = ride().only(lambda mark: mark.limb.is_left)
    right = ride().without(left)
    with pytest.raises(TooLittleEvidence, match="share no foot and event"):
        align_clocks(sensed(left), filmed(right))


@pytest.mark.parametrize("few", [0, 3])
def test_too_few_contacts_are_refused(few: int) -> None:
    with pytest.raises(TooLittleEvidence):
        align_clocks(sensed(ride()), Contacts(filmed(ride()).marks[:few]))


def test_wrong_and_extra_marks_pull_little() -> None:
    film = filmed(ride())
    moved = [replace(mark, time_s=mark.time_s + 0.2) for mark in film.marks[10:80:20]]
    fit = align_clocks(sensed(ride()), Contacts([*film.without(film.marks[5:90:20]), *moved]))
    assert fit.film_s(8.0) == pytest.approx(8.0 + OFFSET_S, abs=3 * fit.sd_s(8.0))


def test_from_samples_to_the_films_clock() -> None:
    """Four hooves sensed at 200 a second, the film a part of the ride: every contact lands where it belongs."""
    gait = GAITS["tölt-like"]
    sensor = Contacts(mark for limb in Limb for mark in sense_contacts(track(gait, Worn(limb=limb))))
    true = made_contacts(gait, 12.0, 1)
    fit = align_clocks(sensor, filmed(true, 2.0, 10.0))
    laid = to_film_clock(sensor, fit)
    near = [min(abs(m.time_s - OFFSET_S - t.time_s) / m.sd_s for t in true.of(m.limb) if t.event is m.event) for m in laid]  # fmt: skip
    assert np.mean(np.array(near) < 2) > 0.95


@settings(max_examples=15, deadline=None)
@given(st.floats(-2000, 2000), st.floats(-2000, 2000))
def test_shifting_either_clock_shifts_the_offset(sensor_s: float, film_s: float) -> None:
    sensor, film = sensed(ride()), filmed(ride())
    plain, shifted = align_clocks(sensor, film), align_clocks(sensor.shifted(sensor_s), film.shifted(film_s))
    assert shifted.film_s(8.0 + sensor_s) == pytest.approx(plain.film_s(8.0) + film_s, abs=1e-6)
    assert shifted.sd_s(8.0 + sensor_s) == pytest.approx(plain.sd_s(8.0), abs=1e-6)


# Taps


@pytest.mark.parametrize("factor", [1.0, 8.0])
def test_taps_give_offset_and_rate(factor: float) -> None:
    taps = np.array([1.0, 1.7, 2.9])
    fit = align_by_taps(list(taps), list(factor * taps - 0.4), AlignSettings(rate=factor))
    assert (fit.n, fit.method) == (3, "taps")
    assert fit.film_s(2.0) == pytest.approx(2 * factor - 0.4)
    assert fit.offset_sd_s == pytest.approx(0.01 / 3**0.5)


def test_one_tap_gives_the_offset_and_leaves_the_drift_open() -> None:
    fit = align_by_taps([10.0], [2.0])
    assert fit.film_s(10.0) == 2.0
    assert fit.sd_s(10.0) == pytest.approx(0.01)
    assert fit.sd_s(1010.0) == pytest.approx(np.hypot(0.01, 0.1))


def test_taps_that_do_not_belong_together_are_refused() -> None:
    with pytest.raises(TooLittleEvidence, match=r"differ by up to .* s after the best fit"):
        align_by_taps([1.0, 2.0, 3.0], [1.0, 2.2, 3.0])
    with pytest.raises(TooLittleEvidence, match="no tap was given"):
        align_by_taps([], [])


@pytest.mark.parametrize(("there", "here"), [([1.0, 2.0], [1.0]), ([2.0, 1.0], [1.0, 2.0])])
def test_taps_must_be_the_same_in_order(there: list[float], here: list[float]) -> None:
    with pytest.raises(WrongSetting, match="the same taps on both clocks"):
        align_by_taps(there, here)


# Across


def test_a_contact_that_crosses_takes_the_clocks_uncertainty_along() -> None:
    fit = ClockFit(offset_s=2.0, rate=8.0, offset_sd_s=0.03, n=4, method="taps", about_s=1.0, rate_sd=0.01)
    mark = Contact(Limb.LF, Event.ON, 3.0, 0.01, "sensor", 0.9)
    (across,) = to_film_clock(Contacts([mark]), fit)
    assert across.time_s == 26.0
    assert across.sd_s == pytest.approx((0.08**2 + 0.03**2 + 0.02**2) ** 0.5)
    assert replace(across, time_s=3.0, sd_s=0.01) == mark


@pytest.mark.parametrize(
    "values",
    [{"rate": 0.0}, {"drift_ppm": -1.0}, {"within_s": 0.0}, {"tap_sd_s": 0.0}, {"rate": float("nan")}],
)
def test_settings_that_make_no_sense_are_refused(values: dict[str, float]) -> None:
    with pytest.raises(WrongSetting, match="must be"):
        AlignSettings(**values)
