"""Slips are told apart from contradictions."""

from dataclasses import replace

import numpy as np
import pytest

from evenfall.contacts import Contact, Contacts, Event, Limb, review_order
from evenfall.errors import ContactsError
from evenfall.strides import build_strides
from evenfall.synth import made_contacts, symmetrical
from tests.making import regular


def test_a_regular_horse_passes_untouched() -> None:
    marks = regular()
    reviewed = review_order(marks)
    assert reviewed.contacts == marks
    assert reviewed.slips == ()


def test_a_stance_torn_in_two_is_a_slip_and_set_aside() -> None:
    """Of the two landings the one goes whose absence leaves whole strides."""
    marks = regular(stride_s=1.0, duty_fore_pct=60)
    torn = Contacts([*marks, Contact(Limb.RF, Event.OFF, 2.5), Contact(Limb.RF, Event.ON, 2.6)])
    reviewed = review_order(torn)
    assert reviewed.contacts == marks
    (slip,) = reviewed.slips
    assert {mark.time_s for mark in slip.marks} == {2.5, 2.6}
    assert "RF lands at 2.250 s and again at 2.600 s" in slip.reason


def test_several_slips_are_all_set_aside() -> None:
    marks = regular(stride_s=1.0, duty_fore_pct=60)
    false = [(Limb.RF, 2.5), (Limb.LF, 3.0), (Limb.RF, 5.5)]
    extra = [
        Contact(limb, event, at + dt) for limb, at in false for event, dt in ((Event.OFF, 0), (Event.ON, 0.1))
    ]
    assert review_order(Contacts([*marks, *extra])).contacts == marks


def test_two_landings_with_no_lift_off_between_are_refused_with_the_line() -> None:
    marks = [replace(mark, line=i + 2) for i, mark in enumerate(regular())]
    doubled = Contacts([*marks, Contact(Limb.LH, Event.ON, 1.2, line=99)])
    with pytest.raises(
        ContactsError,
        match=r"line 99: LH lands at 1.100 s and again at 1.200 s with no lift-off between.*marked twice",
    ):
        review_order(doubled)


def test_a_left_and_right_taken_for_each_other_is_recognised() -> None:
    marks = [
        replace(m, limb=Limb.LH)
        if (m.limb, m.event) == (Limb.RH, Event.ON) and abs(m.time_s - 1.4) < 0.01
        else m
        for m in regular(lift_offs=False)
    ]
    with pytest.raises(ContactsError, match=r"landing at 1.400 s is probably RH: left and right swapped"):
        review_order(Contacts(marks))


def test_the_yardstick_is_the_other_feet_so_a_change_of_tempo_is_no_slip() -> None:
    """From a walk of 1.1 s to a rack of 0.5 s within one stride."""
    slow, fast = regular(stride_s=1.1, n=3), regular(stride_s=0.5, n=6, start_s=0.5 + 4 * 1.1)
    both = Contacts([*slow, *fast])
    assert review_order(both).contacts == both


def test_one_foot_alone_is_measured_against_itself() -> None:
    alone = regular(n=8).only(lambda mark: mark.limb is Limb.LH)
    assert review_order(alone).contacts == alone


def test_nothing_gives_nothing() -> None:
    assert review_order(Contacts()).contacts == Contacts()


@pytest.mark.parametrize("lift_offs", [True, False])
def test_two_far_feet_hidden_for_a_stride_cost_nothing_else(lift_offs: bool) -> None:
    """A foot that misses a mark seems to take two strides; it must not make the others look hasty."""
    whole = regular(stride_s=0.6, n=8, lift_offs=lift_offs)
    gone = [mark for limb in (Limb.RF, Limb.RH) for mark in whole.of(limb) if 2.5 < mark.time_s < 3.1]
    assert {mark.limb for mark in gone if mark.event is Event.ON} == {Limb.RF, Limb.RH}
    reviewed = review_order(whole.without(gone))
    assert reviewed.slips == ()
    assert reviewed.contacts == whole.without(gone)


def test_marks_missing_at_random_make_hardly_any_slips() -> None:
    """One mark in ten gone, two hundred horses: the true marks that remain are left alone."""
    rng = np.random.default_rng(4)
    slips = 0
    for _ in range(200):
        marks = made_contacts(
            symmetrical(0.55, rng.uniform(5, 45), 48, 50), 5.0, int(rng.integers(1_000_000))
        )
        reviewed = review_order(Contacts(mark for mark in marks if rng.uniform() > 0.1))
        slips += bool(reviewed.slips)
        strides = build_strides(reviewed.contacts)
        lengths = [cycle.duration_s for limb in Limb for cycle in strides.trusted_cycles(limb)]
        assert np.median(lengths) == pytest.approx(0.55, rel=0.1)
    assert slips <= 4


def test_a_slip_says_which_lift_off_went_with_it() -> None:
    """A brief touch in mid-swing before the true landing: the touch goes, with the lift-off after it."""
    marks = [replace(mark, line=i + 2) for i, mark in enumerate(regular(stride_s=1.0, n=4))]
    landing = Contacts(marks).landings(Limb.LF)[0]
    touch = [
        Contact(Limb.LF, Event.ON, landing.time_s - 0.3, line=90),
        Contact(Limb.LF, Event.OFF, landing.time_s - 0.2),
    ]
    (slip,) = review_order(Contacts([*marks, *touch])).slips
    assert "the landing at 0.450 s (line 90) and the lift-off after it were set aside" in slip.reason


def test_a_stretch_with_left_and_right_swapped_is_recognised() -> None:
    fores = (Limb.LF, Limb.RF)
    marks = [
        replace(mark, limb=mark.limb.across) if mark.limb in fores and 2.0 < mark.time_s < 3.0 else mark
        for mark in regular(duty_fore_pct=45)
    ]
    with pytest.raises(ContactsError, match="left and right swapped, there or from there on"):
        review_order(Contacts(marks))


@pytest.mark.parametrize("duty", [45, 55])
def test_one_landing_given_to_the_foot_across_is_the_one_that_is_named(duty: float) -> None:
    """Whether a lift-off happens to stand between or not: of the two landings the one that is the other foot's."""
    marks = regular(duty_fore_pct=duty)
    wrong = marks.landings(Limb.LF)[3]
    given = Contacts([*marks.without([wrong]), replace(wrong, limb=Limb.RF)])
    try:
        told = review_order(given).slips[0].reason
    except ContactsError as error:
        told = str(error)
    assert f"landing at {wrong.time_s:.3f} s" in told
    assert "LF" in told


def test_a_mark_made_twice_is_not_taken_for_a_swap() -> None:
    marks = regular(lift_offs=False)
    twice = Contacts([*marks, Contact(Limb.LF, Event.ON, marks.landings(Limb.LF)[3].time_s + 0.05)])
    with pytest.raises(ContactsError, match="probably marked twice"):
        review_order(twice)
