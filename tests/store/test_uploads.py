import errno
import os
import shutil
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenfall.errors import DiskFull, NotFound, StoreError, WrongOffset, WrongSetting
from evenfall.store import Barn, clips, edits, outings, uploads
from evenfall.store.records import Upload
from tests.store.keeping import a_clip, a_horse, an_outing


def begun(barn: Barn, size: int = 4, key: str = "k") -> Upload:
    return uploads.begin(barn, key=key, name="ride.mp4", size=size, outing_id=an_outing(barn).id)


def part_of(barn: Barn, upload: Upload) -> Path:
    return barn.home / "incoming" / f"{upload.id}.part"


def test_a_film_comes_in_part_by_part(barn: Barn) -> None:
    upload = begun(barn)
    assert (upload.offset, upload.state) == (0, "open")
    assert uploads.append(barn, upload.id, 0, b"fi").offset == 2
    assert uploads.append(barn, upload.id, 2, b"lm").offset == 4
    clip, known = uploads.finish(barn, upload.id)
    assert (clips.original(barn, clip).read_bytes(), clip.name, known) == (b"film", "ride.mp4", False)
    assert list((barn.home / "incoming").iterdir()) == []


def test_finishing_again_answers_the_same(barn: Barn) -> None:
    upload = begun(barn)
    uploads.append(barn, upload.id, 0, b"film")
    assert uploads.finish(barn, upload.id) == uploads.finish(barn, upload.id)
    done = uploads.get(barn, upload.id)
    assert (done.state, done.offset) == ("done", 4)
    with pytest.raises(StoreError, match="found one that is done"):
        uploads.append(barn, upload.id, 4, b"x")


