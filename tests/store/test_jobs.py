from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import Barn, clips, jobs
from evenfall.store.engine import now
from tests.store.keeping import a_clip


def test_work_is_claimed_done_and_gone_from_the_live(barn: Barn) -> None:
    added = jobs.add(barn, a_clip(barn).id, "read")
    assert (added.state, added.tries, jobs.live(barn)) == ("waiting", 0, (added,))
    taken = jobs.claim(barn, "w")
    assert taken is not None
    assert (taken.id, taken.state, taken.worker, taken.tries) == (added.id, "running", "w", 1)
    assert jobs.beat(barn, taken.id, "w", 0.4, "half of it")
    (told,) = jobs.live(barn)
    assert (told.progress, told.message) == (0.4, "half of it")
    jobs.done(barn, taken.id, "w")
    assert (jobs.live(barn), jobs.get(barn, taken.id).state) == ((), "done")
    assert jobs.claim(barn, "w") is None


def test_the_same_work_waits_once(barn: Barn) -> None:
    clip = a_clip(barn)
    with ThreadPoolExecutor(6) as pool:
        added = {job.id for job in pool.map(lambda _: jobs.add(barn, clip.id, "read"), range(6))}
    assert len(added) == len(jobs.live(barn)) == 1
    jobs.claim(barn, "w")
    assert jobs.add(barn, clip.id, "read").id in added


def test_work_claimed_anew_is_told_from_its_beginning(barn: Barn) -> None:
    jobs.add(barn, a_clip(barn).id, "read")
    taken = jobs.claim(barn, "w")
    assert taken is not None
    jobs.beat(barn, taken.id, "w", 0.7, "half of it", lease_s=-1)
    again = jobs.claim(barn, "v")
    assert again is not None
    assert (again.id, again.tries, again.progress, again.message) == (taken.id, 2, 0.0, "")


def test_films_that_wait_without_any_work_are_known(barn: Barn) -> None:
    forgotten, begun, stopped, seen = (a_clip(barn, b"%d" % n) for n in range(4))
    jobs.add(barn, begun.id, "proxy")
    jobs.cancel(barn, jobs.add(barn, stopped.id, "proxy").id)
    clips.ready(barn, seen.id)
    assert jobs.unasked(barn) == (forgotten.id,)
    assert [job.kind for job in jobs.add_each(barn, forgotten.id, "proxy", "read")] == ["proxy", "read"]
    assert jobs.unasked(barn) == ()


def test_films_to_look_at_come_before_films_to_read(barn: Barn) -> None:
    first, second = a_clip(barn, b"1"), a_clip(barn, b"2")
    for clip, kind in ((first, "read"), (first, "proxy"), (second, "proxy"), (second, "read")):
        jobs.add(barn, clip.id, kind)
    taken = [job for _ in range(4) if (job := jobs.claim(barn, "w"))]
    assert [(job.clip_id, job.kind) for job in taken] == [
        (first.id, "proxy"), (second.id, "proxy"), (first.id, "read"), (second.id, "read"),
    ]  # fmt: skip


def test_many_workers_never_take_the_same(barn: Barn) -> None:
    for n in range(12):
        jobs.add(barn, a_clip(barn, b"%d" % n).id, "read")

    def work(worker: str) -> list[int]:
        taken = []
        while job := jobs.claim(barn, worker):
            taken.append(job.id)
        return taken

    with ThreadPoolExecutor(4) as pool:
        taken = [number for numbers in pool.map(work, "abcd") for number in numbers]
    assert len(taken) == len(set(taken)) == 12


