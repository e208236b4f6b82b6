"""Workers that end with a film, in a pool and on a cluster."""

import os
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import pytest

from evenfall.errors import DiskFull, WrongSetting
from evenfall.flow.study.going import Going, Hands
from evenfall.flow.study.one import Made, Task, unpacked
from evenfall.studying import hands_for
from tests.flow.study.dying import die_of_some, die_once, stick_soon, task_of
from tests.flow.study.filmed import cluster_of

NAMES = ("a.mp4", "b.mp4", "c kills.mp4", "d.mp4", "e.mp4", "f.mp4")


def read_by(
    hands: Hands, do: Callable[[Task], Made], folder: Path, names: tuple[str, ...] = NAMES
) -> dict[str, str]:
    """Codes by film; empty for one that was read."""
    kept: dict[str, Made] = {}
    with Going(hands, lambda task, made: kept.update({task.key: made}), do) as going:
        going.all(task_of(folder / name) for name in names)
    opened = {name: unpacked(made.content, name) for name, made in kept.items()}
    return {
        name: "damaged" if made is None else made["clip"]["code"] for name, made in sorted(opened.items())
    }


def test_the_film_that_kills_its_worker_twice_is_given_up_and_all_others_are_read(tmp_path: Path) -> None:
    codes = read_by(hands_for(2, None), die_of_some, tmp_path)
    assert codes == {name: "worker_died" if "kills" in name else "" for name in NAMES}


def test_a_film_whose_worker_was_killed_once_is_read(tmp_path: Path) -> None:
    assert set(read_by(hands_for(2, None), die_once, tmp_path).values()) == {""}


def test_a_film_that_is_stuck_ends_its_worker_and_is_given_up(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "stuck.mp4")
    (tmp_path / "words.mp4").write_text("no film")
    codes = read_by(hands_for(1, None), stick_soon, tmp_path, ("stuck.mp4", "words.mp4"))
    assert codes == {"stuck.mp4": "worker_died", "words.mp4": "unreadable_clip"}


def test_on_a_cluster_too_the_study_goes_on_after_a_worker_was_killed(tmp_path: Path) -> None:
    with cluster_of(1) as address:
        codes = read_by(hands_for(2, address), die_of_some, tmp_path, ("a.mp4", "b kills.mp4"))
    assert codes == {"a.mp4": "", "b kills.mp4": "worker_died"}


def test_workers_that_never_begin_are_told_and_not_blamed_on_films(tmp_path: Path) -> None:
    hands = Hands(1, _broken_pool, lambda executor: executor.shutdown(wait=True))
    with pytest.raises(WrongSetting, match=r"the workers do not answer .*the same command goes on"):
        read_by(hands, die_of_some, tmp_path)


def test_a_disk_that_is_full_stops_it_at_once(tmp_path: Path) -> None:
    done: list[str] = []

    def keep(task: Task, _made: Made) -> None:
        done.append(task.key)
        raise DiskFull("the study's folder")

    hands = Hands(1, ThreadPoolExecutor, lambda executor: executor.shutdown(cancel_futures=True))
    with pytest.raises(DiskFull), Going(hands, keep, die_once) as going:
        going.all(task_of(tmp_path / f"{n}.mp4") for n in range(50))
    assert len(done) == 1


def _broken_pool(workers: int) -> Executor:
    """A pool whose processes end as they begin."""
    return ProcessPoolExecutor(workers, initializer=os._exit, initargs=(1,))
