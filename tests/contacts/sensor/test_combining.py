"""Film and sensor together: the mean of what both know, and a person's marks untouched."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.sensor import CombineSettings, combine
from evenfall.errors import WrongSetting
from tests.making import regular


def film(time_s: float, sd_s: float = 0.01, confidence: float = 0.8, source: str = "seen") -> Contact:
    return Contact(Limb.LF, Event.ON, time_s, sd_s, source, confidence)


def sensor(time_s: float, sd_s: float = 0.01, confidence: float = 0.9) -> Contact:
    return Contact(Limb.LF, Event.ON, time_s, sd_s, "sensor", confidence)


def one(a: Contact, b: Contact) -> Contact:
    (mark,) = combine(Contacts([a]), Contacts([b]))
    return mark


def test_what_both_know_is_their_weighted_mean() -> None:
    mark = one(film(1.0, 0.02), sensor(1.02, 0.01))
    assert mark.time_s == pytest.approx((1.0 / 4 + 1.02) / 1.25)
    assert mark.sd_s == pytest.approx((1 / 0.02**2 + 1 / 0.01**2) ** -0.5)
    assert mark.source == "film+sensor"
    assert mark.confidence == pytest.approx(0.98)


def test_what_one_knows_is_kept_as_it_is() -> None:
    a, b = film(1.0), sensor(1.6)
    assert list(combine(Contacts([a]), Contacts([b]))) == [a, b]
    assert list(combine(Contacts([a]), Contacts())) == [a]
    assert list(combine(Contacts(), Contacts([b]))) == [b]
    assert len(combine(Contacts(), Contacts())) == 0


def test_another_foot_or_event_is_another_contact() -> None:
    a = film(1.0)
    for other in (replace(sensor(1.0), limb=Limb.RF), replace(sensor(1.0), event=Event.OFF)):
        assert set(combine(Contacts([a]), Contacts([other]))) == {a, other}


def test_where_they_contradict_the_surer_stands_half_as_sure_and_names_the_other() -> None:
    mark = one(film(1.0), sensor(1.1))
    assert (mark.time_s, mark.sd_s, mark.source) == (1.1, 0.01, "sensor")
    assert mark.confidence == pytest.approx(0.45)
    assert mark.extra == (("contradicted_s", "1.000000"),)


def test_of_equally_sure_the_sharper_stands() -> None:
    assert one(film(1.0, 0.005, 0.9), sensor(1.1, 0.01, 0.9)).time_s == 1.0


@pytest.mark.parametrize("source", ["person", "person:second reader"])
@pytest.mark.parametrize("apart_s", [0.0, 0.02, 0.1])
def test_a_persons_mark_stands_and_the_sensors_for_it_goes(apart_s: float, source: str) -> None:
    mark = film(1.0, source=source)
    assert one(mark, sensor(1.0 + apart_s)) == mark


def test_the_gate_is_a_setting() -> None:
    wide = CombineSettings(gate_sd=8.0)
    (mark,) = combine(Contacts([film(1.0)]), Contacts([sensor(1.1)]), wide)
    assert mark.source == "film+sensor"


@pytest.mark.parametrize("values", [{"gate_sd": 0.0}, {"same_step_s": -1.0}])
def test_settings_that_make_no_sense_are_refused(values: dict[str, float]) -> None:
    with pytest.raises(WrongSetting, match="must be above 0"):
        CombineSettings(**values)


strays = st.lists(st.floats(-0.2, 0.2), min_size=40, max_size=40)


def strayed(by: list[float], source: str) -> Contacts:
    """Five strides of a rack whose every contact is moved, thinned where it is moved far."""
    whole = regular(n=4)
    return Contacts(
        replace(mark, time_s=mark.time_s + by_s, sd_s=0.01, source=source, confidence=0.9)
        for mark, by_s in zip(whole, by, strict=True)
        if abs(by_s) < 0.18
    )


@given(strays, strays)
def test_a_persons_marks_are_never_moved_changed_or_dropped(by_hand: list[float], by: list[float]) -> None:
    person, other = strayed(by_hand, "person"), strayed(by, "sensor")
    both = combine(person, other)
    assert Counter(mark for mark in both if mark.source == "person") == Counter(person)
    assert all(mark in other.marks for mark in both if mark.source != "person")


@given(strays, strays, st.floats(-100, 100))
def test_combining_goes_along_with_the_clock(by_a: list[float], by_b: list[float], by_s: float) -> None:
    a, b = strayed(by_a, "seen"), strayed(by_b, "sensor")
    shifted, expected = combine(a.shifted(by_s), b.shifted(by_s)), combine(a, b).shifted(by_s)
    assert len(shifted) == len(expected)
    assert sum(m.time_s for m in shifted) == pytest.approx(sum(m.time_s for m in expected), abs=1e-6)


@given(strays, strays)
def test_no_contact_of_either_goes_unaccounted(by_a: list[float], by_b: list[float]) -> None:
    """A mean or a contradiction stands for two, everything else for itself."""
    a, b = strayed(by_a, "seen"), strayed(by_b, "sensor")
    both = combine(a, b)
    twos = sum(mark.source == "film+sensor" or bool(mark.extra) for mark in both)
    assert len(both) + twos == len(a) + len(b)
