from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenfall.errors import NotFound, StoreError, WrongSetting
from evenfall.store import Barn, marks, readings
from evenfall.store.marks import Act
from tests.store.keeping import a_clip, a_reading, adding, contacts

LAW = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def standing(barn: Barn, reading_id: int) -> dict[str, float]:
    return {row.id: row.time_s for row in marks.of(barn, reading_id)}


def test_a_mark_is_added_moved_deleted_and_brought_back(barn: Barn) -> None:
    reading = a_reading(barn)
    assert marks.act(barn, reading, [adding("a", 1.25)]) == 1
    assert marks.act(barn, reading, [Act("2", "move", "a", time_s=1.5)]) == 2
    assert standing(barn, reading) == {"a": 1.5}
    assert marks.act(barn, reading, [Act("3", "delete", "a")]) == 3
    assert standing(barn, reading) == {}
    assert [row.id for row in marks.of(barn, reading, deleted=True)] == ["a"]
    assert marks.act(barn, reading, [Act("4", "restore", "a")]) == 4
    assert standing(barn, reading) == {"a": 1.5}


def test_an_act_sent_again_is_done_once(barn: Barn) -> None:
    reading = a_reading(barn)
    batch = [adding("a"), Act("2", "move", "a", time_s=2.0)]
    assert marks.act(barn, reading, batch) == 1
    marks.act(barn, reading, [Act("3", "move", "a", time_s=3.0)])
    assert marks.act(barn, reading, batch) == 2
    assert standing(barn, reading) == {"a": 3.0}


def test_a_moved_mark_that_another_deleted_comes_back(barn: Barn) -> None:
    reading = a_reading(barn)
    marks.act(barn, reading, [adding("a"), Act("2", "delete", "a")])
    marks.act(barn, reading, [Act("3", "move", "a", time_s=2.0)])
    assert standing(barn, reading) == {"a": 2.0}


def test_a_batch_is_done_whole_or_not_at_all(barn: Barn) -> None:
    reading = a_reading(barn)
    batch = [adding("a"), adding("b"), Act("3", "move", "nowhere", time_s=1.0)]
    with pytest.raises(NotFound, match="found none named nowhere"):
        marks.act(barn, reading, batch)
    assert standing(barn, reading) == {}
    assert readings.of_clip(barn, 1)[0].revision == 0
    assert marks.act(barn, reading, batch[:2]) == 1


def test_a_mark_speaks_of_the_machines(barn: Barn) -> None:
    clip = a_clip(barn)
    machine = readings.save_machine(barn, clip.id, contacts(0.5), method="film", version="1", settings={})
    (found,) = marks.of(barn, machine.id)
    person = readings.person(barn, clip.id).id
    marks.act(barn, person, [Act("1", "add", "no", stands_for=found.id, rejected=True)])
    (row,) = marks.of(barn, person)
    assert (row.limb, row.event, row.time_s) == (found.limb, found.event, found.time_s)
    assert (row.stands_for, row.rejected, row.source) == (found.id, True, "person")
    marks.act(barn, person, [Act("2", "move", "no", time_s=0.52)])
    assert marks.of(barn, person)[0].rejected is False
    assert marks.of(barn, machine.id) == (found,)


def test_a_machines_marks_are_not_changed_by_hand(barn: Barn) -> None:
    machine = readings.save_machine(
        barn, a_clip(barn).id, contacts(0.5), method="film", version="1", settings={}
    )
    with pytest.raises(StoreError, match="kept as it was made"):
        marks.act(barn, machine.id, [adding("a")])


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"act": "shift"}, "expected an act add, move, delete, restore, found 'shift'"),
        ({"limb": "LX"}, "expected a foot LF, RF, LH, RH, found 'LX'"),
        ({"event": "up"}, "'on' for a landing"),
        ({"time_s": float("inf")}, "expected a time in seconds"),
        ({"time_s": None}, "found none for time_s"),
        ({"op": ""}, "names of their own"),
    ],
)
def test_an_act_that_makes_no_sense_is_refused(barn: Barn, change: dict[str, Any], says: str) -> None:
    with pytest.raises(WrongSetting, match=says):
        marks.act(barn, a_reading(barn), [replace(adding("a"), **change)])


def test_a_mark_of_another_film_is_not_touched(barn: Barn) -> None:
    first, second = a_reading(barn), readings.person(barn, a_clip(barn, b"other").id).id
    marks.act(barn, first, [adding("a")])
    for asked in (adding("a", 9.0), Act("2", "delete", "a")):
        with pytest.raises(WrongSetting, match="of another"):
            marks.act(barn, second, [asked])
    with pytest.raises(NotFound, match="to stand for"):
        marks.act(barn, second, [Act("3", "add", "b", stands_for="a")])
    assert standing(barn, first) == {"a": 1.0}


def test_two_phones_adding_at_once_lose_nothing(barn: Barn) -> None:
    reading = a_reading(barn)

    def phone(name: str) -> None:
        for n in range(15):
            marks.act(barn, reading, [adding(f"{name}{n}", n / 10)], by=name)

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(phone, "abcd"))
    assert set(standing(barn, reading)) == {f"{name}{n}" for name in "abcd" for n in range(15)}
    assert readings.of_clip(barn, 1)[0].revision == 60


def test_one_batch_sent_by_many_at_once_is_done_once(barn: Barn) -> None:
    reading = a_reading(barn)
    batch = [adding("a"), adding("b")]
    with ThreadPoolExecutor(6) as pool:
        revisions = list(pool.map(lambda _: marks.act(barn, reading, batch), range(6)))
    assert revisions == [1] * 6


acts = st.lists(
    st.tuples(
        st.sampled_from(["add", "move", "delete", "restore"]), st.sampled_from("xyz"), st.integers(0, 9)
    ),
    max_size=12,
)


@LAW
@given(acts)
def test_law_acts_do_what_a_plain_dictionary_would(sqlite: Barn, asked: list[tuple[str, str, int]]) -> None:
    """Mark by mark: the time of the last add or move, gone after a delete."""
    reading = readings.begin_blind(sqlite, a_clip(sqlite).id, "law").id
    times: dict[str, float] = {}
    shown: set[str] = set()
    for n, (kind, letter, at) in enumerate(asked):
        mark = f"{reading}{letter}"
        if kind != "add" and mark not in times:
            continue
        time_s = at / 10 if kind in ("add", "move") else None
        batch = [Act(f"{reading}-{n}", kind, mark, "LF", "on", time_s)] * 2
        marks.act(sqlite, reading, batch)
        times[mark] = times[mark] if time_s is None else time_s
        shown = shown - {mark} if kind == "delete" else shown | {mark}
    assert standing(sqlite, reading) == {mark: times[mark] for mark in shown}
