"""Works done in the test's own process."""

from pathlib import Path

import pytest

from evenfall.clip import Progress
from evenfall.flow.clips import proxy_path
from evenfall.jobs import film_in, work
from evenfall.jobs.work import Task, do
from evenfall.store import Barn, clips, jobs, outings, readings, results
from evenfall.store import bin as barn_bin
from evenfall.store.records import ClipRecord
from tests.jobs.waiting import every_job, film_brought_in, job_of


def claimed(barn: Barn) -> Task:
    job = jobs.claim(barn, "tester")
    assert job is not None
    return Task(barn.home, None, job.id, job.clip_id, job.kind, "tester", 30)


def bring_in(barn: Barn) -> ClipRecord:
    return film_brought_in(barn, barn.home.parent, "ride.mp4")


def test_a_new_film_has_its_proxy_made_before_it_is_read(barn: Barn) -> None:
    record = bring_in(barn)
    kinds = []
    for _ in range(2):
        do(task := claimed(barn))
        kinds.append(task.kind)
    assert kinds == ["proxy", "read"]
    assert [job.state for job in every_job(barn)] == ["done", "done"]
    assert proxy_path(barn, record).is_file()


def test_a_film_brought_in_twice_has_no_twin_jobs(barn: Barn) -> None:
    record = bring_in(barn)
    film_in(barn, record.id)
    assert len(every_job(barn)) == 2


def test_proxies_come_before_the_readings_of_older_films(barn: Barn, tmp_path: Path) -> None:
    for number in range(2):
        film_brought_in(barn, tmp_path, f"ride{number}.mp4", pictures=40 + number)
    taken = [jobs.claim(barn, "tester") for _ in range(4)]
    assert [job.kind for job in taken if job] == ["proxy", "proxy", "read", "read"]


def test_a_work_asked_to_stop_stops_and_leaves_nothing(barn: Barn) -> None:
    record = bring_in(barn)
    task = claimed(barn)
    jobs.cancel(barn, task.job_id)
    do(task)
    assert job_of(barn, record, "proxy").state == "cancelled"
    assert list(clips.derived(barn, record).iterdir()) == []
    assert clips.get(barn, record.id).state == "waiting"


def test_a_work_whose_job_another_has_taken_leaves_it_alone(barn: Barn) -> None:
    record = bring_in(barn)
    task = claimed(barn)
    jobs.release(barn, task.job_id, "tester")
    do(task)
    assert job_of(barn, record, "proxy").state == "waiting"
    assert not proxy_path(barn, record).exists()


def test_a_work_whose_film_goes_into_the_bin_waits_until_it_comes_out(barn: Barn) -> None:
    record = bring_in(barn)
    task = claimed(barn)
    clips.delete(barn, record.id)
    do(task)
    assert jobs.get(barn, task.job_id).state == "waiting"
    assert jobs.claim(barn, "tester") is None
    assert jobs.live(barn) == ()
    barn_bin.restore(barn, "clips", record.id)
    do(claimed(barn))
    assert clips.get(barn, record.id).state == "ready"


def test_a_film_read_while_its_outing_went_into_the_bin_has_its_answer_once_it_is_out(barn: Barn) -> None:
    record = bring_in(barn)
    do(claimed(barn))
    task = claimed(barn)
    outings.delete(barn, record.outing_id)
    do(task)
    assert results.of_clip(barn, record.id) is None
    barn_bin.restore(barn, "outings", record.outing_id)
    do(claimed(barn))
    assert results.of_clip(barn, record.id) is not None
    assert len(readings.of_clip(barn, record.id)) == 2  # the machine's, once, and the person's


def test_a_mistake_in_the_program_fails_the_job_and_says_what_to_do(
    barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(barn: Barn, clip_id: int, progress: Progress) -> None:
        progress(0.5)
        raise ZeroDivisionError(f"clip {clip_id} of {barn.home.name}")

    monkeypatch.setitem(work.WORKS, "proxy", (broken, "Trying"))
    bring_in(barn)
    do(task := claimed(barn))
    job = jobs.get(barn, task.job_id)
    assert job.state == "failed"
    assert job.message.startswith(
        "something unexpected went wrong: ZeroDivisionError: clip 1 of barn. The film is kept"
    )
