from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.contacts import Contact, Event, Limb
from evenfall.contacts.merging import WINDOW_S, Mark, Merged, merge_marks, usual_stride_s, window_s

limbs, events = st.sampled_from(list(Limb)), st.sampled_from(list(Event))
times = st.floats(0, 20).map(lambda value: round(value, 4))


def machine_mark(name: str, time_s: float, limb: Limb = Limb.LF, event: Event = Event.ON) -> Mark:
    return Mark(name, Contact(limb, event, time_s, 0.01, "film", 0.8))


def own_mark(name: str, time_s: float, limb: Limb = Limb.LF, event: Event = Event.ON) -> Mark:
    return Mark(name, Contact(limb, event, time_s))


@st.composite
def machine_marks(draw: st.DrawFn) -> list[Mark]:
    rows = draw(st.lists(st.tuples(times, limbs, events), max_size=12))
    return [machine_mark(f"m{number}", *row) for number, row in enumerate(rows)]


@st.composite
def person_marks(draw: st.DrawFn) -> list[Mark]:
    rows = draw(st.lists(st.tuples(times, limbs, events), max_size=12))
    speaks_of = st.one_of(st.none(), st.sampled_from([f"m{number}" for number in range(14)]))
    return [
        replace(own_mark(f"p{number}", *row), stands_for=about, rejected=about is not None and draw(st.booleans()))
        for number, row in enumerate(rows)
        for about in (draw(speaks_of),)
    ]  # fmt: skip


def names(marks: Merged) -> list[str]:
    return [mark.id for mark in (*marks.person, *marks.machine)]


def test_a_mark_moved_by_a_person_replaces_the_machines_however_far_it_went() -> None:
    moved = replace(own_mark("p", 4.0), stands_for="m")
    assert names(merge_marks([machine_mark("m", 1.0)], [moved])) == ["p"]


def test_a_rejected_mark_is_gone_and_so_is_the_rejection() -> None:
    rejected = replace(own_mark("p", 1.0), stands_for="m", rejected=True)
    merged = merge_marks([machine_mark("m", 1.0), machine_mark("n", 1.6)], [rejected])
    assert names(merged) == ["n"]


def test_a_rejection_outlives_a_new_reading_that_names_its_marks_anew() -> None:
    rejected = replace(own_mark("p", 1.0), stands_for="gone", rejected=True)
    assert names(merge_marks([machine_mark("new", 1.01), machine_mark("n", 1.6)], [rejected])) == ["n"]


def test_an_earlier_mark_that_nobody_spoke_of_is_not_heeded() -> None:
    person, earlier = [own_mark("p", 3.0)], [machine_mark("gone", 1.0)]
    assert names(merge_marks([machine_mark("new", 1.01)], person, earlier=earlier)) == ["p", "new"]


@pytest.mark.parametrize(("event", "limb", "stays"), [
    (Event.ON, Limb.LF, False),
    (Event.OFF, Limb.LF, True),
    (Event.ON, Limb.RF, True),
])  # fmt: skip
def test_only_the_same_foot_and_event_give_way_to_a_persons_own_mark(
    event: Event, limb: Limb, *, stays: bool
) -> None:
    merged = merge_marks([machine_mark("m", 1.05, limb, event)], [own_mark("p", 1.0)])
    assert ("m" in names(merged)) is stays


def test_the_window_is_a_quarter_of_the_stride_and_so_knows_slow_motion() -> None:
    slow = [machine_mark(f"m{number}", 4.8 * number) for number in range(4)]
    assert window_s(slow, []) == pytest.approx(1.2)
    assert names(merge_marks(slow, [own_mark("p", 10.6)])) == ["p", "m0", "m1", "m3"]


def test_without_a_stride_the_window_is_that_of_a_quick_horse() -> None:
    assert usual_stride_s([own_mark("p", 1.0)]) is None
    assert window_s([machine_mark("m", 1.0)], [own_mark("p", 1.0)]) == WINDOW_S


def test_marks_come_out_in_order_of_time() -> None:
    merged = merge_marks([machine_mark("m", 3.0), machine_mark("n", 1.0)], [own_mark("p", 2.0)])
    assert [mark.time_s for mark in merged.contacts] == [1.0, 2.0, 3.0]


def test_the_same_mark_made_by_two_people_at_once_counts_once() -> None:
    merged = merge_marks([], [own_mark("p", 1.0), own_mark("q", 1.0)])
    assert (names(merged), len(merged.contacts)) == (["p", "q"], 1)


@given(machine_marks(), person_marks())
def test_no_mark_of_a_person_is_ever_lost_or_changed(machine: list[Mark], person: list[Mark]) -> None:
    counted = {mark.id: mark for mark in merge_marks(machine, person).person}
    assert counted == {mark.id: mark for mark in person if not mark.rejected}


@given(person_marks())
def test_without_a_machine_the_persons_marks_alone_count(person: list[Mark]) -> None:
    assert merge_marks([], person).machine == ()


@given(machine_marks())
def test_without_a_person_every_mark_of_the_machine_counts(machine: list[Mark]) -> None:
    assert sorted(names(merge_marks(machine, []))) == sorted(mark.id for mark in machine)


@given(machine_marks(), person_marks(), st.floats(0, 1))
def test_merging_again_changes_nothing(machine: list[Mark], person: list[Mark], within_s: float) -> None:
    once = merge_marks(machine, person, within_s=within_s)
    assert merge_marks(once.machine, once.person, within_s=within_s) == once


@given(machine_marks(), person_marks(), st.floats(0, 1))
def test_no_two_marks_that_count_are_a_persons_and_its_double(
    machine: list[Mark], person: list[Mark], within_s: float
) -> None:
    merged = merge_marks(machine, person, within_s=within_s)
    for left in merged.machine:
        for said in merged.person:
            same = (said.contact.limb, said.contact.event) == (left.contact.limb, left.contact.event)
            assert not same or abs(said.contact.time_s - left.contact.time_s) > within_s
