"""A person's contacts come in as new marks, over none that is there."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from evenfall.contacts import contacts_as_csv
from evenfall.errors import ContactsError, NotFound
from evenfall.flow.importing import Marked, mark_from_file
from evenfall.flow.marking import contacts_file
from evenfall.store import Barn, edits, marks, readings, results
from evenfall.store.marks import Act
from tests.flow.keeping import kept
from tests.fresh import new_barn
from tests.making import regular


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


@pytest.fixture
def clip_id(barn: Barn, film: Path) -> int:
    return kept(barn, film).id


MARKS = regular(lateral_pct=30).only(lambda mark: mark.time_s < 6)
CSV = contacts_as_csv(MARKS).encode()


def own(barn: Barn, clip_id: int) -> list[tuple[str, str, float]]:
    return [
        (mark.limb, mark.event, mark.time_s) for mark in marks.of(barn, readings.person(barn, clip_id).id)
    ]


def test_a_file_is_added_as_it_says_and_comes_out_the_same(barn: Barn, clip_id: int) -> None:
    told = mark_from_file(barn, clip_id, CSV, by="phone")
    assert told == Marked(len(MARKS), 0)
    assert contacts_file(barn, clip_id).encode() == CSV
    result = results.of_clip(barn, clip_id)
    assert result is not None
    assert result.phase_mean == pytest.approx(30, abs=1)


def test_marks_that_are_there_stay_and_are_not_doubled(barn: Barn, clip_id: int) -> None:
    first = next(iter(MARKS))
    person = readings.person(barn, clip_id).id
    marks.act(barn, person, [Act("a", "add", "mine", first.limb, first.event, first.time_s)])
    marks.act(barn, person, [Act("b", "move", "mine", time_s=first.time_s + 0.0001)])
    told = mark_from_file(barn, clip_id, CSV)
    assert (told.added, told.there) == (len(MARKS) - 1, 1)
    (mine,) = [mark for mark in marks.of(barn, person) if mark.id == "mine"]
    assert mine.time_s == first.time_s + 0.0001
    assert mark_from_file(barn, clip_id, CSV) == Marked(0, len(MARKS))


def test_it_can_be_undone_at_once(barn: Barn, clip_id: int) -> None:
    mark_from_file(barn, clip_id, CSV)
    edits.undo(barn, edits.newest(barn))
    assert own(barn, clip_id) == []


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "the contacts file is empty"),
        (b"limb,event,time_s\n", "at least one contact"),
        (b"foot,event,time_s\nLF,on,1\n", "the column 'limb' is missing"),
        (b"limb,event,time_s\nLF,on,1\nNF,on,2\n", "Is LF meant"),
        (b"limb,event,time_s\nLF,on,1\nLF,off,600\n", "within the film, 0 to 6 s, found LF off at 600 s"),
        (b"limb,event,time_s\nLF,on,-1\n", "within the film"),
        (b"\xff\xfe\x00", "UTF-8"),
    ],
)
def test_a_file_that_cannot_be_is_refused_and_nothing_added(
    barn: Barn, clip_id: int, raw: bytes, words: str
) -> None:
    with pytest.raises(ContactsError, match=words):
        mark_from_file(barn, clip_id, raw)
    assert own(barn, clip_id) == []


def test_a_film_that_is_not_there_is_told(barn: Barn) -> None:
    with pytest.raises(NotFound):
        mark_from_file(barn, 9, CSV)
