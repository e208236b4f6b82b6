"""``backup`` and ``restore``: a barn in one file, and back."""

import io
from datetime import date
from pathlib import Path

from evenfall.cli.app import run
from evenfall.cli.context import Context, Status
from evenfall.store import clips, horses, open_barn, outings
from evenfall.store.records import HorseFields, OutingFields
from tests.fresh import new_barn


def said(*arguments: str) -> tuple[int, str, str]:
    results, talk = io.StringIO(), io.StringIO()
    status = run(arguments, Context(io.StringIO(), results, talk))
    return status, results.getvalue(), talk.getvalue()


def made(home: Path) -> str:
    """A barn with one film; the film's hash."""
    with new_barn(home) as barn:
        horse = horses.add(barn, HorseFields(name="Juniper"))
        outing = outings.add(barn, OutingFields(horse_id=horse.id, on_date=date(2026, 5, 3)))
        part = home / "incoming" / "x.part"
        part.write_bytes(b"film")
        return clips.keep(barn, part, name="ride.mp4", outing_id=outing.id)[0].sha256


def test_a_barn_backed_up_and_restored_is_the_same_barn(tmp_path: Path) -> None:
    sha256 = made(tmp_path / "barn")
    status, told, _ = said("backup", str(tmp_path / "barn.zip"), "--home", str(tmp_path / "barn"))
    assert (status, told.split(":")[0].split(",")[0]) == (Status.MEASURED, "1 films")
    status, told, _ = said("restore", str(tmp_path / "barn.zip"), "--home", str(tmp_path / "again"))
    assert status == Status.MEASURED
    assert str(tmp_path / "again") in told
    with open_barn(tmp_path / "again") as barn:
        assert [horse.name for horse in horses.every(barn)] == ["Juniper"]
        clip = clips.get(barn, 1)
        assert (clip.sha256, clips.original(barn, clip).read_bytes()) == (sha256, b"film")


def test_a_film_that_is_gone_is_told(tmp_path: Path) -> None:
    sha256 = made(tmp_path / "barn")
    (tmp_path / "barn" / "originals" / sha256[:2] / f"{sha256}.mp4").unlink()
    status, _, told = said("backup", str(tmp_path / "barn.zip"), "--home", str(tmp_path / "barn"))
    assert status == Status.MEASURED
    assert f"! The film {sha256} is not in the backup" in told


def test_no_barn_there_is_said_and_none_is_made(tmp_path: Path) -> None:
    status, _, told = said("backup", str(tmp_path / "barn.zip"), "--home", str(tmp_path / "none"))
    assert status == Status.WRONG_USE
    assert "there is no barn at" in told
    assert list(tmp_path.iterdir()) == []


def test_what_is_no_backup_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.zip").write_text("text")
    status, _, told = said("restore", str(tmp_path / "notes.zip"), "--home", str(tmp_path / "again"))
    assert status == Status.WRONG_USE
    assert told.startswith("evenfall: ")
