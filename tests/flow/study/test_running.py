"""A study begun, stopped, gone on with, and asked anew."""

import errno
import json
import os
import shutil
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pyarrow import parquet  # type: ignore[import-untyped]

from evenfall import __version__
from evenfall.errors import Cancelled, DiskFull, UnreadableInput, UnwritableOutput, WrongSetting
from evenfall.flow.study import parts, running, tables
from evenfall.flow.study.folder import kept_to_oneself
from evenfall.flow.study.one import Made, Task, read_one
from evenfall.flow.study.writing import written_whole
from evenfall.gait import named_goal
from tests.flow.study.filmed import RESULTS, bytes_of, rows_of, studied


class Counting:
    """Reads films, and counts them."""

    def __init__(self) -> None:
        self.names: list[str] = []

    def __call__(self, task: Task) -> Made:
        self.names.append(task.film.name)
        return read_one(task)


def names_read(films: Path, out: Path, **more: Any) -> list[str]:
    reader = Counting()
    studied(films, out, do=reader, **more)
    return sorted(reader.names)


def test_every_file_is_there_and_says_what_is_in_it(filmed: Path, tmp_path: Path) -> None:
    came = studied(filmed, tmp_path / "out")
    assert came.summary.films == came.summary.read == 3
    assert {each.name for each in (tmp_path / "out").iterdir()} == {
        *RESULTS,
        "study.json",
        "study.lock",
        "parts",
    }
    package = json.loads((tmp_path / "out/datapackage.json").read_text())
    for each in package["resources"]:
        assert (tmp_path / "out" / each["path"]).stat().st_size == each["bytes"]
    assert [row["group"] for row in rows_of(tmp_path / "out", "clips")] == ["gaited", "gaited", "trotters"]


def test_columns_carry_their_units(filmed: Path, tmp_path: Path) -> None:
    studied(filmed, tmp_path / "out")
    schema = parquet.read_schema(tmp_path / "out/strides.parquet")
    assert schema.field("lateral_phase_pct").metadata[b"unit"] == b"% of the stride"


def test_what_was_read_is_not_read_again(filmed: Path, tmp_path: Path) -> None:
    assert len(names_read(filmed, tmp_path / "out")) == 3
    before = bytes_of(tmp_path / "out")
    assert names_read(filmed, tmp_path / "out") == []
    assert bytes_of(tmp_path / "out") == before


def test_stopped_after_the_first_film_it_goes_on_with_the_others(filmed: Path, tmp_path: Path) -> None:
    def stop(_share: float) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        studied(filmed, tmp_path / "out", progress=stop)
    told: list[str] = []
    assert len(names_read(filmed, tmp_path / "out", told=told)) == 2
    assert told == ["1 of 3 films are read already, 2 to go."]
    studied(filmed, tmp_path / "whole")
    assert bytes_of(tmp_path / "out") == bytes_of(tmp_path / "whole")


def test_another_goal_is_said_and_every_film_is_read_anew(filmed: Path, tmp_path: Path) -> None:
    studied(filmed, tmp_path / "out")
    told: list[str] = []
    assert len(names_read(filmed, tmp_path / "out", goal=named_goal("fox trot"), told=told)) == 3
    assert told[0].startswith("Since the last run: goal even then, fox trot now; band ")
    assert told[0].endswith("Every film is read anew.")
    assert names_read(filmed, tmp_path / "out") == []  # what was read under the first goal is still there


def test_films_that_came_went_or_changed_are_said(filmed: Path, tmp_path: Path) -> None:
    studied(filmed, tmp_path / "out")
    juno = filmed / "gaited/Juno 1.mp4"
    shutil.copy(juno, filmed / "new.mp4")
    (filmed / "gaited/Juno 2.mp4").unlink()
    with juno.open("ab") as film:
        film.write((8).to_bytes(4, "big") + b"free")
    told: list[str] = []
    assert names_read(filmed, tmp_path / "out", told=told) == ["Juno 1.mp4", "new.mp4"]
    assert told[0] == "Since the last run 1 film came and 1 film went, of 3."
    assert told[1].startswith("1 film is other than at the last run")
    assert [row["film"] for row in rows_of(tmp_path / "out", "clips")] == [
        "gaited/Juno 1.mp4",
        "new.mp4",
        "trotters/Zoë's.mp4",
    ]


def test_groups_and_horses_alone_need_no_reading(filmed: Path, tmp_path: Path) -> None:
    studied(filmed, tmp_path / "out")
    groups = tmp_path / "groups.csv"
    groups.write_text("film,group,horse\ngaited/Juno 1.mp4,a,Juno\ngaited/Juno 2.mp4,a,Juno\n")
    told: list[str] = []
    assert names_read(filmed, tmp_path / "out", groups=groups, told=told) == []
    assert "1 film has no group in the groups file." in told
    assert [row["horse"] for row in rows_of(tmp_path / "out", "clips")] == ["Juno", "Juno", None]


def test_the_same_bytes_twice_are_told_and_count_once(filmed: Path, tmp_path: Path) -> None:
    for ending in (".mp4", ".csv"):
        shutil.copy(filmed / f"gaited/Juno 1{ending}", filmed / f"trotters/again{ending}")
    summary = studied(filmed, tmp_path / "out").summary
    assert summary.copies == (("trotters/again.mp4", "gaited/Juno 1.mp4"),)
    assert summary.measures[0].groups[-1].films == 3
    assert [row["copy_of"] for row in rows_of(tmp_path / "out", "clips")] == [None, None, None, 1]


