from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenfall.errors import NotFound
from evenfall.store import Barn, marks, readings
from tests.store.keeping import a_clip, a_reading, adding, contacts

LAW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
times = st.lists(st.floats(0, 60), max_size=6)


def test_the_people_of_a_barn_share_one_reading(barn: Barn) -> None:
    clip = a_clip(barn)
    with ThreadPoolExecutor(6) as pool:
        made = set(pool.map(lambda _: readings.person(barn, clip.id).id, range(6)))
    assert len(made) == 1
    assert [each.kind for each in readings.of_clip(barn, clip.id)] == ["person"]


def test_a_machines_reading_says_what_made_it(barn: Barn) -> None:
    clip = a_clip(barn)
    kept = readings.save_machine(
        barn, clip.id, contacts(0.1), method="film", version="2", settings={"a": [1, None]}
    )
    assert (kept.kind, kept.method, kept.version, kept.settings) == ("machine", "film", "2", {"a": [1, None]})
    assert readings.machine(barn, clip.id) == kept


def test_marks_of_a_machine_come_back_as_contacts(barn: Barn) -> None:
    kept = readings.save_machine(
        barn, a_clip(barn).id, contacts(0.1, 0.3), method="film", version="1", settings={}
    )
    assert tuple(row.contact for row in marks.of(barn, kept.id)) == contacts(0.1, 0.3).marks


def test_the_newest_of_a_machine_counts_and_the_older_stay(barn: Barn) -> None:
    clip = a_clip(barn)
    assert readings.machine(barn, clip.id) is None
    first, second = (
        readings.save_machine(barn, clip.id, contacts(at), method="film", version="1", settings={})
        for at in (0.1, 0.2)
    )
    assert readings.machine(barn, clip.id) == second
    assert readings.of_clip(barn, clip.id) == (first, second)
    assert len(marks.of(barn, first.id)) == 1


@LAW
@given(by_hand=times, by_machine=st.lists(times, max_size=3))
def test_law_a_persons_marks_are_never_touched_by_a_machine(
    sqlite: Barn, by_hand: list[float], by_machine: list[list[float]]
) -> None:
    reading_id = a_reading(sqlite) if not readings.of_clip(sqlite, 1) else readings.person(sqlite, 1).id
    marks.act(
        sqlite,
        reading_id,
        [adding(f"{len(marks.of(sqlite, reading_id))}-{n}", at) for n, at in enumerate(by_hand)],
    )
    before, revision = marks.of(sqlite, reading_id, deleted=True), readings.person(sqlite, 1).revision
    for found in by_machine:
        saved = readings.save_machine(sqlite, 1, contacts(*found), method="film", version="1", settings={})
        assert saved.id != reading_id
    assert marks.of(sqlite, reading_id, deleted=True) == before
    assert readings.person(sqlite, 1).revision == revision


def test_each_blind_reading_is_its_own(barn: Barn) -> None:
    clip = a_clip(barn)
    ann, bob = (readings.begin_blind(barn, clip.id, name) for name in ("Ann", "Bob"))
    marks.act(barn, ann.id, [adding("a")])
    assert (ann.kind, ann.reader, bob.reader) == ("blind", "Ann", "Bob")
    assert marks.of(barn, bob.id) == marks.of(barn, readings.person(barn, clip.id).id) == ()


def _begun(barn: Barn) -> Iterator[object]:
    yield lambda: readings.person(barn, 5)
    yield lambda: readings.begin_blind(barn, 5, "Ann")
    yield lambda: readings.save_machine(barn, 5, contacts(), method="film", version="1", settings={})


def test_a_reading_of_no_film_is_refused(barn: Barn) -> None:
    for begin in _begun(barn):
        with pytest.raises(NotFound, match="expected a film, found none with the number 5"):
            begin()  # type: ignore[operator]
