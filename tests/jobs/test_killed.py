"""The runner's process is killed, as by a power cut, at moments that nobody chose."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from evenfall.store import Barn, jobs, readings
from evenfall.store.records import ClipRecord
from tests.ahead import ROOT, Ahead, Process, held_ready
from tests.jobs.waiting import LONG_AGO, LONG_S, assert_whole, every_job, film_brought_in, is_over, until

AT_WORK = "tests.jobs.at_work"
KILLS = int(os.environ.get("EVENFALL_KILLS", "6"))


@contextmanager
def barn_at_work(ahead: Ahead | None, barn: Barn) -> Iterator[None]:
    """A runner in a process of its own, killed when the block ends."""
    if ahead is None:
        process: Process = subprocess.Popen([sys.executable, "-m", AT_WORK, str(barn.home)], cwd=ROOT)
    else:
        process = ahead.begun([str(barn.home)], barn.home.with_name("says.txt"))
    try:
        yield
        assert process.poll() is None, "it ended before it was killed"
    finally:
        process.kill()
        process.wait(LONG_S)


@pytest.fixture(scope="module")
def ahead() -> Iterator[Ahead | None]:
    """The runner held ready; Windows cannot fork one and starts it anew."""
    if sys.platform == "win32":
        yield None
        return
    with held_ready(AT_WORK) as ready:
        yield ready


def test_whatever_moment_the_runner_is_killed_nothing_half_made_is_shown(
    ahead: Ahead | None, barn: Barn, tmp_path: Path
) -> None:
    """At a share of the way through preparing and reading in turns; what failed for it is begun anew."""
    films: list[ClipRecord] = []
    shares = np.random.default_rng().uniform(0.0, 1.0, KILLS)
    for number, share in enumerate(shares):
        films.append(film_brought_in(barn, tmp_path, f"{number}.mp4", pictures=200 + number))
        kind = ("proxy", "read")[number % 2]
        with barn_at_work(ahead, barn):
            until(lambda kind=kind, share=share: _is_past(barn, kind, share))  # type: ignore[misc]
        for record in films:
            assert_whole(barn, record)
    with barn_at_work(ahead, barn):
        until(lambda: is_over(barn) and not _begin_anew(barn), every_s=0.1)
    for record in films:
        assert_whole(barn, record)
        assert [reading.kind for reading in readings.of_clip(barn, record.id)].count("machine") == 1
    assert {job.state for job in jobs.changed_since(barn, LONG_AGO) if not _is_begun_anew(barn, job.id)} == {
        "done"
    }


def _is_past(barn: Barn, kind: str, share: float) -> bool:
    """Whether a work of a kind is so far, or all of them are over."""
    running = [job for job in every_job(barn) if job.state == "running" and job.kind == kind]
    return is_over(barn) or any(job.progress >= share for job in running)


def _begin_anew(barn: Barn) -> bool:
    """Have again what was begun too often; whether there was any."""
    given_up = [job for job in every_job(barn) if job.state == "failed" and not _is_begun_anew(barn, job.id)]
    for job in given_up:
        jobs.retry(barn, job.id)
    return bool(given_up)


def _is_begun_anew(barn: Barn, job_id: int) -> bool:
    """Whether a job was given up, and another for the same work came after it."""
    job = jobs.get(barn, job_id)
    later = (other for other in every_job(barn) if other.id > job_id)
    return job.state == "failed" and any((o.clip_id, o.kind) == (job.clip_id, job.kind) for o in later)
