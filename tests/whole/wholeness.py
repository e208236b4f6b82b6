"""Whether what a barn shows of its films is whole."""

import io
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Self

import av

from evenfall.clip import open_clip
from evenfall.contacts import Contacts
from evenfall.flow.clips import PROXY_FILE, proxy_path
from evenfall.flow.films import read_film
from evenfall.store import Barn, clips, marks, outings, readings
from evenfall.store.records import ClipRecord

Told = tuple[tuple[str, str, float], ...]


@dataclass(frozen=True)
class Expected:
    """What a film holds, found without a barn."""

    pictures: int
    contacts: Told

    @classmethod
    def of(cls, film: Path) -> Self:
        return cls(open_clip(film).timebase.n_frames, _told(read_film(film).contacts))


def assert_nothing_half_made(barn: Barn, expected: Expected) -> None:
    """Each film's row has its original; what was made of it is whole or not there; so is the machine's reading."""
    for clip in every_clip(barn):
        assert clips.original(barn, clip).stat().st_size == clip.size
        assert clip.state in ("waiting", "ready") or "never finished" in clip.problem
        assert clip.state != "ready" or proxy_path(barn, clip).is_file()
        for file in clips.derived(barn, clip).iterdir():
            if not file.name.startswith("."):
                _assert_whole(file, expected)
        machine = [each for each in readings.of_clip(barn, clip.id) if each.kind == "machine"]
        assert len(machine) <= 1
        assert all(machine_contacts(barn, each.id) == expected.contacts for each in machine)


def assert_ready(barn: Barn, clip_id: int, expected: Expected) -> None:
    """A film that is seen to: to be stepped through, read, and nothing left beside it."""
    clip = clips.get(barn, clip_id)
    assert clip.state == "ready"
    machine = readings.machine(barn, clip_id)
    assert machine is not None
    assert machine_contacts(barn, machine.id) == expected.contacts
    assert {PROXY_FILE, "steadying.json", "ground.json"} <= {
        file.name for file in clips.derived(barn, clip).iterdir()
    }


def every_clip(barn: Barn) -> list[ClipRecord]:
    return [clip for outing in outings.every(barn) for clip in clips.of_outing(barn, outing.id)]


def original_of(barn: Barn, clip_id: int) -> bytes:
    return clips.original(barn, clips.get(barn, clip_id)).read_bytes()


def marks_of(barn: Barn, clip_id: int) -> dict[str, float]:
    """A person's marks and their times."""
    return {row.id: row.time_s for row in marks.of(barn, readings.person(barn, clip_id).id)}


def machine_contacts(barn: Barn, reading_id: int) -> Told:
    return _told(Contacts(row.contact for row in marks.of(barn, reading_id)))


def _told(contacts: Contacts) -> Told:
    return tuple(sorted((mark.limb.value, mark.event.value, round(mark.time_s, 6)) for mark in contacts))


def _assert_whole(file: Path, expected: Expected) -> None:
    if file.suffix == ".json":
        json.loads(file.read_bytes())
    else:
        assert file.name == PROXY_FILE
        assert _pictures(file, file.stat().st_mtime_ns) == expected.pictures


@cache
def _pictures(film: Path, written_ns: int) -> int:  # noqa: ARG001 - one written again is looked at again
    return pictures_of(film.read_bytes())


@cache
def pictures_of(film: bytes) -> int:
    """How many pictures can be decoded; of the same bytes, as many as the last time."""
    with av.open(io.BytesIO(film), "r") as opened:
        return sum(1 for _ in opened.decode(video=0))
