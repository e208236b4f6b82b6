import errno
import json
import shutil
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from evenfall.errors import DiskFull, StoreError, StoreNewer
from evenfall.store import Barn, clips, horses, marks, open_barn, originals
from evenfall.store.backup import backup, restore, stream, weight
from evenfall.store.engine import reading
from evenfall.store.schema import metadata
from evenfall.store.streaming import COPIES
from tests.store.calls import keep
from tests.store.keeping import a_clip, a_horse, a_reading, adding, an_outing


def rows(barn: Barn) -> dict[str, list[Any]]:
    with reading(barn) as connection:
        return {
            name: sorted((tuple(row) for row in connection.execute(select(table))), key=repr)
            for name, table in metadata.tables.items()
        }


def originals_of(home: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in (home / "originals").rglob("*") if path.is_file()}


@pytest.fixture
def packed(barn: Barn, tmp_path: Path) -> Path:
    keep(barn)
    return backup(barn, tmp_path / "barn.zip").path


def test_a_barn_comes_back_whole(barn: Barn, packed: Path, tmp_path: Path) -> None:
    restore(packed, tmp_path / "new")
    with open_barn(tmp_path / "new") as back:
        assert rows(back) == rows(barn)
        assert originals_of(back.home) == originals_of(barn.home)
        assert a_horse(back).id > max(horse.id for horse in horses.every(barn))
    assert sorted(path.name for path in tmp_path.iterdir() if path.name.startswith(".")) == []


def test_a_barn_moves_into_postgres_with_its_numbers(
    sqlite: Barn, empty_postgres: Barn, postgres: str, tmp_path: Path
) -> None:
    keep(sqlite)
    packed = backup(sqlite, tmp_path / "barn.zip").path
    restore(packed, tmp_path / "new", postgres)
    assert rows(empty_postgres) == rows(sqlite)
    assert originals_of(tmp_path / "new") == originals_of(sqlite.home)
    assert not list((tmp_path / "new").glob("barn.sqlite3*"))
    assert a_horse(empty_postgres).id == 2
    with pytest.raises(StoreError, match="expected an empty database"):
        restore(packed, tmp_path / "newer", postgres)
    assert not (tmp_path / "newer").exists()


def test_what_is_in_a_backup_is_listed_with_its_hash(barn: Barn, packed: Path) -> None:
    with zipfile.ZipFile(packed) as file:
        told = json.loads(file.read("backup.json"))
        assert {*told["parts"], "backup.json"} == set(file.namelist())
        assert {info.compress_type for info in file.infolist()} == {zipfile.ZIP_STORED}
    (film,) = [name for name in told["parts"] if name.startswith("originals/")]
    assert film == next(iter(originals_of(barn.home))).join(["originals/" + Path(film).name[:2] + "/", ""])
    assert told["parts"][film]["sha256"] == Path(film).stem


