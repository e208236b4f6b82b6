"""The serving program is killed with all its workers, as by a power cut, at moments that nobody chose.

Fifty times a run, in two barns. ``EVENFALL_KILLS`` says how often otherwise, ``EVENFALL_SEED`` repeats a run's choices.
In each barn the program is started first as a person starts it, and then by one that has its imports behind it.
"""

import os
import random
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from time import sleep

import httpx
import pytest

from evenfall.store import Barn, open_barn
from tests.ahead import Ahead, held_ready
from tests.flow.keeping import kept
from tests.jobs.waiting import every_job, is_over, until
from tests.whole.barn_served import PROGRAM, Served, serving
from tests.whole.conftest import Drawn
from tests.whole.hands import Film, Marker, Sender, unlike_others
from tests.whole.wholeness import (
    assert_nothing_half_made,
    assert_ready,
    marks_of,
    original_of,
    pictures_of,
)

KILLS = int(os.environ.get("EVENFALL_KILLS", "50"))
SEED = int(os.environ.get("EVENFALL_SEED", random.SystemRandom().randrange(10**6)))

BARNS = 2
GIVEN_UP = "never finished"
MOMENTS = ("sending", "finishing", "preparing", "reading", "marking")
LATEST_S = {"sending": 0.01, "finishing": 0.04, "preparing": 0.25, "reading": 2.5, "marking": 0.02}
"""How long after something began it is killed at the latest: about as long as it takes."""


class Day:
    """A barn in use, over and over again."""

    def __init__(self, barn: Barn, drawn: Drawn, folder: Path, seed: int) -> None:
        self.barn, self.folder, self.film = barn, folder, drawn.film.read_bytes()
        marked = kept(barn, drawn.film)
        self.sender, self.marker = Sender(marked.outing_id), Marker(marked.id)
        self.expected = drawn.expected
        self.chance = random.Random(seed)

    @contextmanager
    def in_use(self, number: int, ahead: Ahead | None) -> Iterator[Served]:
        """The barn served, and hands at it until it is killed."""
        with (
            serving(self.barn.home, self.folder / f"{number}.txt", ahead=ahead) as served,
            ThreadPoolExecutor(3) as hands,
            served.client() as client,
        ):
            at_work = [
                hands.submit(each, client) for each in (self.sender.work, self.marker.work, self._look)
            ]
            try:
                yield served
            finally:
                served.kill()
            for each in at_work:
                each.result()

    def another_film(self) -> None:
        """One more to send, if the last one is there."""
        if not self.sender.under_way:
            self.sender.films.append(Film(unlike_others(self.film, len(self.sender.films))))

    def has_come(self, moment: str, after: int, served: Served) -> bool:
        """Whether it is time to kill, or the moment cannot come any more."""
        if moment == "sending":
            return self.sender.pieces >= after or not self.sender.under_way
        if moment == "finishing":
            return self.sender.finishing.is_set()
        if moment == "marking":
            return self.marker.batches >= min(after, self.marker.most)
        kind = {"preparing": "proxy", "reading": "read"}[moment]
        mine = f":{served.process.pid}:"
        begun = any(
            (j.state, j.kind) == ("running", kind) and mine in j.worker and j.message
            for j in every_job(self.barn)
        )
        return begun or (not self.sender.under_way and is_over(self.barn))

    def check(self) -> None:
        """What was acknowledged is there, and nothing is by half."""
        self.marker.check(marks_of(self.barn, self.marker.clip))
        for film in self.sender.films:
            if film.clip is not None:
                assert original_of(self.barn, film.clip) == film.content
        assert_nothing_half_made(self.barn, self.expected)

    def _look(self, client: httpx.Client) -> None:
        """A page that shows the newest film as soon as there is something to show."""
        try:
            while True:
                newest = max((film.clip or 0 for film in self.sender.films), default=0) or self.marker.clip
                shown = client.get(f"/api/clips/{newest}/film")
                assert shown.status_code in (200, 404)
                if shown.status_code == 200:
                    assert pictures_of(shown.content) == self.expected.pictures
                    marks = client.get(f"/api/clips/{newest}/marks").json()["marks"]
                    assert sum(mark["by"] == "machine" for mark in marks) in (0, len(self.expected.contacts))
                sleep(0.1)
        except httpx.TransportError:
            return


@pytest.mark.parametrize("which", range(BARNS))
@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no process groups to kill at once")
def test_whatever_moment_the_program_is_killed_what_it_said_it_has_is_there(
    drawn: Drawn, tmp_path: Path, which: int
) -> None:
    with open_barn(tmp_path / "home", wait_s=60) as barn, held_ready(*PROGRAM) as ahead:
        day = Day(barn, drawn, tmp_path, SEED + which)
        print(f"EVENFALL_SEED={SEED}")  # noqa: T201 - shown when it fails
        for number in range(which, KILLS, BARNS):
            killed_once(day, number, ahead if number >= BARNS else None)
        carried_to_its_end(day, ahead)


def killed_once(day: Day, number: int, ahead: Ahead | None) -> None:
    moment = MOMENTS[number % len(MOMENTS)]
    after, wait_s = day.chance.randrange(18), day.chance.uniform(0, LATEST_S[moment])
    print(f"{number}: {moment}, after {after}, {wait_s:.3f} s later")  # noqa: T201
    if moment != "marking":
        day.another_film()
    with day.in_use(number, ahead) as served:
        until(lambda: day.has_come(moment, after, served))
        sleep(wait_s)
    day.check()


def carried_to_its_end(day: Day, ahead: Ahead) -> None:
    """Left alone, the program sends, prepares and reads all that was begun, and stops when told to."""
    with day.in_use(KILLS, ahead) as served:
        until(lambda: not day.sender.under_way)
        until(lambda: not begin_anew(day.barn, served) and is_over(day.barn), every_s=0.2)
        assert served.stopped() == 0
    day.check()
    for clip in [day.marker.clip, *(film.clip for film in day.sender.films)]:
        assert clip is not None
        assert_ready(day.barn, clip, day.expected)


def begin_anew(barn: Barn, served: Served) -> bool:
    """Have again, as a person would, what was killed too often; whether there was any."""
    newest = {(job.clip_id, job.kind): job for job in sorted(every_job(barn), key=lambda job: job.id)}
    failed = [job for job in newest.values() if job.state == "failed"]
    assert all(GIVEN_UP in job.message for job in failed), failed
    if not failed:
        return False
    with served.client() as client:
        for job in failed:
            assert client.post(f"/api/jobs/{job.id}/retry").status_code == 200
    return True
