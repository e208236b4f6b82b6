"""Contacts from made-up sensors: found, dated, and refused where there is too little to see."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts import Contacts, Event, Limb, review_order
from evenfall.contacts.sensor import SenseSettings, SensorTrack, Site, sense_contacts, sensor_method
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.timebase import FloatArray
from tests.contacts.sensor.signals import GAITS, Worn, errors_ms, standing, track, truth, turned
from tests.contacts.sensor.test_health import without


def times(contacts: Contacts) -> list[float]:
    return [mark.time_s for mark in contacts]


@pytest.mark.parametrize("site", list(Site))
@pytest.mark.parametrize("gait", list(GAITS))
@pytest.mark.parametrize("limb", [Limb.RF, Limb.LH])
def test_every_contact_away_from_the_ends_is_found_once(site: Site, gait: str, limb: Limb) -> None:
    found, true = sense_contacts(track(GAITS[gait], Worn(site, limb))), truth(GAITS[gait], limb)
    for event in Event:
        seen, there = (
            [m for m in marks if m.event is event and 1.5 < m.time_s < 10.5] for marks in (found, true)
        )
        near = [any(abs(mark.time_s - other.time_s) < 0.05 for other in found) for mark in there]
        assert all(near)
        assert abs(len(seen) - len(there)) <= 1


@pytest.mark.parametrize("site", list(Site))
@pytest.mark.parametrize("gait", list(GAITS))
def test_landings_and_lift_offs_take_turns(site: Site, gait: str) -> None:
    for worn in (Worn(site, rate_hz=100, noise=2, jitter=0.2, seed=4), Worn(site, rate_hz=500, mount_hz=25)):
        events = [mark.event for mark in sense_contacts(track(GAITS[gait], worn))]
        assert all(first is not second for first, second in pairwise(events))


def test_four_sensors_make_an_order_a_horse_can_walk_in() -> None:
    horse = Contacts(m for limb in Limb for m in sense_contacts(track(GAITS["walk"], Worn(limb=limb))))
    assert review_order(horse).slips == ()


def test_what_is_found_says_who_says_so_and_how_sure() -> None:
    found = sense_contacts(track(GAITS["trot"]))
    assert {mark.source for mark in found} == {"sensor"}
    assert {mark.limb for mark in found} == {Limb.LF}
    assert all(0.5 < mark.confidence < 1 and mark.sd_s > 0 for mark in found)


def test_a_hoof_without_a_turn_rate_lands_by_its_jolt() -> None:
    one = replace(track(GAITS["trot"]), rate_rads=None)
    assert sensor_method(one).name == "hoof jolt"
    errors = errors_ms(sense_contacts(one), truth(GAITS["trot"], Limb.LF))
    assert len(errors["on"]) >= 16
    assert np.abs(errors["on"]).max() < 10


def test_a_hoof_without_acceleration_gives_landings_only() -> None:
    found = sense_contacts(replace(track(GAITS["trot"]), acceleration_ms2=None))
    assert len(found.landings(Limb.LF)) >= 16
    assert not found.lift_offs(Limb.LF)


@pytest.mark.parametrize("site", [Site.PASTERN, Site.CANNON])
@pytest.mark.parametrize(("part", "words"), [("acceleration_ms2", "acceleration is missing"), ("rate_rads", "rate of turn is missing")])  # fmt: skip
def test_above_the_hoof_both_are_needed(site: Site, part: str, words: str) -> None:
    half = replace(track(GAITS["walk"], Worn(site)), **{part: None})  # type: ignore[arg-type]
    with pytest.raises(TooLittleEvidence, match=words):
        sense_contacts(half)


@pytest.mark.parametrize("rate_hz", [100, 250, 1000])
def test_the_spread_holds_the_sample_interval(rate_hz: float) -> None:
    one = track(GAITS["trot"], Worn(rate_hz=rate_hz))
    method = sensor_method(one)
    (sd_s,) = {round(mark.sd_s, 9) for mark in sense_contacts(one).landings(Limb.LF)}
    assert sd_s == pytest.approx(np.hypot(method.landing.sd_s, 1 / rate_hz / 12**0.5))


def test_flat_tops_widen_the_contacts_beside_them_and_leave_them_found() -> None:
    free, flat = (track(GAITS["trot"], Worn(rate_hz=500, range_g=span)) for span in (200, 8))
    wide, narrow = sense_contacts(flat), sense_contacts(free)
    assert len(wide) == len(narrow)
    assert max(m.sd_s for m in wide.landings(Limb.LF)) > max(m.sd_s for m in narrow.landings(Limb.LF))


def test_too_few_samples_a_second_are_refused_with_the_reason() -> None:
    slow = track(GAITS["trot"], Worn(rate_hz=60))
    with pytest.raises(TooLittleEvidence, match="60 samples a second are too few; at least 100"):
        sense_contacts(slow)
    assert len(sense_contacts(slow, SenseSettings(least_hz=50))) > 20


@pytest.mark.parametrize("site", list(Site))
def test_a_horse_that_stands_gives_no_contacts(site: Site) -> None:
    with pytest.raises(TooLittleEvidence, match=r"no beat.*Did the horse stand"):
        sense_contacts(standing(Worn(site)))


def test_shaking_without_a_beat_gives_no_contacts() -> None:
    rng = np.random.default_rng(3)
    calm = standing()
    with pytest.raises(TooLittleEvidence, match="no beat"):
        sense_contacts(replace(calm, rate_rads=rng.normal(0, 5, (len(calm.times_s), 3))))


def test_too_short_a_record_is_refused() -> None:
    with pytest.raises(TooLittleEvidence, match="too short for two strides"):
        sense_contacts(track(GAITS["walk"], duration_s=0.9))


def test_fewer_landings_than_asked_for_are_too_few() -> None:
    with pytest.raises(TooLittleEvidence, match=r"landings? found in .* at least 9 are needed"):
        sense_contacts(track(GAITS["walk"], duration_s=5.0), SenseSettings(least_landings=9))


def test_standing_before_and_after_gives_no_contacts_there() -> None:
    step, calm = track(GAITS["trot"]), standing()
    joined = [
        np.concatenate([a, b, c])
        for a, b, c in (
            (calm.times_s - 10, step.times_s, calm.times_s + 12),
            (calm.acceleration_ms2, step.acceleration_ms2, calm.acceleration_ms2),
            (calm.rate_rads, step.rate_rads, calm.rate_rads),
        )
    ]
    found = sense_contacts(SensorTrack(joined[0], joined[1], joined[2], Limb.LF, Site.HOOF))
    assert all(-0.5 < time < 12.5 for time in times(found))
    assert len(found) >= len(sense_contacts(step)) - 2


def test_a_hole_costs_the_contacts_beside_it_and_no_others() -> None:
    whole = track(GAITS["trot"])
    found = times(sense_contacts(without(whole, 5.0, 6.0)))
    assert not [time for time in found if 5.0 < time < 6.0]
    far = [time for time in times(sense_contacts(whole)) if abs(time - 5.5) > 1.4]
    assert all(min(abs(time - other) for other in found) < 0.003 for time in far)


@pytest.mark.parametrize("values", [{"least_hz": 10.0}, {"least_hz": float("nan")}, {"least_landings": 1}])
def test_settings_that_make_no_sense_are_refused(values: dict[str, float]) -> None:
    with pytest.raises(WrongSetting, match="must be"):
        SenseSettings(**values)  # type: ignore[arg-type]


# Laws


@st.composite
def rotations(draw: st.DrawFn) -> FloatArray:
    """Any way to strap a sensor on, mirrored axes included."""
    rows = draw(st.lists(st.floats(-1, 1), min_size=9, max_size=9))
    square, triangle = np.linalg.qr(np.reshape(rows, (3, 3)) + 0.1 * np.eye(3))
    return square * np.where(np.diag(triangle) < 0, -1.0, 1.0)


sites = st.sampled_from(list(Site))


@settings(max_examples=12, deadline=None)
@given(sites, rotations())
def test_how_the_sensor_is_turned_does_not_matter(site: Site, rotation: FloatArray) -> None:
    one = track(GAITS["tölt-like"], Worn(site))
    assert times(sense_contacts(turned(one, rotation))) == pytest.approx(times(sense_contacts(one)), abs=1e-9)


@settings(max_examples=12, deadline=None)
@given(sites, st.floats(-1000, 1000))
def test_a_shifted_clock_shifts_the_contacts(site: Site, by_s: float) -> None:
    one = track(GAITS["tölt-like"], Worn(site))
    shifted = replace(one, times_s=one.times_s + by_s)
    expected = times(sense_contacts(one).shifted(by_s))
    assert times(sense_contacts(shifted)) == pytest.approx(expected, abs=0.0051)


@settings(max_examples=12, deadline=None)
@given(sites, st.sampled_from(list(Limb)))
def test_the_name_of_the_limb_does_not_change_the_times(site: Site, limb: Limb) -> None:
    """And so a sensor on the wrong limb cannot be known."""
    one = track(GAITS["trot"], Worn(site))
    assert times(sense_contacts(replace(one, limb=limb))) == times(sense_contacts(one))