def test_a_backup_tells_how_far_it_is_and_what_it_holds(barn: Barn, tmp_path: Path) -> None:
    kept = [a_clip(barn, b"%d" % n) for n in range(4)]
    clips.original(barn, kept[0]).unlink()
    clips.original(barn, kept[1]).write_bytes(b"rot")
    told: list[float] = []
    report = backup(barn, tmp_path / "b.zip", told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert (report.films, report.missing, report.damaged) == (3, (kept[0].sha256,), (kept[1].sha256,))
    assert report.size == report.path.stat().st_size
    restore(report.path, tmp_path / "new")


def test_a_backup_while_marks_are_made_is_of_one_moment(
    barn: Barn, again: Callable[[], Barn], tmp_path: Path
) -> None:
    reading_id, stop = a_reading(barn), threading.Event()

    def busy() -> None:
        with again() as other:
            n = 0
            while not stop.is_set():
                marks.act(other, reading_id, [adding(f"a{n}"), adding(f"b{n}")])
                n += 1

    thread = threading.Thread(target=busy)
    thread.start()
    try:
        for n in range(3):
            backup(barn, tmp_path / f"{n}.zip")
    finally:
        stop.set()
        thread.join()
    for n in range(3):
        restore(tmp_path / f"{n}.zip", tmp_path / str(n))
        with open_barn(tmp_path / str(n)) as back:
            kept = {row.id for row in marks.of(back, reading_id)}
        assert {name[1:] for name in kept if name[0] == "a"} == {name[1:] for name in kept if name[0] == "b"}


@pytest.mark.parametrize("name", ["barn.sqlite3", "originals/"])
def test_a_backup_with_one_wrong_byte_is_refused(sqlite: Barn, tmp_path: Path, name: str) -> None:
    keep(sqlite)
    packed = backup(sqlite, tmp_path / "barn.zip").path
    with zipfile.ZipFile(packed) as file:
        (part,) = [info for info in file.infolist() if info.filename.startswith(name)]
    content = bytearray(packed.read_bytes())
    content[part.header_offset + len(part.FileHeader(True)) + part.file_size // 2] ^= 1
    packed.write_bytes(content)
    with pytest.raises(StoreError, match="damaged"):
        restore(packed, tmp_path / "new")
    assert not (tmp_path / "new").exists()


@pytest.fixture
def kept(sqlite: Barn, tmp_path: Path) -> Barn:
    """A barn of which there is a backup."""
    keep(sqlite)
    backup(sqlite, tmp_path / "barn.zip")
    return sqlite


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.floats(0, 1, exclude_max=True), st.integers(1, 255), st.booleans())
def test_law_a_backup_with_a_wrong_byte_anywhere_restores_all_or_nothing(
    kept: Barn, tmp_path: Path, at: float, flip: int, late: bool
) -> None:
    """Late is among the names at the end, where the least is checked by the zip itself."""
    content = bytearray((tmp_path / "barn.zip").read_bytes())
    place = int(len(content) * (0.98 + 0.02 * at if late else at))
    content[min(place, len(content) - 1)] ^= flip
    where = tmp_path / uuid4().hex
    (tmp_path / "x.zip").write_bytes(content)
    try:
        restore(tmp_path / "x.zip", where)
    except StoreError:
        assert not where.exists()
    else:
        with open_barn(where) as back:
            assert rows(back) == rows(kept)
        shutil.rmtree(where)
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(f".{where.name}")]


