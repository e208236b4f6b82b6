"""The four feet and their contacts."""

import pytest

from evenfall.contacts import Contact, Contacts, Event, Limb


@pytest.mark.parametrize(
    ("limb", "across", "same_side", "diagonal"),
    [
        (Limb.LF, Limb.RF, Limb.LH, Limb.RH),
        (Limb.RF, Limb.LF, Limb.RH, Limb.LH),
        (Limb.LH, Limb.RH, Limb.LF, Limb.RF),
        (Limb.RH, Limb.LH, Limb.RF, Limb.LF),
    ],
)
def test_each_foot_knows_the_other_three(limb: Limb, across: Limb, same_side: Limb, diagonal: Limb) -> None:
    assert (limb.across, limb.same_side, limb.diagonal) == (across, same_side, diagonal)


def test_a_contact_is_written_as_a_person_would_point_at_it() -> None:
    assert str(Contact(Limb.RF, Event.ON, 1.8, line=7)) == "RF landing at 1.800 s (line 7)"
    assert str(Contact(Limb.LH, Event.OFF, 0.25)) == "LH lift-off at 0.250 s"


def test_contacts_are_sorted_and_picked_by_foot_and_event() -> None:
    marks = Contacts(
        [Contact(Limb.LF, Event.OFF, 0.9), Contact(Limb.LF, Event.ON, 0.2), Contact(Limb.RH, Event.ON, 0.5)]
    )
    assert [m.time_s for m in marks] == [0.2, 0.5, 0.9]
    assert [m.time_s for m in marks.landings(Limb.LF)] == [0.2]
    assert [m.time_s for m in marks.of(Limb.LF)] == [0.2, 0.9]
