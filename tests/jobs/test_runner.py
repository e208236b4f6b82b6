"""Works done by processes of their own."""

import errno
import multiprocessing
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import ParamSpec, TypeVar

import pytest

from evenfall.clip import open_clip
from evenfall.flow.clips import PROXY_FILE, proxy_path
from evenfall.flow.showing import ShowSettings, show_data, showing_paths
from evenfall.jobs import Runner, film_in
from evenfall.store import Barn, clips, jobs, showings
from tests.flow.keeping import kept
from tests.jobs.waiting import assert_whole, film_brought_in, is_over, job_of, to_be_prepared, until

P = ParamSpec("P")
T = TypeVar("T")


def test_films_are_prepared_and_read_and_a_bad_one_holds_up_nobody(barn: Barn, tmp_path: Path) -> None:
    (tmp_path / "letter.mp4").write_text("Dear Juniper,\n" * 100)
    bad = kept(barn, tmp_path / "letter.mp4")
    film_in(barn, bad.id)
    good = film_brought_in(barn, tmp_path, "ride.mp4")
    with Runner(barn):
        until(lambda: is_over(barn))
    for kind in ("proxy", "read"):
        assert job_of(barn, bad, kind).message.startswith("letter.mp4: expected a film, found text")
        assert (job_of(barn, bad, kind).state, job_of(barn, good, kind).state) == ("failed", "done")
    assert (clips.get(barn, bad.id).state, clips.get(barn, good.id).state) == ("failed", "ready")
    assert_whole(barn, good)


def test_a_work_that_is_cancelled_stops_and_the_next_is_done(
    barn: Barn, tmp_path: Path, long_film: Path
) -> None:
    long = to_be_prepared(barn, long_film)
    short = film_brought_in(barn, tmp_path, "short.mp4")
    with Runner(barn):
        until(lambda: job_of(barn, long, "proxy").progress > 0)
        jobs.cancel(barn, job_of(barn, long, "proxy").id)
        until(lambda: is_over(barn))
    assert job_of(barn, long, "proxy").state == "cancelled"
    assert list(clips.derived(barn, long).iterdir()) == []
    assert clips.get(barn, short.id).state == "ready"


def test_closing_gives_the_work_back_and_the_next_runner_does_it(barn: Barn, long_film: Path) -> None:
    long = to_be_prepared(barn, long_film)
    with Runner(barn):
        until(lambda: job_of(barn, long, "proxy").progress > 0)
    given_back = job_of(barn, long, "proxy")
    assert (given_back.state, given_back.tries) == ("waiting", 0)
    left = {path.name for path in clips.derived(barn, long).iterdir()}
    assert left <= {PROXY_FILE}, "a film gets its name when it is whole; nothing else is left"
    with Runner(barn):
        until(lambda: is_over(barn))
    assert_whole(barn, long)
    assert clips.get(barn, long.id).state == "ready"


def test_a_film_that_always_brings_its_worker_down_is_given_up_and_the_rest_is_done(
    barn: Barn, tmp_path: Path, long_film: Path
) -> None:
    deadly = to_be_prepared(barn, long_film)
    with Runner(barn, lease_s=2.0) as runner:
        for tries in (1, 2, 3):
            until(lambda tries=tries: _is_at_work(barn, job_of(barn, deadly, "proxy").id, tries))  # type: ignore[misc]
            for worker in multiprocessing.active_children():
                worker.kill()
        good = film_brought_in(barn, tmp_path, "ride.mp4")
        runner.wake()
        until(lambda: is_over(barn))
        until(lambda: clips.get(barn, deadly.id).state == "failed")
    assert "begun 3 times" in job_of(barn, deadly, "proxy").message
    assert clips.get(barn, deadly.id).problem.startswith(
        "the film could not be prepared: it was begun 3 times"
    )
    assert not proxy_path(barn, deadly).exists()
    assert clips.get(barn, good.id).state == "ready"


def _is_at_work(barn: Barn, job_id: int, tries: int) -> bool:
    job = jobs.get(barn, job_id)
    return (job.state, job.tries) == ("running", tries) and job.progress > 0


def test_a_runner_that_cannot_begin_a_work_goes_on_with_the_next(
    barn: Barn, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    class Unwilling(ThreadPoolExecutor):
        refused = False

        def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
            if not self.refused:
                self.refused = True
                raise OSError(errno.ENOMEM, "Cannot allocate memory")
            return super().submit(fn, *args, **kwargs)

    film_brought_in(barn, tmp_path, "ride.mp4")
    with Runner(barn, executor=Unwilling(1), lease_s=2.0):
        until(lambda: is_over(barn))
    assert [job.state for job in jobs.changed_since(barn, datetime.min.replace(tzinfo=UTC))] == [
        "done",
        "done",
    ]
    assert "could not be begun" in caplog.text


def test_a_film_to_show_is_made_by_a_process_of_its_own(barn: Barn, tmp_path: Path) -> None:
    record = film_brought_in(barn, tmp_path, "ride.mp4")
    asked = show_data(ShowSettings(slow=1, start_s=0.0, end_s=1.0, height_px=360, sound="none"))
    showing = showings.add(barn, record.id, None, asked)
    jobs.add(barn, record.id, "show", {"showing": showing.id})
    with Runner(barn):
        until(lambda: is_over(barn))
    job = job_of(barn, record, "show")
    assert (job.state, job.message) == ("done", "")
    film = showing_paths(barn, showing).film
    assert film is not None
    assert open_clip(film).timebase.duration_s == pytest.approx(1.0, abs=0.1)


def test_a_film_to_show_that_was_put_into_the_bin_is_not_made(barn: Barn, tmp_path: Path) -> None:
    record = film_brought_in(barn, tmp_path, "ride.mp4")
    for job in jobs.live(barn):
        jobs.cancel(barn, job.id)
    showing = showings.add(barn, record.id, None, {})
    jobs.add(barn, record.id, "show", {"showing": showing.id})
    showings.delete(barn, showing.id)
    with Runner(barn):
        until(lambda: is_over(barn))
    job = job_of(barn, record, "show")
    assert job.state == "failed"
    assert "bin" in job.message or "not there" in job.message
