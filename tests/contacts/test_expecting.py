from itertools import islice

import pytest

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.expecting import next_expected
from tests.making import regular


def landings(n: int, lateral_pct: float = 30) -> list[Contact]:
    made = regular(stride_s=0.6, lateral_pct=lateral_pct, lift_offs=False)
    return list(islice(made, n))


def test_before_the_first_mark_nothing_is_expected() -> None:
    assert next_expected([]) is None


@pytest.mark.parametrize("n", [5, 6, 7, 8, 13])
def test_beat_by_beat_the_foot_that_followed_a_stride_ago_comes_as_long_after(n: int) -> None:
    *made, coming = landings(n + 1)
    expected = next_expected(made)
    assert expected is not None
    assert (expected.contact.limb, expected.known) == (coming.limb, True)
    assert expected.contact.time_s == pytest.approx(coming.time_s)


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_in_the_first_stride_the_feet_come_in_the_order_of_every_symmetrical_gait(n: int) -> None:
    *made, coming = landings(n + 1)
    expected = next_expected(made)
    assert expected is not None
    assert expected.contact.limb is coming.limb


def test_after_one_mark_no_time_is_made_up() -> None:
    expected = next_expected(landings(1))
    assert expected is not None
    assert not expected.known


def test_foot_by_foot_the_same_foot_comes_a_stride_later() -> None:
    made = [mark for mark in landings(40) if mark.limb is Limb.RF][:3]
    expected = next_expected([*landings(4)[:2], *made])
    assert expected is not None
    assert expected.contact.limb is Limb.RF
    assert expected.contact.time_s == pytest.approx(made[-1].time_s + 0.6)


def test_lift_offs_are_expected_after_lift_offs() -> None:
    lift_offs = [mark for mark in regular() if mark.event is Event.OFF][:6]
    expected = next_expected(lift_offs)
    assert expected is not None
    assert expected.contact.event is Event.OFF


def test_a_mark_put_in_between_does_not_lead_backwards() -> None:
    made = landings(9)
    late = made.pop(3)
    expected = next_expected([*made, late])
    assert expected is not None
    assert expected.contact.time_s >= late.time_s
    assert Contacts(made).marks[0].limb is Limb.LH