def test_what_a_killed_run_left_half_written_is_swept_away(filmed: Path, tmp_path: Path) -> None:
    studied(filmed, tmp_path / "out")
    part = next((tmp_path / "out/parts").glob("*/*.json.gz"))
    for left in (tmp_path / "out/.clips.parquet.1.part", part.with_name(f".{part.name}.1.2.part")):
        left.write_text("half")
    assert names_read(filmed, tmp_path / "out") == []
    assert not list((tmp_path / "out").glob("**/.*.part"))


def test_a_damaged_result_is_made_again(filmed: Path, tmp_path: Path) -> None:
    studied(filmed, tmp_path / "out")
    before = bytes_of(tmp_path / "out")
    part = next((tmp_path / "out/parts").glob("*/*.json.gz"))
    part.write_bytes(part.read_bytes()[:-9])
    assert len(names_read(filmed, tmp_path / "out")) == 1
    assert bytes_of(tmp_path / "out") == before


def test_what_may_not_be_the_films_fault_is_tried_again(filmed: Path, tmp_path: Path) -> None:
    def forgetful(task: Task) -> Made:
        return read_one(task if "Zoë" not in task.film.name else _without_film(task))

    studied(filmed, tmp_path / "out", do=forgetful)
    assert [row["code"] for row in rows_of(tmp_path / "out", "failures")] == ["unreadable_file"]
    assert names_read(filmed, tmp_path / "out") == ["Zoë's.mp4"]
    assert rows_of(tmp_path / "out", "failures") == []


def test_two_studies_do_not_write_one_folder(filmed: Path, tmp_path: Path) -> None:
    refused = pytest.raises(WrongSetting, match="another study is being written there")
    with kept_to_oneself(tmp_path / "out", filmed), refused:
        studied(filmed, tmp_path / "out")
    assert studied(filmed, tmp_path / "out").summary.films == 3


def test_a_folder_of_other_things_and_the_folder_of_the_films_are_refused(
    filmed: Path, tmp_path: Path
) -> None:
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos/strides.parquet").write_text("dear to somebody")
    with pytest.raises(WrongSetting, match="found other things in it"):
        studied(filmed, tmp_path / "photos")
    with pytest.raises(WrongSetting, match="cannot be written among the films"):
        studied(filmed, filmed)


def test_written_inside_the_folder_of_films_it_never_reads_itself(filmed: Path) -> None:
    for _ in range(2):
        assert studied(filmed, filmed / "study").summary.films == 3


@pytest.mark.parametrize("where", ["part", "table"])
def test_a_full_disk_is_told_and_what_was_read_is_kept(
    filmed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    with monkeypatch.context() as full:
        _fill_disk(full, where)
        with pytest.raises(DiskFull, match="the disk that holds the study's folder is full"):
            studied(filmed, tmp_path / "out")
    assert not list((tmp_path / "out").glob("**/.*part"))
    assert len(names_read(filmed, tmp_path / "out")) == (2 if where == "part" else 0)


def test_a_place_that_cannot_be_written_is_named(filmed: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(UnwritableOutput, match="file"):
        studied(filmed, tmp_path / "file/out")


def test_workers_of_another_version_or_without_the_folder_are_refused(
    filmed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for answer, match in (
        (("0.0.1", True), "the workers run Evenfall 0.0.1"),
        ((__version__, False), "see no folder"),
    ):
        monkeypatch.setattr(running, "reaches", lambda _, answer=answer: answer)
        with pytest.raises(WrongSetting, match=match):
            studied(filmed, tmp_path / "out")


def test_a_mistake_in_the_groups_file_stops_it_before_anything_is_written(
    filmed: Path, tmp_path: Path
) -> None:
    (tmp_path / "groups.csv").write_text("name\n")
    with pytest.raises(UnreadableInput, match="the column 'film' is missing"):
        studied(filmed, tmp_path / "out", groups=tmp_path / "groups.csv")
    assert not (tmp_path / "out").exists()


def test_a_film_must_be_given_some_time(filmed: Path, tmp_path: Path) -> None:
    with pytest.raises(WrongSetting, match="minutes that one film may take, found 0"):
        studied(filmed, tmp_path / "out", longest_min=0)


def test_names_that_are_no_text_are_read_all_the_same(filmed: Path, tmp_path: Path) -> None:
    with suppress(OSError):  # some systems allow no such name
        (filmed / "trotters/Zoë's.mp4").rename(filmed / os.fsdecode(b"trotters/Zo\xeb.mp4"))
    studied(filmed, tmp_path / "out")
    assert rows_of(tmp_path / "out", "clips")[2]["film"] in ("trotters/Zo\ufffd.mp4", "trotters/Zoë's.mp4")


def _without_film(task: Task) -> Task:
    return replace(task, film=task.film.with_name("gone"))


def _fill_disk(patch: pytest.MonkeyPatch, where: str) -> None:
    """The second part, or the first table, finds no room left."""
    full = OSError(errno.ENOSPC, "No space left on device")
    if where == "table":
        patch.setattr(tables._Parquet, "_put", _raising(full))
        return
    write, written = written_whole, list[Path]()

    def second_fails(to: Path, content: bytes) -> None:
        written.append(to)
        if len(written) == 2:
            patch.setattr(Path, "write_bytes", _raising(full))
        write(to, content)

    patch.setattr(parts, "written_whole", second_fails)


def _raising(error: OSError) -> Callable[..., None]:
    def fail(*_: object) -> None:
        raise error

    return fail
