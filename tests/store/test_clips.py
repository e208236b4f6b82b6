import hashlib
import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from evenfall.errors import DiskFull, NotFound, StoreError, WrongSetting
from evenfall.store import Barn, clips, horses, originals
from tests.store.keeping import a_clip, a_film, an_outing


def test_a_film_is_kept_whole_under_its_hash(barn: Barn) -> None:
    part = a_film(barn, b"film")
    clip, known = clips.keep(barn, part, name=r"C:\films\Ride 1.MOV", outing_id=an_outing(barn).id)
    assert (clip.name, clip.suffix, clip.size, clip.state, known) == (
        "Ride 1.MOV",
        ".mov",
        4,
        "waiting",
        False,
    )
    assert clip.sha256 == hashlib.sha256(b"film").hexdigest()
    assert clips.original(barn, clip) == barn.home / "originals" / clip.sha256[:2] / f"{clip.sha256}.mov"
    assert clips.original(barn, clip).read_bytes() == b"film"
    assert not part.exists()


def test_the_same_film_is_known_again_whatever_its_name(barn: Barn) -> None:
    clip = a_clip(barn)
    part = a_film(barn, b"film")
    again, known = clips.keep(barn, part, name="other.avi", outing_id=an_outing(barn).id)
    assert (again, known, part.exists()) == (clip, True, False)


def test_a_film_whose_original_was_lost_is_laid_there_again(barn: Barn) -> None:
    clip = a_clip(barn)
    clips.original(barn, clip).unlink()
    again, known = clips.keep(barn, a_film(barn, b"film"), name="x.mp4", outing_id=clip.outing_id)
    assert (again, known, clips.original(barn, clip).read_bytes()) == (clip, True, b"film")


def test_a_film_deleted_before_is_a_new_clip_on_the_same_original(barn: Barn) -> None:
    first = a_clip(barn)
    clips.delete(barn, first.id)
    again, known = clips.keep(barn, a_film(barn, b"film"), name="x.mov", outing_id=first.outing_id)
    assert (again.id != first.id, known) == (True, False)
    assert clips.original(barn, again) == clips.original(barn, first)


def test_the_same_film_sent_eight_times_at_once_is_one_clip(barn: Barn) -> None:
    outing = an_outing(barn)
    parts = [a_film(barn, b"film") for _ in range(8)]
    with ThreadPoolExecutor(8) as pool:
        kept = list(pool.map(lambda part: clips.keep(barn, part, name="x.mp4", outing_id=outing.id), parts))
    assert len({clip.id for clip, _ in kept}) == 1
    assert sorted(known for _, known in kept) == [False] + [True] * 7


def test_a_film_for_no_outing_stays_where_it_is(barn: Barn) -> None:
    part = a_film(barn)
    with pytest.raises(NotFound, match="expected an outing, found none"):
        clips.keep(barn, part, name="x.mp4", outing_id=77)
    assert part.read_bytes() == b"film"
    assert not any((barn.home / "originals").iterdir())


def test_an_empty_file_is_no_film(barn: Barn) -> None:
    with pytest.raises(StoreError, match=r"found the empty file x\.mp4"):
        clips.keep(barn, a_film(barn, b""), name="x.mp4", outing_id=an_outing(barn).id)


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_keeps_no_half_film(barn: Barn, step: str, monkeypatch: pytest.MonkeyPatch) -> None:
    outing, part = an_outing(barn), a_film(barn)

    def full(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os if step == "fsync" else Path, step, full)
        with pytest.raises(DiskFull, match="Everything saved before is safe"):
            clips.keep(barn, part, name="x.mp4", outing_id=outing.id)
    assert clips.of_outing(barn, outing.id) == ()
    assert [path for path in (barn.home / "originals").rglob("*") if path.is_file()] == []
    assert clips.keep(barn, part, name="x.mp4", outing_id=outing.id)[1] is False


def test_a_film_from_another_disk_is_carried_over(barn: Barn, monkeypatch: pytest.MonkeyPatch) -> None:
    part = a_film(barn)

    def apart(self: Path, _: Path) -> None:
        raise OSError(18, "Invalid cross-device link", self)

    monkeypatch.setattr(Path, "hardlink_to", apart)
    clip, _ = clips.keep(barn, part, name="x.mp4", outing_id=an_outing(barn).id)
    assert clips.original(barn, clip).read_bytes() == b"film"
    assert [path.name for path in clips.original(barn, clip).parent.iterdir()] == [f"{clip.sha256}.mp4"]
    assert not part.exists()


def test_a_disk_whose_files_have_one_name_each_keeps_films_too(
    barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = a_film(barn)

    def unwilling(self: Path, _: Path) -> None:
        raise OSError(1, "Operation not permitted", self)

    monkeypatch.setattr(Path, "hardlink_to", unwilling)
    clip, _ = clips.keep(barn, part, name="x.mp4", outing_id=an_outing(barn).id)
    assert clips.original(barn, clip).read_bytes() == b"film"
    assert not part.exists()


def test_what_the_machine_says_of_a_film_is_kept(barn: Barn) -> None:
    clip = a_clip(barn)
    clips.described(barn, clip.id, width=1920, height=1080, frames=600, duration_s=10.0)
    assert clips.failed(barn, clip.id, "no pictures").problem == "no pictures"
    told = clips.ready(barn, clip.id)
    assert (told.width, told.height, told.frames, told.duration_s) == (1920, 1080, 600, 10.0)
    assert (told.state, told.problem) == ("ready", "")


def test_what_a_person_says_of_a_film_is_kept(barn: Barn) -> None:
    clip = clips.change(barn, a_clip(barn).id, capture_fps=240.0, facing="left")
    assert (clip.capture_fps, clip.facing) == (240.0, "left")
    assert clips.get(barn, clip.id) == clip
    assert clips.change(barn, clip.id, capture_fps=None, facing=None).capture_fps is None


@pytest.mark.parametrize(
    ("fps", "facing", "says"), [(0.0, None, "1 to 10000"), (None, "up", "left or right")]
)
def test_a_rate_or_a_side_that_makes_no_sense_is_refused(
    barn: Barn, fps: Any, facing: Any, says: str
) -> None:
    with pytest.raises(WrongSetting, match=says):
        clips.change(barn, a_clip(barn).id, capture_fps=fps, facing=facing)


def test_clips_go_out_of_sight_with_what_they_hang_in(barn: Barn) -> None:
    outing = an_outing(barn)
    clip, other = a_clip(barn, b"1", outing), a_clip(barn, b"2", outing)
    assert clips.of_outing(barn, outing.id) == (clip, other)
    assert clips.of_horse(barn, outing.horse_id) == (other, clip)
    clips.delete(barn, other.id)
    assert clips.of_outing(barn, outing.id) == (clip,)
    horses.delete(barn, outing.horse_id)
    assert clips.of_outing(barn, outing.id) == clips.of_horse(barn, outing.horse_id) == ()


def test_what_is_made_from_a_film_has_a_folder_that_may_be_thrown_away(barn: Barn) -> None:
    clip = a_clip(barn)
    folder = clips.derived(barn, clip)
    folder.rmdir()
    assert clips.derived(barn, clip) == folder == originals.derived_folder(barn.home, clip.sha256)
    assert folder.is_dir()