def test_a_silent_workers_job_is_taken_again_three_times_then_failed(barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    tries = [jobs.claim(barn, f"w{n}", lease_s=-1) for n in range(4)]
    assert [taken and taken.tries for taken in tries] == [1, 2, 3, None]
    ended = jobs.get(barn, job.id)
    assert (ended.state, ended.message) == ("failed", "it was begun 3 times and never finished")


def test_a_worker_that_lost_its_job_is_told_and_ignored(barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    jobs.claim(barn, "slow", lease_s=-1)
    jobs.claim(barn, "quick")
    assert not jobs.beat(barn, job.id, "slow", 0.9)
    for say in (jobs.done, jobs.release):
        say(barn, job.id, "slow")
    jobs.fail(barn, job.id, "slow", "no")
    assert (jobs.get(barn, job.id).state, jobs.get(barn, job.id).worker) == ("running", "quick")


def test_work_that_waits_stops_at_once(barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    assert jobs.cancel(barn, job.id).state == "cancelled"
    assert jobs.claim(barn, "w") is None


def test_work_being_done_stops_when_its_worker_next_speaks(barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    jobs.claim(barn, "w")
    asked = jobs.cancel(barn, job.id)
    assert (asked.state, asked.cancel_asked) == ("running", True)
    assert not jobs.beat(barn, job.id, "w", 0.5)
    assert jobs.get(barn, job.id).state == "cancelled"


@pytest.mark.parametrize("way", ["fail", "release", "silence"])
def test_work_asked_to_stop_ends_cancelled_however_it_ends(barn: Barn, way: str) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    jobs.claim(barn, "w", lease_s=-1)
    jobs.cancel(barn, job.id)
    if way == "fail":
        jobs.fail(barn, job.id, "w", "broken off")
    elif way == "release":
        jobs.release(barn, job.id, "w")
    assert jobs.claim(barn, "x") is None
    assert jobs.get(barn, job.id).state == "cancelled"


def test_a_job_given_back_does_not_count_as_a_try(barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    for _ in range(5):
        jobs.claim(barn, "w")
        jobs.release(barn, job.id, "w")
    assert (jobs.get(barn, job.id).state, jobs.get(barn, job.id).tries) == ("waiting", 0)


def test_failed_work_is_tried_anew(barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    jobs.claim(barn, "w")
    jobs.fail(barn, job.id, "w", "no pictures")
    assert jobs.get(barn, job.id).message == "no pictures"
    anew = jobs.retry(barn, job.id)
    assert (anew.state, anew.tries, anew.clip_id) == ("waiting", 0, job.clip_id)
    assert jobs.retry(barn, job.id).id == anew.id
    assert jobs.retry(barn, anew.id) == anew


def test_what_changed_is_told_in_order(barn: Barn) -> None:
    first, second = (jobs.add(barn, a_clip(barn, film).id, "read") for film in (b"1", b"2"))
    assert jobs.changed_since(barn, first.changed_at) == (second,)
    jobs.cancel(barn, first.id)
    assert [job.id for job in jobs.changed_since(barn, now() - timedelta(hours=1))] == [second.id, first.id]
    assert [job.id for job in jobs.of_clip(barn, first.clip_id)] == [first.id]


def test_work_that_is_none_or_on_no_film_is_refused(barn: Barn) -> None:
    with pytest.raises(WrongSetting, match="found 'paint'"):
        jobs.add(barn, a_clip(barn).id, "paint")
    with pytest.raises(NotFound, match="expected a film"):
        jobs.add(barn, 9, "read")
    for ask in (jobs.cancel, jobs.retry, jobs.get):
        with pytest.raises(NotFound, match="expected a job, found none with the number 9"):
            ask(barn, 9)


def test_films_to_show_of_one_film_are_works_of_their_own(barn: Barn) -> None:
    clip = a_clip(barn)
    first, second = (jobs.add(barn, clip.id, "show", {"showing": n}) for n in (1, 2))
    assert first.id != second.id
    assert (first.payload, jobs.get(barn, second.id).payload) == ({"showing": 1}, {"showing": 2})
    taken = jobs.claim(barn, "w")
    assert taken == jobs.get(barn, first.id)
    assert jobs.add(barn, clip.id, "read").payload is None


def test_the_same_film_to_show_waits_once(barn: Barn) -> None:
    clip = a_clip(barn)
    with ThreadPoolExecutor(6) as pool:
        added = {
            job.id for job in pool.map(lambda _: jobs.add(barn, clip.id, "show", {"showing": 1}), range(6))
        }
    assert len(added) == len(jobs.live(barn)) == 1


def test_a_film_to_show_is_tried_again_with_what_it_was_told(barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "show", {"showing": 5})
    jobs.cancel(barn, job.id)
    again = jobs.retry(barn, job.id)
    assert (again.id > job.id, again.payload, again.state) == (True, {"showing": 5}, "waiting")


@pytest.mark.parametrize(("kind", "payload"), [("show", None), ("read", {"showing": 1}), ("proxy", {})])
def test_only_films_to_show_are_told_more(barn: Barn, kind: str, payload: dict[str, int] | None) -> None:
    with pytest.raises(WrongSetting, match="expected a payload for work 'show' and for no other"):
        jobs.add(barn, a_clip(barn).id, kind, payload)
    assert jobs.live(barn) == ()
