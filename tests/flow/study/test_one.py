"""One film of a study, and what is told of one that is not to be read."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from evenfall.flow.study import one
from evenfall.flow.study.one import Task, read_one, unpacked
from tests.flow.study.dying import task_of


def made(task: Task) -> dict[str, Any]:
    told = unpacked(read_one(task).content, task.key)
    assert told is not None
    return told


def test_a_film_with_contacts_comes_to_its_row_its_strides_and_its_numbers(
    film: Path, contacts_file: Path
) -> None:
    told = made(replace(task_of(film), contacts=contacts_file))
    assert told["clip"]["state"] == "read"
    assert told["clip"]["lateral_phase_pct"] == pytest.approx(35, abs=0.5)
    assert told["clip"]["strides"] == 8
    assert told["clip"]["lateral_phase_pct_n"] == len(told["strides"]) == 16  # left and right
    assert {row["measure"] for row in told["numbers"]} > {"stride_s", "duty_pct", "lateral_phase_pct"}


def test_a_stated_rate_divides_the_time(film: Path, contacts_file: Path) -> None:
    plain = made(replace(task_of(film), contacts=contacts_file))
    slow = made(replace(task_of(film), contacts=contacts_file, capture_fps=240))
    assert slow["clip"]["stride_s"] == pytest.approx(plain["clip"]["stride_s"] / 4, rel=1e-5)


def test_the_same_film_is_the_same_bytes(film: Path, contacts_file: Path) -> None:
    task = replace(task_of(film), contacts=contacts_file)
    assert read_one(task) == read_one(task)


@pytest.mark.parametrize(
    ("content", "code", "reason"),
    [
        (b"", "unreadable_clip", "found an empty file"),
        (b"A film, they said.", "unreadable_clip", "found text"),
        (bytes(range(256)) * 9, "unreadable_clip", "FFmpeg cannot read"),
    ],
)
def test_what_is_no_film_is_told_without_naming_a_folder_and_for_good(
    tmp_path: Path, content: bytes, code: str, reason: str
) -> None:
    (tmp_path / "a.mp4").write_bytes(content)
    told = made(task_of(tmp_path / "a.mp4"))
    assert (told["clip"]["state"], told["clip"]["code"], told["again"]) == ("failed", code, False)
    assert reason in told["reason"]
    assert str(tmp_path) not in told["reason"]


def test_bad_contacts_are_the_reason_and_name_the_line(film: Path, tmp_path: Path) -> None:
    marks = tmp_path / "a.csv"
    marks.write_text("limb,event,time_s\nXX,on,1\n")
    told = made(replace(task_of(film), contacts=marks))
    assert told["clip"]["code"] == "bad_contacts"
    assert told["reason"].startswith("line 2: ")


@pytest.mark.parametrize("gone", ["film", "contacts"])
def test_a_file_that_is_not_there_is_tried_again(film: Path, tmp_path: Path, gone: str) -> None:
    told = made(replace(task_of(film), **{gone: tmp_path / "gone"}))  # type: ignore[arg-type]
    assert (told["clip"]["code"], told["again"]) == ("unreadable_file", True)
    assert "No such file" in told["reason"]


def test_a_film_that_takes_too_long_is_given_up(film: Path, contacts_file: Path) -> None:
    told = made(replace(task_of(film, longest_s=-1), contacts=contacts_file))
    assert (told["clip"]["code"], told["again"]) == ("too_long", True)


def test_a_fault_of_our_own_is_told_and_tried_again(film: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(one, "read_film", lambda *_, **__: 1 / 0)
    told = made(task_of(film))
    assert (told["clip"]["code"], told["again"]) == ("unexpected", True)
    assert "ZeroDivisionError" in told["reason"]


def test_too_few_strides_are_refused_and_enter_no_table(film: Path, tmp_path: Path) -> None:
    marks = tmp_path / "a.csv"
    marks.write_text("limb,event,time_s\nLH,on,1\nLF,on,1.2\nLH,on,1.6\n")
    told = made(replace(task_of(film), contacts=marks))
    assert (told["clip"]["state"], told["clip"]["code"]) == ("refused", "too_little_evidence")
    assert told["strides"] == told["numbers"] == []
    assert "at least two" in told["reason"]


def test_a_damaged_result_and_another_films_are_none() -> None:
    packed = read_one(task_of(Path("nowhere.mp4"))).content
    assert unpacked(packed[:-3], "nowhere.mp4") is None
    assert unpacked(packed, "other.mp4") is None
    assert unpacked(b"words", "nowhere.mp4") is None
