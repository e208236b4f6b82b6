"""A folder that films are put into."""

import logging
import os
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from evenfall.errors import StoreBusy
from evenfall.flow.watching import UNSORTED, Watcher
from evenfall.store import Barn, clips, horses, outings
from evenfall.store.records import HorseFields
from tests.fresh import new_barn
from tests.making import even_ticks, write_film


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "home") as opened:
        yield opened


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "watched").mkdir()
    return tmp_path / "watched"


def put(folder: Path, name: str, pictures: int = 10) -> Path:
    (folder / name).parent.mkdir(exist_ok=True)
    return write_film(folder / name, even_ticks(pictures))


def horse_of(barn: Barn, clip: int) -> str:
    return horses.get(barn, outings.get(barn, clips.get(barn, clip).outing_id).horse_id).name


def test_a_film_is_taken_in_once_it_has_stopped_growing(barn: Barn, folder: Path) -> None:
    whole = put(folder, "ride.mp4").read_bytes()
    (folder / "ride.mp4").write_bytes(whole[:100])
    watcher = Watcher(barn)
    assert watcher.scan(folder) == []
    (folder / "ride.mp4").write_bytes(whole)
    assert watcher.scan(folder) == []
    (clip,) = watcher.scan(folder)
    assert clips.original(barn, clips.get(barn, clip)).read_bytes() == whole
    assert (folder / "ride.mp4").read_bytes() == whole


def test_a_film_is_never_taken_in_twice(barn: Barn, folder: Path) -> None:
    put(folder, "ride.mp4")
    watcher = Watcher(barn)
    assert [len(watcher.scan(folder)) for _ in range(4)] == [0, 1, 0, 0]
    (folder / "copy.mp4").write_bytes((folder / "ride.mp4").read_bytes())
    again = Watcher(barn)
    assert [again.scan(folder) for _ in range(3)] == [[], [], []]


def test_a_film_in_the_bin_stays_there(barn: Barn, folder: Path) -> None:
    put(folder, "ride.mp4")
    watcher = Watcher(barn)
    (clip,) = watcher.scan(folder) + watcher.scan(folder)
    clips.delete(barn, clip)
    again = Watcher(barn)
    assert again.scan(folder) + again.scan(folder) == []


def test_a_film_belongs_to_the_horse_its_folder_or_name_says(barn: Barn, folder: Path) -> None:
    horses.add(barn, HorseFields(name="Juniper"))
    for pictures, name in enumerate(("Juniper/a.mp4", "juniper-rail.mp4", "Biscuit/b.mp4", "other.mp4"), 10):
        put(folder, name, pictures)
    watcher = Watcher(barn)
    new = watcher.scan(folder) + watcher.scan(folder)
    whose = {clips.get(barn, clip).name: horse_of(barn, clip) for clip in new}
    assert whose == {
        "a.mp4": "Juniper",
        "juniper-rail.mp4": "Juniper",
        "b.mp4": "Biscuit",
        "other.mp4": UNSORTED,
    }
    assert len(horses.every(barn)) == 3


def test_what_is_no_film_is_left_alone_and_said(
    barn: Barn, folder: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (folder / "notes.mp4").write_text("text")
    (folder / "notes.txt").write_text("text")
    watcher = Watcher(barn)
    with caplog.at_level(logging.WARNING):
        assert watcher.scan(folder) + watcher.scan(folder) + watcher.scan(folder) == []
    assert [record.message.count("found text") for record in caplog.records] == [1]
    assert horses.every(barn) == ()
    assert list((barn.home / "incoming").iterdir()) == []


def test_a_folder_that_is_not_there_is_no_harm(barn: Barn, tmp_path: Path) -> None:
    assert Watcher(barn).scan(tmp_path / "no") == []


def test_what_is_made_of_films_in_the_barns_own_folder_is_not_taken_in(barn: Barn, folder: Path) -> None:
    put(folder, "ride.mp4")
    watcher = Watcher(barn)
    (clip,) = watcher.scan(folder) + watcher.scan(folder)
    put(clips.derived(barn, clips.get(barn, clip)), "proxy.mp4", pictures=20)
    assert watcher.scan(barn.home.parent) + watcher.scan(barn.home.parent) == []


def test_a_film_that_a_link_in_the_folder_points_at_is_left_alone(
    barn: Barn, folder: Path, tmp_path: Path
) -> None:
    (folder / "link.mp4").symlink_to(put(tmp_path, "private.mp4"))
    watcher = Watcher(barn)
    assert watcher.scan(folder) + watcher.scan(folder) == []


def test_a_film_that_could_not_be_kept_is_tried_again(
    barn: Barn, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(*_: object, **__: object) -> None:
        raise StoreBusy

    put(folder, "ride.mp4")
    watcher = Watcher(barn)
    with monkeypatch.context() as held:
        held.setattr("evenfall.store.clips.keep", busy)
        assert watcher.scan(folder) + watcher.scan(folder) == []
    assert len(watcher.scan(folder)) == 1


def test_a_film_of_a_day_to_come_is_todays(barn: Barn, folder: Path) -> None:
    os.utime(put(folder, "ride.mp4"), (1e11, 1e11))
    watcher = Watcher(barn)
    (clip,) = watcher.scan(folder) + watcher.scan(folder)
    assert outings.get(barn, clips.get(barn, clip).outing_id).on_date == date.today()
