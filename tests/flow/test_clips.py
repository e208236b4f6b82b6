import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import open_clip
from evenfall.clip.writing import part_of
from evenfall.contacts import Contacts
from evenfall.errors import Cancelled, ClipError, NotFound
from evenfall.flow import clips as film_clips
from evenfall.flow.clips import ground_to_come, make_proxy, proxy_path, read_clip, say_of, steadying, times
from evenfall.flow.films import write_whole
from evenfall.flow.ground import as_read
from evenfall.flow.marking import ground_page, reading_page
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.store import Barn, clips, jobs, marks, readings
from evenfall.store import bin as barn_bin
from evenfall.store.records import ClipRecord
from evenfall.synth.numbered import varying_ticks, write_numbered
from tests.contacts.film.films import short_grass
from tests.flow.keeping import kept
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


@pytest.fixture(scope="module")
def numbered(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film without a horse, at a varying rate, starting late."""
    ticks = [tick + 9000 for tick in varying_ticks(60, 30)]
    return write_numbered(tmp_path_factory.mktemp("film") / "numbered.mp4", ticks)


@pytest.fixture(scope="module")
def ridden(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return short_grass(tmp_path_factory.mktemp("film") / "ridden.mp4")


def test_a_kept_film_is_described_and_ready_once_it_has_a_proxy(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    path = make_proxy(barn, record.id)
    told = clips.get(barn, record.id)
    assert (told.state, told.width, told.height, told.frames) == ("ready", 320, 180, 60)
    assert path == proxy_path(barn, record)
    assert open_clip(path).timebase.n_frames == 60


def test_a_proxy_that_is_there_is_not_made_again(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    before = make_proxy(barn, record.id).stat()
    after = make_proxy(barn, record.id).stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)


def test_what_a_broken_off_work_left_is_cleared_away(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    (left := part_of(clips.derived(barn, record) / "proxy.mp4", 999)).write_bytes(b"half")
    make_proxy(barn, record.id)
    assert not left.exists()


def test_a_film_that_is_none_is_marked_failed_by_the_persons_name_for_it(barn: Barn, tmp_path: Path) -> None:
    (tmp_path / "letter.mp4").write_text("Dear Juniper,\n" * 100)
    record = kept(barn, tmp_path / "letter.mp4", name="Ride on Friday.mp4")
    with pytest.raises(ClipError, match=r"^Ride on Friday\.mp4: expected a film, found text"):
        make_proxy(barn, record.id)
    told = clips.get(barn, record.id)
    assert told.state == "failed"
    assert told.problem.startswith("Ride on Friday.mp4: expected a film, found text")


def test_a_film_that_is_not_there_says_so(barn: Barn) -> None:
    with pytest.raises(NotFound):
        make_proxy(barn, 77)


def test_times_are_the_clips_own(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    base = open_clip(numbered).timebase
    told = times(barn, record.id)
    np.testing.assert_array_equal(told["times_s"], base.times_s)
    assert told["end_s"] == pytest.approx(base.times_s[0] + base.duration_s)
    assert (told["playback_factor"], told["capture_fps"]) == (1.0, base.file_fps)


def test_a_stated_capture_rate_changes_the_playback_factor_at_once(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    before = times(barn, record.id)
    clips.change(barn, record.id, capture_fps=8 * before["capture_fps"], facing=None)
    after = times(barn, record.id)
    assert after["playback_factor"] == pytest.approx(8)
    assert after["times_s"] == before["times_s"]


def test_times_are_read_again_when_the_derived_folder_is_thrown_away(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    before = times(barn, record.id)
    for path in clips.derived(barn, record).iterdir():
        path.unlink()
    assert times(barn, record.id) == before


def test_a_film_without_a_horse_is_read_and_says_why_there_are_no_contacts(
    barn: Barn, numbered: Path
) -> None:
    record = kept(barn, numbered)
    read_clip(barn, record.id)
    machine = readings.machine(barn, record.id)
    assert machine is not None
    assert "it does not pass from side to side" in machine.settings["too_little"]
    assert marks.of(barn, machine.id) == ()


def test_a_ridden_film_gives_contacts_with_method_and_version_and_is_laid_steady(
    barn: Barn, ridden: Path
) -> None:
    record = kept(barn, ridden)
    assert steadying(barn, record.id) is None
    read_clip(barn, record.id)
    machine = readings.machine(barn, record.id)
    assert machine is not None
    assert (machine.method, machine.settings["too_little"]) == ("feet found in the film", "")
    assert len(marks.of(barn, machine.id)) > 20
    planes = steadying(barn, record.id)
    assert planes is not None
    assert len(planes) == open_clip(ridden).timebase.n_frames
    assert planes[0] == [[1, 0, 0], [0, 1, 0], [0, 0, 1]]


def test_reading_again_in_the_same_way_adds_no_second_reading(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    read_clip(barn, record.id)
    first = readings.machine(barn, record.id)
    (clips.derived(barn, record) / "steadying.json").unlink()
    read_clip(barn, record.id)
    assert readings.machine(barn, record.id) == first
    assert json.loads((clips.derived(barn, record) / "steadying.json").read_text())


def test_reading_in_another_way_adds_one(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)
    read_clip(barn, record.id)
    first = readings.machine(barn, record.id)
    clips.change(barn, record.id, capture_fps=240, facing="left")
    read_clip(barn, record.id)
    second = readings.machine(barn, record.id)
    assert first is not None
    assert second is not None
    assert second.id != first.id
    assert (second.settings["capture_fps"], second.settings["facing"]) == (240, "left")


@pytest.fixture(scope="module")
def slow(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film of three pictures a second, too few to see a foot land."""
    return write_numbered(tmp_path_factory.mktemp("film") / "slow.mp4", [30_000 * n for n in range(30)])


def looks(barn: Barn, record: ClipRecord) -> bool:
    """Have a film read; whether its pictures were looked at for it."""
    told: list[float] = []
    read_clip(barn, record.id, told.append)
    return bool(told)


@pytest.mark.parametrize("film", ["numbered", "slow"], ids=["no horse", "too few pictures"])
def test_a_film_without_feet_is_looked_at_once(barn: Barn, film: str, request: pytest.FixtureRequest) -> None:
    record = kept(barn, request.getfixturevalue(film))
    assert looks(barn, record)
    assert not looks(barn, record)
    make_proxy(barn, record.id)
    assert not looks(barn, record)
    assert len(readings.of_clip(barn, record.id)) == 2  # the machine's one, and the people's


def test_a_film_refused_without_a_look_at_its_pictures_is_not_read_again(
    barn: Barn, numbered: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Path] = []

    def refused(film: Path, *, settings: ReadSettings, progress: object) -> Reading:  # noqa: ARG001
        asked.append(film)
        return read_marked(open_clip(film), Contacts(), settings)

    monkeypatch.setattr(film_clips, "read_film", refused)
    record = kept(barn, numbered)
    for _ in range(3):
        read_clip(barn, record.id)
    assert len(asked) == 1
    assert steadying(barn, record.id) is None


def test_a_film_without_feet_is_looked_at_anew_once_the_method_or_what_is_said_of_it_is_another(
    barn: Barn, numbered: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = kept(barn, numbered)
    assert looks(barn, record)
    say_of(barn, record.id, rate="120", facing="")
    assert [job.kind for job in jobs.live(barn)] == ["read"]
    assert looks(barn, record)
    assert not looks(barn, record)
    monkeypatch.setattr(film_clips, "__version__", "9.9")
    assert looks(barn, record)
    assert not looks(barn, record)


def twins(barn: Barn, film: Path) -> tuple[ClipRecord, ClipRecord]:
    """Two clips of the same bytes: the first lay in the bin when the second came."""
    first = kept(barn, film)
    clips.delete(barn, first.id)
    second = kept(barn, film)
    barn_bin.restore(barn, "clips", first.id)
    return first, second


def test_two_clips_of_the_same_bytes_never_show_what_was_seen_of_the_other(barn: Barn, ridden: Path) -> None:
    first, second = twins(barn, ridden)
    assert first.sha256 == second.sha256
    clips.change(barn, second.id, capture_fps=240, facing="left")
    read_clip(barn, first.id)
    assert ground_page(barn, first.id)["charts"]
    assert ground_page(barn, second.id)["charts"] == {}
    assert steadying(barn, second.id) is None
    before = ground_page(barn, first.id), steadying(barn, first.id), reading_page(barn, first.id, drawn=False)
    read_clip(barn, second.id)
    assert ground_page(barn, second.id)["charts"] != before[0]["charts"]
    after = ground_page(barn, first.id), steadying(barn, first.id), reading_page(barn, first.id, drawn=False)
    assert after == before
    assert not looks(barn, first)
    assert not looks(barn, second)


def test_derived_files_of_the_same_bytes_have_a_name_for_each_way_of_reading() -> None:
    ways = [ReadSettings(rate, side) for rate in (None, 120.0, 240.0) for side in (None, "left", "right")]
    assert len({as_read("ground.json", way) for way in ways}) == len(ways)


def test_reading_that_is_stopped_leaves_nothing(barn: Barn, numbered: Path) -> None:
    record = kept(barn, numbered)

    def stop(share: float) -> None:
        raise Cancelled(share)

    with pytest.raises(Cancelled):
        read_clip(barn, record.id, stop)
    assert readings.machine(barn, record.id) is None
    assert list(clips.derived(barn, record).iterdir()) == []


def test_a_derived_file_written_by_two_pages_at_once_is_whole(tmp_path: Path) -> None:
    def write(number: int) -> None:
        write_whole(tmp_path / "times.json", bytes([number]) * 200_000)

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(write, range(200)))
    kept_bytes = (tmp_path / "times.json").read_bytes()
    assert (len(set(kept_bytes)), len(kept_bytes)) == (1, 200_000)
    assert [path.name for path in tmp_path.iterdir()] == ["times.json"]


def test_a_machines_reading_without_its_picture_of_the_ground_has_it_made(barn: Barn, numbered: Path) -> None:
    clip = kept(barn, numbered)
    assert ground_to_come(barn, clip.id) == ""
    read_clip(barn, clip.id)
    file = clips.derived(barn, clip) / "ground.json"
    assert ground_to_come(barn, clip.id) == ""
    file.unlink()
    assert ground_to_come(barn, clip.id).endswith("is being prepared. It comes here by itself.")
    (job,) = jobs.of_clip(barn, clip.id)
    assert (job.kind, job.state) == ("read", "waiting")
    jobs.cancel(barn, job.id)
    assert "Look for the feet in the film" in ground_to_come(barn, clip.id)
    assert len(jobs.of_clip(barn, clip.id)) == 1
    read_clip(barn, clip.id)
    assert file.is_file()
    assert ground_to_come(barn, clip.id) == ""
