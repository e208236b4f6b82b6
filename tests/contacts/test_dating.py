"""Marks laid onto a film's clock."""

import numpy as np
import pytest

from evenfall.contacts import Contact, Contacts, Event, Limb, date_contacts
from evenfall.errors import ContactsError, TooLittleEvidence
from evenfall.timebase import Timebase

CLOCK = Timebase(np.arange(120) / 60)


def landings(*times: float) -> Contacts:
    return Contacts(Contact(Limb.LH, Event.ON, time, line=i + 2) for i, time in enumerate(times))


def test_every_contact_gets_the_spread_of_its_picture_interval() -> None:
    dated = date_contacts(landings(0.1, 0.7), CLOCK)
    assert [mark.sd_s for mark in dated.contacts] == pytest.approx([1 / 60 / np.sqrt(12)] * 2)


def test_a_wider_spread_that_a_mark_carries_is_kept() -> None:
    wide = Contacts([Contact(Limb.LH, Event.ON, 0.1, sd_s=0.05)])
    assert date_contacts(wide, CLOCK).contacts.marks[0].sd_s == 0.05


def test_contacts_outside_the_film_are_set_apart() -> None:
    dated = date_contacts(landings(0.1, 0.7, 2.5), CLOCK)
    assert [mark.time_s for mark in dated.outside] == [2.5]
    assert len(dated.contacts) == 2


def test_no_contact_inside_the_film_is_too_little_evidence() -> None:
    with pytest.raises(TooLittleEvidence, match=r"no contact lies inside the film: it runs 0.00 to 1.98 s"):
        date_contacts(landings(5.25, 5.75), CLOCK)


def test_no_contact_at_all_is_too_little_evidence() -> None:
    with pytest.raises(TooLittleEvidence, match="no foot is marked"):
        date_contacts(Contacts(), CLOCK)


def test_picture_numbers_are_recognised() -> None:
    with pytest.raises(
        ContactsError, match=r"line 4: .*look like picture numbers; divide each by the picture rate .60"
    ):
        date_contacts(landings(6, 42, 78), CLOCK)


def test_picture_numbers_with_decimals_are_recognised_too() -> None:
    """Seconds multiplied by the picture rate and not rounded."""
    with pytest.raises(ContactsError, match="look like picture numbers"):
        date_contacts(landings(6.3, 42.6, 78.9), CLOCK)


def test_contacts_of_a_film_a_little_longer_are_only_cut() -> None:
    assert len(date_contacts(landings(0.5, 1.5, 4.5), CLOCK).outside) == 1


def test_milliseconds_are_recognised() -> None:
    with pytest.raises(ContactsError, match="look like milliseconds; divide by 1000"):
        date_contacts(landings(100.5, 700.25, 1300.0), CLOCK)