def test_a_film_whose_finishing_is_broken_off_is_still_all_here(
    barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The program ends after the original has its place, and before the record of it is kept."""
    upload = begun(barn)
    uploads.append(barn, upload.id, 0, b"film")
    with monkeypatch.context() as patch:
        patch.setattr("evenfall.store.uploads._set", broken_off)
        with pytest.raises(KeyboardInterrupt):
            uploads.finish(barn, upload.id)
    assert outings.every(barn)
    assert [clips.of_outing(barn, outing.id) for outing in outings.every(barn)] == [()]
    assert (uploads.get(barn, upload.id).offset, uploads.get(barn, upload.id).state) == (4, "open")
    clip, known = uploads.finish(barn, upload.id)
    assert (clips.original(barn, clip).read_bytes(), known) == (b"film", False)
    assert list((barn.home / "incoming").iterdir()) == []


def broken_off(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


def test_the_same_film_begun_again_goes_on(barn: Barn) -> None:
    first = begun(barn)
    uploads.append(barn, first.id, 0, b"fi")
    assert (begun(barn).id, begun(barn).offset) == (first.id, 2)
    assert begun(barn, size=5).id != first.id
    uploads.cancel(barn, first.id)
    assert begun(barn).id != first.id


def test_how_much_is_here_is_what_the_file_holds(barn: Barn) -> None:
    upload = begun(barn)
    uploads.append(barn, upload.id, 0, b"fil")
    os.truncate(part_of(barn, upload), 1)
    assert uploads.get(barn, upload.id).offset == 1


@pytest.mark.parametrize("offset", [0, 1, 3])
def test_a_part_that_does_not_fit_is_refused_with_where_to_go_on(barn: Barn, offset: int) -> None:
    upload = begun(barn)
    uploads.append(barn, upload.id, 0, b"fi")
    with pytest.raises(WrongOffset, match="Go on at 2") as error:
        uploads.append(barn, upload.id, offset, b"x")
    assert error.value.offset == 2
    assert part_of(barn, upload).read_bytes() == b"fi"


def test_more_than_was_said_is_refused(barn: Barn) -> None:
    upload = begun(barn)
    with pytest.raises(WrongSetting, match="expected 4 bytes in all"):
        uploads.append(barn, upload.id, 0, b"films")
    assert uploads.get(barn, upload.id).offset == 0


def test_a_film_not_all_here_is_not_finished(barn: Barn) -> None:
    upload = begun(barn)
    uploads.append(barn, upload.id, 0, b"fi")
    with pytest.raises(WrongOffset) as error:
        uploads.finish(barn, upload.id)
    assert error.value.offset == 2


def test_the_same_part_sent_by_many_at_once_is_taken_once(barn: Barn) -> None:
    upload = begun(barn)

    def send(_: int) -> bool:
        try:
            return uploads.append(barn, upload.id, 0, b"film").offset == 4
        except WrongOffset:
            return False

    with ThreadPoolExecutor(6) as pool:
        assert sum(pool.map(send, range(6))) == 1
    assert part_of(barn, upload).read_bytes() == b"film"


def test_a_full_disk_takes_the_half_part_off_again(sqlite: Barn, monkeypatch: pytest.MonkeyPatch) -> None:
    upload = begun(sqlite)
    uploads.append(sqlite, upload.id, 0, b"fi")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(DiskFull, match="is full"):
            uploads.append(sqlite, upload.id, 2, b"lm")
    assert part_of(sqlite, upload).read_bytes() == b"fi"
    assert uploads.append(sqlite, upload.id, 2, b"lm").offset == 4


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no disk that is always full")
def test_a_disk_that_is_truly_full_says_so(sqlite: Barn) -> None:
    upload = begun(sqlite)
    part_of(sqlite, upload).symlink_to("/dev/full")
    with pytest.raises(DiskFull, match="Make room"):
        uploads.append(sqlite, upload.id, 0, b"film")
    assert uploads.get(sqlite, upload.id).state == "open"


def test_a_cancelled_film_leaves_nothing(barn: Barn) -> None:
    upload = begun(barn)
    uploads.append(barn, upload.id, 0, b"fi")
    uploads.cancel(barn, upload.id)
    assert (uploads.get(barn, upload.id).state, part_of(barn, upload).exists()) == ("cancelled", False)
    for ask in (lambda: uploads.append(barn, upload.id, 0, b"x"), lambda: uploads.finish(barn, upload.id)):
        with pytest.raises(StoreError, match="found one that is cancelled"):
            ask()


def test_a_film_of_a_horse_hangs_in_its_outing_of_today(barn: Barn) -> None:
    horse = a_horse(barn)
    kept = []
    for film in (b"film", b"more"):
        upload = uploads.begin(barn, key=str(film), name="x.mp4", size=4, horse_id=horse.id)
        uploads.append(barn, upload.id, 0, film)
        kept.append(uploads.finish(barn, upload.id)[0])
    (outing,) = outings.of_horse(barn, horse.id)
    assert [clip.outing_id for clip in kept] == [outing.id] * 2


def test_a_film_that_is_here_already_is_known_when_it_is_all_in(barn: Barn) -> None:
    clip, upload = a_clip(barn), begun(barn)
    uploads.append(barn, upload.id, 0, b"film")
    assert uploads.finish(barn, upload.id) == uploads.finish(barn, upload.id) == (clip, True)


def test_a_film_must_have_bytes_and_a_place(barn: Barn) -> None:
    with pytest.raises(WrongSetting, match="at least one byte"):
        uploads.begin(barn, key="k", name="x", size=0, outing_id=an_outing(barn).id)
    with pytest.raises(WrongSetting, match="Choose the horse first"):
        uploads.begin(barn, key="k", name="x", size=1)
    for place in ({"outing_id": 99}, {"horse_id": 99}):
        with pytest.raises(NotFound, match="99"):
            uploads.begin(barn, key="k", name="x", size=1, **place)
    with pytest.raises(NotFound, match="expected an upload"):
        uploads.get(barn, "../../barn.sqlite3")


LAW = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@LAW
@given(st.binary(min_size=1, max_size=20), st.lists(st.tuples(st.booleans(), st.integers(1, 5)), max_size=12))
def test_law_a_film_in_any_parts_with_any_repeats_is_the_film(
    sqlite: Barn, film: bytes, parts: list[tuple[bool, int]]
) -> None:
    """Some parts begin a byte too early, as from a phone that missed an answer."""
    key = uuid4().hex
    upload = uploads.begin(sqlite, key=key, name="x.mp4", size=len(film), outing_id=an_outing(sqlite).id)
    for early, size in [*parts, (False, 20)]:
        here = uploads.get(sqlite, upload.id).offset
        at = max(here - early, 0)
        with pytest.raises(WrongOffset) if at != here else nullcontext():
            uploads.append(sqlite, upload.id, at, film[at : at + size])
    clip, _ = uploads.finish(sqlite, upload.id)
    assert clips.original(sqlite, clip).read_bytes() == film


def test_a_film_that_would_not_fit_is_not_begun(barn: Barn, monkeypatch: pytest.MonkeyPatch) -> None:
    outing = an_outing(barn)
    disk = shutil.disk_usage(barn.home)._replace(free=uploads.SPARE + 3_000_000_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: disk)

    def begin(size: int) -> Upload:
        return uploads.begin(barn, key="k", name="ride.mp4", size=size, outing_id=outing.id)

    with pytest.raises(DiskFull, match=r"expected 3\.6 GB free .* found 3\.5 GB, so this was not begun"):
        begin(3_100_000_000)
    assert list((barn.home / "incoming").iterdir()) == []
    assert begin(3_000_000_000).offset == 0


def test_a_film_that_goes_on_needs_room_for_the_rest_alone(
    barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    upload = begun(barn)
    uploads.append(barn, upload.id, 0, b"fil")
    disk = shutil.disk_usage(barn.home)._replace(free=uploads.SPARE + 1)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: disk)
    assert uploads.begin(barn, key="k", name="ride.mp4", size=4, outing_id=1).id == upload.id
    with pytest.raises(DiskFull, match="not begun"):
        uploads.begin(barn, key="other", name="ride.mp4", size=4, outing_id=1)


def test_a_film_that_came_in_is_written_down_as_whose_it_is(barn: Barn) -> None:
    horse = a_horse(barn)
    upload = uploads.begin(barn, key="k", name="ride.mp4", size=4, horse_id=horse.id)
    uploads.append(barn, upload.id, 0, b"film")
    uploads.finish(barn, upload.id, by="Ann's phone")
    assert [edit.device for edit in edits.recent(barn)] == ["Ann's phone", "Ann's phone", ""]
