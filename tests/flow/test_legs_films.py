"""Films of a study copy: the legs alone, every picture at its own time, nobody in them."""

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import open_clip, pictures
from evenfall.contacts import Contacts
from evenfall.errors import Cancelled, WrongSetting
from evenfall.flow import placing
from evenfall.flow.exporting import Written, send, write_export
from evenfall.flow.importing import mark_from_file
from evenfall.flow.marking import read_now, refresh
from evenfall.report.showing.places import Places
from evenfall.store import Barn, clips, readings
from evenfall.synth.numbered import write_numbered
from tests.flow.keeping import kept
from tests.fresh import new_barn
from tests.making import regular

UNEVEN = [3000 + 1500 * k + (k % 3) * 7 for k in range(240)]
"""A clock that does not begin at 0, in steps that differ."""
NAME = "juniper-at-dawn.mp4"


def horse_in(n_pictures: int) -> Places:
    """A horse that stands in the middle of every picture."""
    return Places((), [None] * n_pictures, np.tile([160.0, 120.0, 170.0, 140.0], (n_pictures, 1)))


@pytest.fixture
def barn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Barn]:
    """A barn with two films, of which the machine finds the horse in the first."""

    def found(clip: object, *_: object) -> Places:
        n = clip.timebase.n_frames  # type: ignore[attr-defined]
        return horse_in(n) if n == len(UNEVEN) else Places((), [None] * n, np.full((n, 4), np.nan))

    monkeypatch.setattr(placing, "find_places", found)
    with new_barn(tmp_path / "barn") as opened:
        film = write_numbered(tmp_path / "a.mp4", UNEVEN, size=(320, 180))
        record = kept(opened, film, name=NAME)
        marks = regular(n=3, start_s=0.3)
        readings.save_machine(opened, record.id, marks, method="film", version="1", settings={})
        refresh(opened, record.id)
        part = write_numbered(opened.home / "incoming" / "b.mp4", UNEVEN[:50], size=(320, 180))
        clips.keep(opened, part, name="vesper.mp4", outing_id=record.outing_id)
        yield opened


def exported(barn: Barn, to: Path) -> Written:
    return write_export(barn, 1, "study", to, films="legs")


def test_times_are_kept_and_the_record_tells_of_the_film(barn: Barn, tmp_path: Path) -> None:
    written = exported(barn, tmp_path / "s.zip")
    assert written.size == (tmp_path / "s.zip").stat().st_size
    with zipfile.ZipFile(tmp_path / "s.zip") as file:
        assert file.testzip() is None
        content, package = file.read("films/1.mp4"), json.loads(file.read("datapackage.json"))
        assert [name for name in file.namelist() if name.startswith("films/")] == ["films/1.mp4"]
    (told,) = [each for each in package["resources"] if each["path"] == "films/1.mp4"]
    assert (told["bytes"], told["hash"]) == (len(content), f"sha256:{hashlib.sha256(content).hexdigest()}")
    (tmp_path / "1.mp4").write_bytes(content)
    made = open_clip(tmp_path / "1.mp4")
    before = open_clip(clips.original(barn, clips.get(barn, 1))).timebase.times_s
    assert before[0] > 0
    assert np.abs(made.timebase.times_s - before).max() <= 1 / 90_000
    assert len(list(pictures(made))) == len(UNEVEN)
    assert not made.has_sound
    assert made.height / made.width < 0.5


def test_a_film_without_a_horse_is_left_out_and_the_copy_says_so(barn: Barn, tmp_path: Path) -> None:
    (left_out,) = exported(barn, tmp_path / "s.zip").left_out
    assert str(left_out).startswith("Film 2 is left out: the horse was not found")
    with zipfile.ZipFile(tmp_path / "s.zip") as file:
        assert str(left_out) in json.loads(file.read("datapackage.json"))["description"]


def test_nobody_is_in_the_films(barn: Barn, tmp_path: Path) -> None:
    exported(barn, tmp_path / "s.zip")
    with zipfile.ZipFile(tmp_path / "s.zip") as file:
        everything = [(tmp_path / "s.zip").read_bytes(), *(file.read(name) for name in file.namelist())]
    records = clips.of_horse(barn, 1)
    words = [b"juniper", b"vesper", *(clip.sha256.encode() for clip in records)]
    words += [bytes.fromhex(clip.sha256) for clip in records]
    assert not [word for word in words for content in everything if word in content.lower()]


def test_another_barn_takes_the_film_and_its_contacts(barn: Barn, tmp_path: Path) -> None:
    marks = regular(n=3, start_s=0.3)
    exported(barn, tmp_path / "s.zip")
    with zipfile.ZipFile(tmp_path / "s.zip") as file:
        (tmp_path / "1.mp4").write_bytes(file.read("films/1.mp4"))
        rows = list(csv.DictReader(io.StringIO(file.read("csv/contacts.csv").decode())))
    lines = [f"{row['limb']},{row['event']},{row['time_s']}" for row in rows if row["clip"] == "1"]
    with new_barn(tmp_path / "other") as other:
        record = kept(other, tmp_path / "1.mp4", name="1.mp4")
        mark_from_file(other, record.id, "\n".join(["limb,event,time_s", *lines]).encode(), by="Ada")
        assert told(read_now(other, record.id).contacts) == told(marks)


def told(contacts: Contacts) -> list[tuple[str, str, float]]:
    return sorted((mark.limb.value, mark.event.value, round(mark.time_s, 5)) for mark in contacts)


def test_stopping_leaves_nothing(barn: Barn, tmp_path: Path) -> None:
    def stop(share: float) -> None:
        if share > 0.3:
            raise Cancelled

    before = sorted(barn.home.iterdir())
    with pytest.raises(Cancelled):
        write_export(barn, 1, "study", tmp_path / "s.zip", stop, films="legs")
    sent = send(barn, 1, "study", films="legs")
    next(sent.blocks)
    sent.blocks.close()
    assert sorted(barn.home.iterdir()) == before
    assert not list(tmp_path.glob("*s.zip*"))


def test_the_whole_horse_takes_no_films_of_the_legs(barn: Barn) -> None:
    with pytest.raises(WrongSetting, match="for a study copy"):
        send(barn, 1, "horse", films="legs")