@pytest.mark.parametrize("content", [b"", b"no zip", b"PK\x05\x06" + b"\0" * 18])
def test_what_is_no_backup_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(content)
    with pytest.raises(StoreError, match="expected a backup of Evenfall's"):
        restore(tmp_path / "x.zip", tmp_path / "new")
    with pytest.raises(StoreError, match="could not be used"):
        restore(tmp_path / "nowhere.zip", tmp_path / "new")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("told", "error", "says"),
    [
        ({"step": "9999", "parts": {}}, StoreNewer, "found step 9999"),
        ({"step": "0001", "parts": {"../out": {"sha256": "x"}}}, StoreError, "damaged, ../out"),
        ({"step": "0001", "parts": []}, StoreError, "no list of parts"),
    ],
)
def test_a_list_that_is_newer_or_leads_elsewhere_is_refused(
    tmp_path: Path, told: Any, error: type[StoreError], says: str
) -> None:
    with zipfile.ZipFile(tmp_path / "x.zip", "w") as file:
        file.writestr("backup.json", json.dumps(told))
        file.writestr("../out", "x")
    with pytest.raises(error, match=says):
        restore(tmp_path / "x.zip", tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_backup_that_unpacks_to_more_than_it_holds_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "x.zip", "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("backup.json", b" " * 10_000_000)
    with pytest.raises(StoreError, match="packed in another way"):
        restore(tmp_path / "x.zip", tmp_path / "new")


def test_a_folder_in_use_is_not_restored_into(barn: Barn, packed: Path, tmp_path: Path) -> None:
    before = originals_of(barn.home)
    with pytest.raises(StoreError, match="expected an empty or a new folder"):
        restore(packed, barn.home)
    assert originals_of(barn.home) == before
    (tmp_path / "empty").mkdir()
    restore(packed, tmp_path / "empty")
    assert originals_of(tmp_path / "empty") == before


def test_a_full_disk_leaves_the_last_backup_as_it_was(
    barn: Barn, packed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, here = packed.read_bytes(), sorted(packed.parent.iterdir())

    def full(*_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "open", full)
    with pytest.raises(DiskFull, match="Make room"):
        backup(barn, packed)
    assert packed.read_bytes() == before
    assert sorted(packed.parent.iterdir()) == here


def test_a_full_disk_restores_nothing_by_half(
    packed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("evenfall.store.restoring.shutil.copyfileobj", full)
    before = sorted(tmp_path.iterdir())
    with pytest.raises(DiskFull, match="Make room"):
        restore(packed, tmp_path / "new")
    assert sorted(tmp_path.iterdir()) == before


def test_a_backup_that_reads_back_otherwise_is_not_kept(
    barn: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_clip(barn)
    monkeypatch.setattr("evenfall.store.packing.part_hashes", lambda file: [(file.namelist()[0], "0")])
    with pytest.raises(StoreError, match="read back differently"):
        backup(barn, tmp_path / "b.zip")
    assert not (tmp_path / "b.zip").exists()


def test_what_can_be_made_again_is_left_out(barn: Barn, tmp_path: Path) -> None:
    clip = a_clip(barn)
    (originals.derived_folder(barn.home, clip.sha256)).mkdir()
    (originals.derived_folder(barn.home, clip.sha256) / "proxy.mp4").write_bytes(b"proxy")
    with zipfile.ZipFile(backup(barn, tmp_path / "b.zip").path) as file:
        assert not [name for name in file.namelist() if "proxy" in name]


def sent(barn: Barn, to: Path) -> Path:
    """A backup as it is sent, taken down."""
    made = stream(barn)
    to.write_bytes(b"".join(made.blocks))
    assert to.stat().st_size == made.size
    return to


def test_a_backup_that_is_sent_comes_back_whole(barn: Barn, tmp_path: Path) -> None:
    keep(barn)
    restore(sent(barn, tmp_path / "sent.zip"), tmp_path / "new")
    with open_barn(tmp_path / "new") as back:
        assert rows(back) == rows(barn)
        assert originals_of(back.home) == originals_of(barn.home)
    assert list(barn.home.glob(f"{COPIES}*")) == []


def test_a_backup_that_is_sent_holds_what_one_that_is_written_does(barn: Barn, tmp_path: Path) -> None:
    kept = [a_clip(barn, b"%d" % n) for n in range(3)]
    clips.original(barn, kept[0]).unlink()
    clips.original(barn, kept[1]).write_bytes(b"rot")
    told = []
    for path in (backup(barn, tmp_path / "written.zip").path, sent(barn, tmp_path / "sent.zip")):
        with zipfile.ZipFile(path) as file:
            assert file.testzip() is None
            told.append(json.loads(file.read("backup.json")))
    for each in told:
        del each["made_at"]
        each["parts"].pop("barn.sqlite3", None)
    assert told[0] == told[1]
    assert told[0]["missing"] == [kept[0].sha256]


@pytest.mark.parametrize("limit", [0, 10, 1000, 300_000])
def test_the_length_of_a_backup_is_known_however_large_it_is(
    sqlite: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, limit: int
) -> None:
    """Beyond a limit of gigabytes a zip writes its lengths otherwise; here the limit is lower."""
    for size in (1, 11, 2000):
        a_clip(sqlite, b"x" * size)
    monkeypatch.setattr(zipfile, "ZIP64_LIMIT", limit)
    with zipfile.ZipFile(sent(sqlite, tmp_path / "sent.zip")) as file:
        assert file.testzip() is None


@pytest.mark.parametrize("blocks", [0, 1, 3])
def test_a_backup_that_is_stopped_leaves_nothing_behind(barn: Barn, blocks: int) -> None:
    keep(barn)
    made = stream(barn)
    assert len(list(barn.home.glob(f"{COPIES}*"))) == 1
    for _ in range(blocks):
        next(made.blocks)
    made.blocks.close()
    assert list(barn.home.glob(f"{COPIES}*")) == []


def test_an_original_that_changes_while_it_is_sent_breaks_the_backup_off(barn: Barn) -> None:
    clip = a_clip(barn)
    made = stream(barn)
    clips.original(barn, clip).write_bytes(b"longer than it was")
    with pytest.raises(StoreError, match="expected 4 bytes, found 18"):
        list(made.blocks)
    assert list(barn.home.glob(f"{COPIES}*")) == []


def test_how_much_a_backup_would_hold_is_told_beforehand(sqlite: Barn) -> None:
    empty = weight(sqlite)
    outing = an_outing(sqlite)
    for film in (b"1" * 500_000, b"2" * 400_000):
        a_clip(sqlite, film, outing)
    told, made = weight(sqlite), stream(sqlite)
    made.blocks.close()
    assert (empty.films, told.films) == (0, 2)
    assert told.size == pytest.approx(made.size, rel=0.05)
