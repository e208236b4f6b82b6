"""Jobs that are waited for, in tests."""

import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from evenfall.clip import open_clip
from evenfall.flow.clips import proxy_path
from evenfall.jobs import film_in
from evenfall.store import Barn, clips, jobs, marks, readings
from evenfall.store.records import ClipRecord, Job
from evenfall.synth.numbered import even_ticks, write_numbered
from tests.flow.keeping import kept

LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
LONG_S = 300.0
"""A work that is not done by then never will be."""


def until(condition: Callable[[], object], *, every_s: float = 0.02) -> None:
    """Wait for a condition; one that costs much to look at is looked at less often."""
    end = time.monotonic() + LONG_S
    while not condition():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(every_s)


def film_brought_in(barn: Barn, folder: Path, name: str, *, pictures: int = 45) -> ClipRecord:
    """A numbered film of a size of its own, so that no two are the same, with its jobs."""
    record = kept(barn, write_numbered(folder / name, even_ticks(pictures, 30)))
    film_in(barn, record.id)
    return record


def to_be_prepared(barn: Barn, film: Path) -> ClipRecord:
    """A film brought in that is not to be read."""
    record = kept(barn, film)
    jobs.add(barn, record.id, "proxy")
    return record


def job_of(barn: Barn, record: ClipRecord, kind: str) -> Job:
    """The newest job of a kind on a film."""
    found = [job for job in every_job(barn) if (job.clip_id, job.kind) == (record.id, kind)]
    return max(found, key=lambda job: job.id)


def every_job(barn: Barn) -> tuple[Job, ...]:
    return jobs.changed_since(barn, LONG_AGO)


def is_over(barn: Barn) -> bool:
    """Whether nothing waits or runs."""
    return not any(job.state in ("waiting", "running") for job in every_job(barn))


def assert_whole(barn: Barn, record: ClipRecord) -> None:
    """What is shown of a film is whole, or not there."""
    told, proxy = clips.get(barn, record.id), proxy_path(barn, record)
    assert told.state in ("waiting", "ready")
    assert proxy.is_file() or told.state == "waiting"
    if proxy.is_file():
        assert open_clip(proxy).timebase.n_frames == open_clip(clips.original(barn, record)).timebase.n_frames
    machine = readings.machine(barn, record.id)
    if machine is not None:
        assert marks.of(barn, machine.id) == ()
        assert machine.settings[
            "too_little"
        ]  # a numbered film has no feet, and another reason for each length
